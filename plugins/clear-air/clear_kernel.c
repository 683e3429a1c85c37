/* clear_kernel.c - clear_percents() by vector instructions; compiled for several sets of them, with the same sums in all.
 *
 * Fades and enhancements differ in constants alone. With A the magnitude of the fade, both are
 *
 *   a = 10^(-0.05 A)   q = base + (1 + 0.3 a) 10^(-bend A) (shape + lift (a + A / 800))   y = ln 2  10^(-0.05 q A)
 *
 * and the share is 1 - e^-y for a fade, e^-y for an enhancement.                                                          */
#include "clear_curve.h"

#include "earshot/maths.h"

#ifndef CLEAR_KERNEL
#define CLEAR_KERNEL clear_kernel_portable
#endif

/* 1 - e^-y, y >= 0: by its series where the difference would lose digits. */
static inline double rest_of(double y, double exp_y) {
  double series = y * (1.0 - y / 2.0 * (1.0 - y / 3.0 * (1.0 - y / 4.0 * (1.0 - y / 5.0 * (1.0 - y / 6.0)))));
  return y < 0.02 ? series : 1.0 - exp_y;
}

static inline double percent(double shape, double fade_db) {
  int enhanced = fade_db < 0.0;
  double bend = enhanced ? 0.035 : 0.016, base = enhanced ? 8.0 : 2.0, lift = enhanced ? 12.0 : 4.3;
  double a_db = fabs(fade_db), amplitude = es_exp10(-0.05 * a_db);
  double q = base + (1.0 + 0.3 * amplitude) * es_exp10(-bend * a_db) * (shape + lift * (amplitude + a_db / 800.0));
  double y = ES_LN_2 * es_exp10(-0.05 * q * a_db), exp_y = es_exp(-y);
  return 100.0 * (enhanced ? exp_y : rest_of(y, exp_y));
}

static void percents(const double *shape, const double *fade_db, size_t n, double *out) {
  for (size_t i = 0; i < n; i++) out[i] = percent(shape[i], fade_db[i]);
}

const clear_kernel CLEAR_KERNEL = {percents};
