/* chance_kernel.c - see chance.h. Plain loops of selects; sums in four parts, so that no addition waits for the one before. */
#include "link/chance.h"

#include <math.h>

#ifndef ES_CHANCE
#define ES_CHANCE es_chance_portable
#endif

enum { PARTS = 4 };

static void each(const es_normal_point *points, const double *value, const double *per_sigma, double wanted, double *is,
                 double *slope, double *bend) {
  for (int i = 0; i < ES_SHARES; i++) {
    double above = value[i] - wanted, sigmas = above * per_sigma[i]; /* sharp: +-infinity, or NaN */
    double width = per_sigma[i] < INFINITY ? per_sigma[i] : 0.0;     /* sharp: no slope */
    double z = above == 0.0 ? 0.0 : sigmas, step = above >= 0.0 ? 1.0 : 0.0;
    es_normal_point at = es_normal_near(points, z);
    double falls = at.density * width, curves = falls * width;
    is[i] = per_sigma[i] < INFINITY ? at.share : step;
    slope[i] = falls;
    bend[i] = width > 0.0 ? curves * z : 0.0;
  }
}

static double mean_of(const double *x) {
  double part[PARTS] = {0.0};
  for (int i = 0; i < ES_SHARES; i += PARTS)
    for (int k = 0; k < PARTS; k++) part[k] += x[i + k];
  return ((part[0] + part[1]) + (part[2] + part[3])) / ES_SHARES;
}

static es_chance mean(const es_normal_point *points, const double *value, const double *per_sigma, double wanted) {
  double is[ES_SHARES], slope[ES_SHARES], bend[ES_SHARES];
  each(points, value, per_sigma, wanted, is, slope, bend);
  return (es_chance){mean_of(is), -mean_of(slope), -mean_of(bend)};
}

const es_chance_kernel ES_CHANCE = {mean};
