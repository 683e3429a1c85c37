/* chance.h - how likely a value is met in a year that is cut into equal shares: the one sum of this stage that is worth several
 * sets of instructions. The sums are the same in all. [private to core/link] */
#ifndef EARSHOT_LINK_CHANCE_H
#define EARSHOT_LINK_CHANCE_H

#include "link/normal.h"

enum { ES_SHARES = 400 };

/* Chance, 0..1, that a value is met, and its first two derivatives by the value, a dB. */
typedef struct es_chance {
  double is, slope, bend;
} es_chance;

/* The mean over the shares, [ES_SHARES]: normal about value, 1 / sigma wide; per_sigma infinite: all of it at value. */
es_chance es_chance_of(const double *value, const double *per_sigma, double wanted);

/* chance_kernel.c as compiled for one set of instructions. */
typedef struct es_chance_kernel {
  es_chance (*mean)(const es_normal_point *points, const double *value, const double *per_sigma, double wanted);
} es_chance_kernel;

#endif
