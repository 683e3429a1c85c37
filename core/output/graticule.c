#include "output/graticule.h"

#include <math.h>
#include <stdio.h>

enum { SIDE_SAMPLES = 40 };

static void widen(es_extent *e, const es_view *v, double x, double y) {
  es_lonlat at = es_view_at(v, x, y);
  double offset = remainder(at.lon_deg - v->beacon.lon_deg, 360.0);
  e->south_deg = fmin(e->south_deg, at.lat_deg);
  e->north_deg = fmax(e->north_deg, at.lat_deg);
  e->west_deg = fmin(e->west_deg, offset);
  e->east_deg = fmax(e->east_deg, offset);
}

/* All meridians meet in a pole that lies on the map. */
static void widen_to_pole(es_extent *e, const es_view *v, double lat_deg) {
  double x, y;
  if (!es_view_place(v, (es_lonlat){v->beacon.lon_deg, lat_deg}, &x, &y) || !es_view_inside_frame(x, y)) return;
  if (lat_deg > 0.0)
    e->north_deg = lat_deg;
  else
    e->south_deg = lat_deg;
  e->west_deg = -180.0;
  e->east_deg = 180.0;
}

es_extent es_extent_of(const es_view *v) {
  es_extent e = {90.0, -90.0, 180.0, -180.0};
  for (int k = 0; k <= SIDE_SAMPLES; k++) {
    double along = ES_MAP_SIDE_PX * k / SIDE_SAMPLES;
    widen(&e, v, ES_MAP_LEFT_PX + along, ES_MAP_TOP_PX);
    widen(&e, v, ES_MAP_LEFT_PX + along, ES_MAP_BOTTOM_PX);
    widen(&e, v, ES_MAP_LEFT_PX, ES_MAP_TOP_PX + along);
    widen(&e, v, ES_MAP_RIGHT_PX, ES_MAP_TOP_PX + along);
  }
  widen_to_pole(&e, v, 90.0);
  widen_to_pole(&e, v, -90.0);
  return e;
}

double es_graticule_step(double span_deg) {
  static const double STEP_MIN[] = {1, 2, 5, 10, 30, 60, 120, 300, 600, 1800}; /* minutes of arc */
  for (size_t k = 0; k < sizeof STEP_MIN / sizeof STEP_MIN[0]; k++)
    if (span_deg * 60.0 / STEP_MIN[k] <= 8.5) return STEP_MIN[k] / 60.0;
  return 45.0;
}

void es_graticule_label(double degrees, bool latitude, double step_deg, char out[ES_GRATICULE_LABEL]) {
  double wrapped = latitude ? degrees : remainder(degrees, 360.0);
  long minutes = lround(fabs(wrapped) * 60.0);
  char side = latitude ? (wrapped < 0.0 ? 'S' : 'N') : wrapped < 0.0 ? 'W' : 'E';
  bool no_side = minutes == 0 || (!latitude && minutes == 180 * 60);
  char name[4] = {' ', side, '\0'};
  if (step_deg >= 1.0)
    snprintf(out, ES_GRATICULE_LABEL, "%ld°%s", minutes / 60, no_side ? "" : name);
  else
    snprintf(out, ES_GRATICULE_LABEL, "%ld°%02ld′%s", minutes / 60, minutes % 60, no_side ? "" : name);
}

/* Fields of 20 x 10 degrees from 180 W, 90 S, then squares of 2 x 1. */
void es_square_name(double west_deg, double south_deg, char out[5]) {
  int column = (int)floor((remainder(west_deg, 360.0) + 180.0) / 2.0 + 1e-9) % 180;
  int row = (int)fmin(floor(south_deg + 90.0 + 1e-9), 179.0);
  snprintf(out, 5, "%c%c%c%c", 'A' + column / 10, 'A' + row / 10, '0' + column % 10, '0' + row % 10);
}
