/* sphere.c - stands in for core/place where that is not built: geodesics on a sphere, a frame's plane turned by 2 degrees.
 * Good enough to draw and to test pictures with.                                                                        */
#include <math.h>

#include "base/units.h"
#include "place/frame.h"

static const double RADIUS_M = 6371000.0;

static double whole_turn(double deg) { return deg < 0.0 ? deg + 360.0 : deg; }

static double bearing(es_lonlat a, es_lonlat b) {
  double dl = es_rad(b.lon_deg - a.lon_deg), p = es_rad(a.lat_deg), q = es_rad(b.lat_deg);
  return whole_turn(es_deg(atan2(sin(dl) * cos(q), cos(p) * sin(q) - sin(p) * cos(q) * cos(dl))));
}

es_course es_geodesic_between(es_lonlat a, es_lonlat b) {
  double dl = es_rad(b.lon_deg - a.lon_deg), p = es_rad(a.lat_deg), q = es_rad(b.lat_deg);
  double h = pow(sin(0.5 * (q - p)), 2.0) + cos(p) * cos(q) * pow(sin(0.5 * dl), 2.0);
  return (es_course){2.0 * RADIUS_M * asin(fmin(1.0, sqrt(h))), bearing(a, b), bearing(b, a)};
}

es_lonlat es_geodesic_ahead(es_lonlat from, double azimuth_deg, double dist_m) {
  double d = dist_m / RADIUS_M, p = es_rad(from.lat_deg), a = es_rad(azimuth_deg);
  double q = asin(fmin(fmax(sin(p) * cos(d) + cos(p) * sin(d) * cos(a), -1.0), 1.0));
  double dl = atan2(sin(a) * sin(d) * cos(p), cos(d) - sin(p) * sin(q));
  return (es_lonlat){remainder(from.lon_deg + es_deg(dl), 360.0), es_deg(q)};
}

es_lonlat es_frame_place(const es_frame *frame, double dx, double dy) {
  double turned = frame->kind == ES_FRAME_RASTER ? 2.0 : 0.0;
  return es_geodesic_ahead(frame->beacon, es_deg(atan2(dx, dy)) + turned, hypot(dx, dy));
}

int32_t es_frame_of_raster(es_lonlat beacon, const char *wkt, double x0, double y0, double cell_m, int cols, int rows,
                           double radius_m, es_frame *out, es_error *err) {
  (void)wkt;
  (void)err;
  *out = (es_frame){
      ES_FRAME_RASTER, beacon, x0 + 0.5 * cols * cell_m, y0 - 0.5 * rows * cell_m, x0, y0, cell_m, cols, rows,
      radius_m,        NULL};
  return ES_OK;
}

void es_frame_fini(es_frame *frame) { (void)frame; }
