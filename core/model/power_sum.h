/* power_sum.h - two losses as one; without branches, for loops over columns. [private] */
#ifndef EARSHOT_MODEL_POWER_SUM_H
#define EARSHOT_MODEL_POWER_SUM_H

#include "earshot/maths.h"

/* The smaller loss is taken out before anything is exponentiated: losses reach thousands of dB. NaN: not there. */
static inline double es_power_sum(double a_db, double b_db, double exponent, double back) {
  double low = a_db < b_db ? a_db : b_db, decades = exponent * fabs(a_db - b_db);
  double sum = low - back * es_log10(1.0 + es_exp10(-decades));
  sum = b_db == b_db ? sum : a_db;
  return a_db == a_db ? sum : b_db;
}

static inline double es_power_sum_correlated(double a_db, double b_db) { return es_power_sum(a_db, b_db, 0.1, 10.0); }
static inline double es_power_sum_uncorrelated(double a_db, double b_db) { return es_power_sum(a_db, b_db, 0.2, 5.0); }

#endif
