/* combine_kernel.c - es_combine_ways() by vector instructions; compiled for several sets of them, with the same sums in all. */
#include "model/combine.h"
#include "model/power_sum.h"

#ifndef ES_COMBINE
#define ES_COMBINE es_combine_portable
#endif

static void ways(const es_ways_db *of, size_t n, double *out) {
  const double *surface = of->surface, *duct = of->duct, *scatter = of->scatter;
  if (of->correlated)
    for (size_t i = 0; i < n; i++)
      out[i] = es_power_sum_uncorrelated(es_power_sum_correlated(surface[i], duct[i]), scatter[i]);
  else
    for (size_t i = 0; i < n; i++)
      out[i] = es_power_sum_uncorrelated(es_power_sum_uncorrelated(surface[i], duct[i]), scatter[i]);
}

const es_combine ES_COMBINE = {ways};
