/* melting.h - the melting layer, ITU-R P.2001-6 C.4; without branches, for loops over many heights. [private] */
#ifndef EARSHOT_PLUGINS_MELTING_H
#define EARSHOT_PLUGINS_MELTING_H

#include "earshot/maths.h"

static const double MELTING_LAYER_M = 1200.0, MELTING_SLICE_M = 100.0;

/* Multiplier of the attenuation of rain at a height above the top of the layer, m. */
static inline double melting_multiplier(double above_m) {
  double melting = 1.0 - es_exp(above_m / 70.0), snow = above_m / 600.0;
  double g1 = 4.0 * melting * melting, share = 1.0 - es_exp(-snow * snow);
  double inside = g1 / (1.0 + share * share * (g1 - 1.0));
  inside = above_m < -MELTING_LAYER_M ? 1.0 : inside;
  return above_m > 0.0 ? 0.0 : inside;
}

#endif
