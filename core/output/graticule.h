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

/* The lines across one map. A line is a parallel, by its latitude, or a meridian, by its offset from the beacon's longitude. */
typedef struct es_graticule {
  es_view view;
  es_extent extent;
  double step_lat, step_lon;
} es_graticule;
es_graticule es_graticule_of(const es_view *view);
/* First line of a step at or after the southern or western edge (in true longitude a multiple of the step), and the edge at
 * which they end. */
double es_graticule_first(const es_graticule *graticule, bool parallel, double step);
double es_graticule_end(const es_graticule *graticule, bool parallel);
/* Sheet coordinates of the place a share (0 to 1) of the way along a line; false on the far side of the Earth. */
bool es_graticule_point(const es_graticule *graticule, bool parallel, double value, double share, double *x, double *y);
/* Where a parallel leaves the frame at its left, or a meridian at its lower side; false when it does not, or near a corner. */
bool es_graticule_leaves(const es_graticule *graticule, bool parallel, double value, double *at);
/* Whether locator squares are at least so large on the map, px. */
bool es_graticule_squares(const es_view *view, double least_px);

/* Locator squares smaller than the first are not drawn, than the second not named, px. */
#define ES_SQUARE_MIN_PX       46.0
#define ES_SQUARE_NAMED_MIN_PX 90.0

enum { ES_GRATICULE_LABEL = 48 }; /* bytes */
/* "46°30′ N", "36° W"; minutes only when the step needs them. */
void es_graticule_label(double degrees, bool latitude, double step_deg, char out[ES_GRATICULE_LABEL]);

/* Name of the locator square (2 x 1 degrees) whose south-west corner is given in degrees. */
void es_square_name(double west_deg, double south_deg, char out[5]);

#endif
