/* rain_kernel.c - rain_sum.h by vector instructions: eight rain heights at once, 10 ns for the sum over the dozen of a usual
 * path, 60 ns for its multipliers. */
#include "rain_sum.h"

#include "melting.h"

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

/* C.5 for one height. Slices are counted from the top of the layer down, from 1; whole ones are a difference of two sums. */
static inline double averaged(double low_m, double high_m, const double *slice_sum, double top_m) {
  double low = low_m - top_m, high = high_m - top_m; /* relative to the top: negative inside and below */
  double low_slice = 1.0 + floor(-low / MELTING_SLICE_M), high_slice = 1.0 + floor(-high / MELTING_SLICE_M);
  double high_edge = -MELTING_SLICE_M * high_slice, low_edge = -MELTING_SLICE_M * (low_slice - 1.0);
  double alone = melting_multiplier(0.5 * (low + high)); /* both ends in one slice */
  double upper = (high - high_edge) * melting_multiplier(0.5 * (high + high_edge));
  double lower = (low_edge - low) * melting_multiplier(0.5 * (low + low_edge));
  double before = high_slice < 1.0 ? 0.0 : high_slice, last = low_slice > RAIN_SLICES ? RAIN_SLICES : low_slice - 1.0;
  double end = last > before ? last : before; /* whole slices, crossed from side to side: before + 1 to last */
  int from = before < RAIN_SLICES ? (int)before : RAIN_SLICES, to = end < RAIN_SLICES ? (int)end : RAIN_SLICES;
  double total = MELTING_SLICE_M * (slice_sum[to] - slice_sum[from]);
  total += high_slice >= 1.0 ? upper : 0.0;
  total += low_slice <= RAIN_SLICES ? lower : -MELTING_LAYER_M - low; /* the rest is in rain */
  double mean = low_slice == high_slice ? alone : total / (high - low);
  mean = high_slice > RAIN_SLICES ? 1.0 : mean;
  return low_slice < 1.0 ? 0.0 : mean;
}

static void multipliers(const rain_stack *stack, size_t first, size_t n, double *restrict out) {
  const double *restrict sum = stack->slice_sum;
  double low = stack->low_m, high = stack->high_m, lowest = stack->lowest_m + RAIN_HEIGHT_STEP_M * (double)first;
  size_t all = (n + RAIN_AT_ONCE - 1) / RAIN_AT_ONCE * RAIN_AT_ONCE;
  for (size_t i = 0; i < all; i++) out[i] = averaged(low, high, sum, lowest + RAIN_HEIGHT_STEP_M * (double)(int)i);
}

static void rates(const double *multiplier, size_t n, double ln_rate, double inv_alpha, double *out) {
  size_t all = (n + RAIN_AT_ONCE - 1) / RAIN_AT_ONCE * RAIN_AT_ONCE;
  for (size_t i = 0; i < all; i++) out[i] = es_exp(ln_rate - es_ln(multiplier[i]) * inv_alpha);
}

static void scales(const double *fade_db, const double *inv_alpha, size_t n, double *out) {
  for (size_t i = 0; i < n; i++) {
    double scale = es_pow(fade_db[i], inv_alpha[i]);
    out[i] = fade_db[i] > 0.0 ? scale : 0.0;
  }
}

const rain_kernel RAIN_KERNEL = {sum_of, multipliers, rates, scales};
