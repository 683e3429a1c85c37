/* polarisation.c - Source: polarisation loss factor of two ellipses (antenna theory):
 *   PLF = 1/2 + [+-4 r1 r2 + (r1^2 - 1)(r2^2 - 1) cos(2 dt)] / [2 (r1^2 + 1)(r2^2 + 1)], + for equal senses. */
#include "station/polarisation.h"

#include <math.h>

#include "base/units.h"
#include "earshot/model.h"
#include "station/station.h"

static const double LINEAR = 1e6; /* axial ratio */

es_polarisation es_polarisation_of(int32_t word, int32_t beacon) {
  if (word == ES_POLAR_SAME) word = beacon == ES_VERTICAL ? ES_POLAR_VERTICAL : ES_POLAR_HORIZONTAL;
  switch (word) {
  case ES_POLAR_VERTICAL: return (es_polarisation){0.5 * ES_PI, LINEAR, false};
  case ES_POLAR_SLANT: return (es_polarisation){0.25 * ES_PI, LINEAR, false};
  case ES_POLAR_RIGHT: return (es_polarisation){0.0, 1.0, false};
  case ES_POLAR_LEFT: return (es_polarisation){0.0, 1.0, true};
  case ES_POLAR_HORIZONTAL:
  default: return (es_polarisation){0.0, LINEAR, false};
  }
}

double es_polarisation_loss_db(es_polarisation one, es_polarisation two, double xpd_db) {
  double a = one.axial_ratio * one.axial_ratio, b = two.axial_ratio * two.axial_ratio;
  double turning = (one.left == two.left ? 4.0 : -4.0) * one.axial_ratio * two.axial_ratio;
  double share =
      0.5 + (turning + (a - 1.0) * (b - 1.0) * cos(2.0 * (one.tilt - two.tilt))) / (2.0 * (a + 1.0) * (b + 1.0));
  return fmax(0.0, -es_db(fmax(share, es_ratio(-xpd_db))));
}

double es_receiver_polarisation_db(const es_receiver *rx, int32_t beacon) {
  return es_polarisation_loss_db(es_polarisation_of(ES_POLAR_SAME, beacon),
                                 es_polarisation_of(rx->polarisation, beacon), rx->xpd_db);
}
