/* geodesic.h - distances, bearings and lines on WGS 84 [PROJ geodesic.h: Karney 2013, doi 10.1007/s00190-012-0578-z].
 *
 * Everything here is pure and may be called from any thread.                                                         */
#ifndef EARSHOT_PLACE_GEODESIC_H
#define EARSHOT_PLACE_GEODESIC_H

#include <stddef.h>

typedef struct es_lonlat {
  double lon_deg, lat_deg;
} es_lonlat; /* WGS 84; longitude east, -180..180 */

typedef struct es_course {
  double dist_m;           /* shortest distance on the ellipsoid */
  double azimuth_deg;      /* at a towards b, 0..360 from true north */
  double back_azimuth_deg; /* at b towards a, 0..360 */
} es_course;

es_course es_geodesic_between(es_lonlat a, es_lonlat b);
es_lonlat es_geodesic_ahead(es_lonlat from, double azimuth_deg, double dist_m);
/* Places at dist_m[0..n-1] along one geodesic: one set-up, n positions. */
void es_geodesic_along(es_lonlat from, double azimuth_deg, const double *dist_m, size_t n, es_lonlat *out);

#endif
