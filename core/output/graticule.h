/* graticule.h - round lines of latitude and longitude, and the locator squares, across a map. */
#ifndef EARSHOT_OUTPUT_GRATICULE_H
#define EARSHOT_OUTPUT_GRATICULE_H

#include "output/map_view.h"

/* Extent of the map frame. Longitudes are offsets from the beacon's, -180..180, so that 180 degrees is no seam. */
typedef struct es_extent {
  double south_deg, north_deg, west_deg, east_deg;
} es_extent;
es_extent es_extent_of(const es_view *view);

/* Smallest round step (5', 10', 30', 1, 2, 5 degrees; beyond that finer and coarser ones) with at most 8 lines. */
double es_graticule_step(double span_deg);

enum { ES_GRATICULE_LABEL = 48 }; /* bytes */
/* "46°30′ N", "36° W"; minutes only when the step needs them. */
void es_graticule_label(double degrees, bool latitude, double step_deg, char out[ES_GRATICULE_LABEL]);

/* Name of the locator square (2 x 1 degrees) whose south-west corner is given in degrees. */
void es_square_name(double west_deg, double south_deg, char out[5]);

#endif
