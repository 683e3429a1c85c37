/* noise.c - value noise on a square lattice.
 * The lattice values come from an integer hash (multiply and shift, 32 bits), blended by the quintic 6t^5-15t^4+10t^3,
 * whose first and second derivatives vanish at the lattice: no creases in the shaded relief.                            */
#include "island.h"

#include <math.h>

double noise_lattice(int32_t x, int32_t y, uint32_t seed) {
  uint32_t h = (uint32_t)x * 0x9e3779b1u ^ (uint32_t)y * 0x85ebca77u ^ seed * 0xc2b2ae3du;
  h = (h ^ h >> 15) * 0x2c1b3c6du;
  h = (h ^ h >> 12) * 0x297a2d39u;
  h ^= h >> 15;
  return (double)h / 2147483647.5 - 1.0;
}

static double quintic(double t) { return t * t * t * (t * (t * 6.0 - 15.0) + 10.0); }

double noise_at(double x, double y, uint32_t seed) {
  double column = floor(x), row = floor(y);
  int32_t i = (int32_t)column, j = (int32_t)row;
  double u = quintic(x - column), v = quintic(y - row);
  double north = noise_lattice(i, j, seed) * (1.0 - u) + noise_lattice(i + 1, j, seed) * u;
  double south = noise_lattice(i, j + 1, seed) * (1.0 - u) + noise_lattice(i + 1, j + 1, seed) * u;
  return north * (1.0 - v) + south * v;
}

/* Each octave is turned by the 3-4-5 triangle, so that the lattices do not line up. */
static void next_octave(double *x, double *y) {
  double turned = 2.0 * (0.8 * *x - 0.6 * *y);
  *y = 2.0 * (0.6 * *x + 0.8 * *y) + 17.3;
  *x = turned + 5.7;
}

double noise_fractal(double x, double y, int octaves, uint32_t seed) {
  double sum = 0.0, height = 1.0, total = 0.0;
  for (int k = 0; k < octaves; k++, height *= 0.5, next_octave(&x, &y)) {
    sum += height * noise_at(x, y, seed + (uint32_t)k);
    total += height;
  }
  return 1.6 * sum / total;
}

double noise_ridged(double x, double y, int octaves, uint32_t seed) {
  double sum = 0.0, height = 1.0, total = 0.0;
  for (int k = 0; k < octaves; k++, height *= 0.5, next_octave(&x, &y)) {
    double crest = 1.0 - fabs(1.6 * noise_at(x, y, seed + (uint32_t)k));
    sum += height * crest * fabs(crest);
    total += height;
  }
  return sum > 0.0 ? sum / total : 0.0;
}

double smooth_step(double low, double high, double value) {
  double t = (value - low) / (high - low);
  if (t <= 0.0) return 0.0;
  return t >= 1.0 ? 1.0 : t * t * (3.0 - 2.0 * t);
}
