/* combine_kernel.c - es_combine_ways() by vector instructions; compiled for several sets of them, with the same sums in all. */
#include "earshot/maths.h"
#include "model/combine.h"

#ifndef ES_COMBINE
#define ES_COMBINE es_combine_portable
#endif

/* Without branches. The smaller loss is taken out before anything is exponentiated: losses reach thousands of dB. NaN: not there. */
static inline double power_sum(double a_db, double b_db, double exponent, double back) {
  double low = a_db < b_db ? a_db : b_db, decades = exponent * fabs(a_db - b_db);
  double sum = low - back * es_log10(1.0 + es_exp10(-decades));
  sum = b_db == b_db ? sum : a_db;
  return a_db == a_db ? sum : b_db;
}

static inline double correlated(double a_db, double b_db) { return power_sum(a_db, b_db, 0.1, 10.0); }
static inline double uncorrelated(double a_db, double b_db) { return power_sum(a_db, b_db, 0.2, 5.0); }

static void ways(const es_ways_db *of, size_t n, double *out) {
  const double *surface = of->surface, *duct = of->duct, *scatter = of->scatter;
  if (of->correlated)
    for (size_t i = 0; i < n; i++) out[i] = uncorrelated(correlated(surface[i], duct[i]), scatter[i]);
  else
    for (size_t i = 0; i < n; i++) out[i] = uncorrelated(uncorrelated(surface[i], duct[i]), scatter[i]);
}

const es_combine ES_COMBINE = {ways};
