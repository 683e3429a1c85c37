/* globe.h - polygons of a map's plane as longitude and latitude: cut at 180 degrees, led around a pole they hold [OGR, GEOS]. */
#ifndef EARSHOT_OUTPUT_GLOBE_H
#define EARSHOT_OUTPUT_GLOBE_H

#include <ogr_api.h>

#include "place/geodesic.h"

typedef struct es_globe es_globe;

/* From a plane's CRS (WKT) to WGS 84, for shapes within reach_m of the beacon. NULL when PROJ cannot. [setup] */
es_globe *es_globe_open(const char *wkt, es_lonlat beacon, double reach_m);
void es_globe_close(es_globe *globe); /* accepts NULL */
/* Takes the shape over. A multipolygon of -180..180 degrees, perhaps empty; NULL when it cannot be. The last metre about a
 * pole is left out: there a polygon of longitudes has no shape. */
OGRGeometryH es_globe_polygons(const es_globe *globe, OGRGeometryH shape);

#endif
