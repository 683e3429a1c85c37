/* geodesic.c - geodesics on WGS 84.
 * Source: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), doi 10.1007/s00190-012-0578-z, through PROJ.
 * Error:  a few nanometres.                                                                                          */
#include "place/geodesic.h"

#include <geodesic.h>
#include <math.h>

/* Filled anew in each call: the library keeps no mutable state, and the set-up costs less than one geodesic. */
static void wgs84(struct geod_geodesic *earth) { geod_init(earth, 6378137.0, 1.0 / 298.257223563); }

static double full_turn(double deg) {
  double turned = fmod(deg, 360.0);
  if (turned < 0.0) turned += 360.0;
  return turned >= 360.0 || turned == 0.0 ? 0.0 : turned; /* no -0, and no 360 from rounding */
}

es_course es_geodesic_between(es_lonlat a, es_lonlat b) {
  struct geod_geodesic earth;
  wgs84(&earth);
  double dist_m, azimuth_deg, azimuth_there_deg;
  geod_inverse(&earth, a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg, &dist_m, &azimuth_deg, &azimuth_there_deg);
  return (es_course){dist_m, full_turn(azimuth_deg), full_turn(azimuth_there_deg + 180.0)};
}

void es_geodesic_along(es_lonlat from, double azimuth_deg, const double *dist_m, size_t n, es_lonlat *out) {
  struct geod_geodesic earth;
  struct geod_geodesicline line;
  wgs84(&earth);
  geod_lineinit(&line, &earth, from.lat_deg, from.lon_deg, azimuth_deg,
                GEOD_LATITUDE | GEOD_LONGITUDE | GEOD_DISTANCE_IN);
  for (size_t i = 0; i < n; i++) geod_position(&line, dist_m[i], &out[i].lat_deg, &out[i].lon_deg, NULL);
}

es_lonlat es_geodesic_ahead(es_lonlat from, double azimuth_deg, double dist_m) {
  es_lonlat to;
  es_geodesic_along(from, azimuth_deg, &dist_m, 1, &to);
  return to;
}
