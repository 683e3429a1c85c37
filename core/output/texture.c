#include "output/texture.h"

#include <math.h>

static const double HALF_ROOT = 0.70710678118654752; /* sin 45 degrees: offset along x to distance across a line */

static double wrap(double x, double period) { return x - period * floor(x / period); }

/* Cover of a pixel by a stroke of that width whose middle passes `away` from the pixel's centre. */
static double stroke(double away, double width, double pixel) {
  double inside = (0.5 * width - fabs(away)) / pixel + 0.5;
  return fmin(fmax(inside, 0.0), fmin(1.0, width / pixel));
}

static double slanted(double along, double period, double width, double pixel) {
  return stroke((wrap(along, period) - 0.5 * period) * HALF_ROOT, width, pixel);
}

static double dots(double x, double y, double pixel) {
  double row = floor(y / 6.0);
  double from_x = wrap(x + (fmod(row, 2.0) != 0.0 ? 3.0 : 0.0), 6.0) - 3.0, from_y = wrap(y, 6.0) - 3.0;
  return stroke(fmax(fabs(from_x), fabs(from_y)), 2.0, pixel);
}

static double dashes(double x, double y, double pixel) {
  double row = floor(y / 10.0);
  double from_x = wrap(x + (fmod(row, 2.0) != 0.0 ? 10.0 : 0.0), 20.0) - 5.0, from_y = wrap(y, 10.0) - 4.5;
  if (fabs(from_x) > 3.0 || fabs(from_y) > 3.5) return 0.0;
  return stroke((from_x - from_y) * HALF_ROOT, 1.3, pixel);
}

double es_texture_cover(es_texture texture, double x, double y, double pixel) {
  switch (texture) {
  case ES_TEXTURE_NO_DATA: return slanted(x + y, 9.0, 1.5, pixel);
  case ES_TEXTURE_LOST: return slanted(x - y, 7.0, 1.0, pixel);
  case ES_TEXTURE_DOTS: return dots(x, y, pixel);
  case ES_TEXTURE_LEVEL: return stroke(wrap(y, 7.0) - 3.5, 1.0, pixel);
  case ES_TEXTURE_DASHES: return dashes(x, y, pixel);
  case ES_TEXTURE_NONE: break;
  }
  return 0.0;
}
