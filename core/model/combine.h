/* combine.h - losses of several ways into one. Source: ITU-R P.2001-6 (5.1.1), (5.2.1).
 *
 * Ways that come and go together (surface, ducting) add as powers at equal percentages of time; ways that do not
 * (troposcatter) are combined so that two equal ones gain 1.5 dB instead of 3. NaN is a way that is not there. Pure.        */
#ifndef EARSHOT_MODEL_COMBINE_H
#define EARSHOT_MODEL_COMBINE_H

double es_combine_correlated(double a_db, double b_db);
double es_combine_uncorrelated(double a_db, double b_db);

#endif
