/* combine.h - losses of several ways into one. Source: ITU-R P.2001-6 (5.1.1), (5.2.1).
 *
 * Ways that come and go together (surface, ducting) add as powers at equal percentages of time; ways that do not
 * (troposcatter) are combined so that two equal ones gain 1.5 dB instead of 3. NaN is a way that is not there. Pure.        */
#ifndef EARSHOT_MODEL_COMBINE_H
#define EARSHOT_MODEL_COMBINE_H

#include <stdbool.h>
#include <stddef.h>

/* The three ways of P.2001, columns of n losses; a way that is not there is a column of NaN. correlated: the duct with the
 * surface way. */
typedef struct es_ways_db {
  const double *surface, *duct, *scatter;
  bool correlated;
} es_ways_db;
/* All three together. */
void es_combine_ways(const es_ways_db *ways, size_t n, double *out);

/* combine_kernel.c as compiled for one set of instructions. [private] */
typedef struct es_combine {
  void (*ways)(const es_ways_db *ways, size_t n, double *out);
} es_combine;

#endif
