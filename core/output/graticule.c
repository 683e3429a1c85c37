#include "output/graticule.h"

#include <math.h>
#include <stdio.h>

#include "base/units.h"

enum { SIDE_SAMPLES = 40, EXIT_SAMPLES = 384 };
static const double CORNER_PX = 34.0; /* room for a label beside a corner of the frame */

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

es_graticule es_graticule_of(const es_view *view) {
  es_graticule g = {.view = *view, .extent = es_extent_of(view)};
  g.step_lat = es_graticule_step(g.extent.north_deg - g.extent.south_deg);
  g.step_lon = es_graticule_step(g.extent.east_deg - g.extent.west_deg);
  return g;
}

double es_graticule_first(const es_graticule *g, bool parallel, double step) {
  if (parallel) return ceil(g->extent.south_deg / step - 1e-9) * step;
  double beacon = g->view.beacon.lon_deg;
  return ceil((beacon + g->extent.west_deg) / step - 1e-9) * step - beacon;
}

double es_graticule_end(const es_graticule *g, bool parallel) {
  return parallel ? g->extent.north_deg : g->extent.east_deg;
}

/* Offsets keep a parallel whole across 180 degrees. */
bool es_graticule_point(const es_graticule *g, bool parallel, double value, double share, double *x, double *y) {
  const es_extent *e = &g->extent;
  double beacon = g->view.beacon.lon_deg;
  es_lonlat at = parallel ? (es_lonlat){beacon + e->west_deg + share * (e->east_deg - e->west_deg), value}
                          : (es_lonlat){beacon + value, e->south_deg + share * (e->north_deg - e->south_deg)};
  return es_view_place(&g->view, at, x, y);
}

bool es_graticule_leaves(const es_graticule *g, bool parallel, double value, double *at) {
  double x0 = 0.0, y0 = 0.0;
  bool had = false;
  for (int k = 0; k <= EXIT_SAMPLES; k++) {
    double x, y;
    bool has = es_graticule_point(g, parallel, value, (double)k / EXIT_SAMPLES, &x, &y);
    double d0 = parallel ? x0 - ES_MAP_LEFT_PX : ES_MAP_BOTTOM_PX - y0;
    double d1 = parallel ? x - ES_MAP_LEFT_PX : ES_MAP_BOTTOM_PX - y;
    if (has && had && d0 <= 0.0 && d1 > 0.0) {
      double part = d0 / (d0 - d1), low = parallel ? ES_MAP_TOP_PX : ES_MAP_LEFT_PX;
      *at = parallel ? y0 + part * (y - y0) : x0 + part * (x - x0);
      if (*at > low + CORNER_PX && *at < low + ES_MAP_SIDE_PX - CORNER_PX) return true;
    }
    had = has;
    x0 = x;
    y0 = y;
  }
  return false;
}

bool es_graticule_squares(const es_view *v, double least_px) {
  double degree_px = 111e3 * v->px_per_m; /* a degree of latitude, nearly */
  return degree_px * fmin(1.0, 2.0 * cos(es_rad(v->beacon.lat_deg))) >= least_px;
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
