/* rain_sum.h - what is done for many rain heights at once: multipliers of the melting layer, ITU-R P.2001-6 C.4 and C.5, and
 * the sum over all heights that an inversion asks for again and again, C.3. */
#ifndef EARSHOT_PLUGINS_RAIN_SUM_H
#define EARSHOT_PLUGINS_RAIN_SUM_H

#include <stddef.h>

enum { RAIN_HEIGHTS = 49, RAIN_AT_ONCE = 8 };
#define RAIN_RATE_A 1.09 /* (C.2.5) */

/* Table C.2.1: probability of each rain height, from the lowest; zeros behind, for those who take several at once. */
extern const double rain_probability[RAIN_HEIGHTS + RAIN_AT_ONCE];

/* What prepare leaves for one receiver. q0ra is 0 where it never rains on the path; NaN when the path is not known. */
typedef struct rain_path {
  double q0ra, vapour;          /* percent of the year; sum of G P */
  double ln_q0ra, ln_per_trans; /* natural logarithms of Q0ra and of Q0ra / Qtran */
  double b, c, inv_alpha;       /* of the distribution of rain rates, (C.2.5); 1 / alpha_mod */
  double below, rate_below;     /* probability of the whole path in rain; rain rate of a fade of 1 dB then, mm/h */
  size_t first, n; /* rain heights with the path in the melting layer: rain_probability[first..first + n) */
  double rate[RAIN_HEIGHTS + RAIN_AT_ONCE]; /* rain rate of a fade of 1 dB at each of them */
} rain_path;

enum { RAIN_SLICES = 12 };       /* of 100 m in the melting layer */
#define RAIN_HEIGHT_STEP_M 100.0 /* from one rain height to the next, table C.2.1 */

/* A path among the rain heights: its ends, the lowest of the heights (the others follow in steps), and the running sums of
 * melting_multiplier() (melting.h) over the middles of the slices, RAIN_SLICES + 1 of them from the top down. */
typedef struct rain_stack {
  double low_m, high_m, lowest_m;
  const double *slice_sum;
} rain_stack;

/* C.5: multipliers averaged along the path for n heights from `first` on; writes up to a whole number of RAIN_AT_ONCE. */
void rain_multipliers(const rain_stack *stack, size_t first, size_t n, double *out);
/* exp(ln_rate - inv_alpha ln multiplier): the rain rates of a fade of 1 dB under n multipliers; writes as above. */
void rain_rates(const double *multiplier, size_t n, double ln_rate, double inv_alpha, double *out);

/* Rain rates of n fades relative to those of 1 dB: fade_db^inv_alpha, 0 for a fade of 0 or less. */
void rain_scales(const double *fade_db, const double *inv_alpha, size_t n, double *out);

/* (C.3.1) and the sum: share of rainy time, 0..1, in which the rain rate exceeds `scale` times that of a fade of 1 dB. */
double rain_sum(const rain_path *path, double scale);

/* rain_kernel.c as compiled for one set of instructions. [private] */
typedef struct rain_kernel {
  double (*sum)(const rain_path *path, double scale);
  void (*multipliers)(const rain_stack *stack, size_t first, size_t n, double *out);
  void (*rates)(const double *multiplier, size_t n, double ln_rate, double inv_alpha, double *out);
  void (*scales)(const double *fade_db, const double *inv_alpha, size_t n, double *out);
} rain_kernel;

#endif
