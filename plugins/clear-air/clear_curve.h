/* clear_curve.h - how often a fade or an enhancement in clear air is exceeded, ITU-R P.2001-6 B.4, for many at once. */
#ifndef EARSHOT_PLUGINS_CLEAR_CURVE_H
#define EARSHOT_PLUGINS_CLEAR_CURVE_H

#include <stddef.h>

/* Percent of the time without rain that fade_db[i] is exceeded. shape[i]: qt of (B.4.1) for a fade of 0 or more, qs of (B.4.2)
 * for an enhancement, a fade below 0. NaN gives NaN. */
void clear_percents(const double *shape, const double *fade_db, size_t n, double *out);

/* clear_kernel.c as compiled for one set of instructions. [private] */
typedef struct clear_kernel {
  void (*percents)(const double *shape, const double *fade_db, size_t n, double *out);
} clear_kernel;

#endif
