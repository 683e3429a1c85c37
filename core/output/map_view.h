/* map_view.h - where a place stands on the sheet, and which cell of the frame lies under a pixel.
 *
 * The drawing is azimuthal equidistant about the beacon: rings are true circles, bearings straight lines. The run's radius
 * is 525 px of the map frame's 1100.                                                                                     */
#ifndef EARSHOT_OUTPUT_MAP_VIEW_H
#define EARSHOT_OUTPUT_MAP_VIEW_H

#include <stdbool.h>

#include "place/frame.h"

/* The map frame on the sheet, px at scale 1. */
#define ES_MAP_LEFT_PX   64.0
#define ES_MAP_TOP_PX    52.0
#define ES_MAP_SIDE_PX   1100.0
#define ES_MAP_RING_PX   525.0
#define ES_MAP_CENTRE_X  (ES_MAP_LEFT_PX + 0.5 * ES_MAP_SIDE_PX)
#define ES_MAP_CENTRE_Y  (ES_MAP_TOP_PX + 0.5 * ES_MAP_SIDE_PX)
#define ES_MAP_RIGHT_PX  (ES_MAP_LEFT_PX + ES_MAP_SIDE_PX)
#define ES_MAP_BOTTOM_PX (ES_MAP_TOP_PX + ES_MAP_SIDE_PX)

typedef struct es_view {
  es_lonlat beacon;
  double radius_m, px_per_m;        /* px at scale 1 */
  double col0, col_east, col_south; /* fractional column = col0 + col_east x + col_south y; x, y px from the beacon */
  double row0, row_east, row_south;
  double cells_per_px;
} es_view;

es_view es_view_of(const es_frame *frame);

/* Sheet coordinates of a point by distance and azimuth from the beacon. */
void es_view_polar(const es_view *view, double dist_m, double azimuth_rad, double *x, double *y);
/* Sheet coordinates of a place; false when it lies on the far side of the Earth. */
bool es_view_place(const es_view *view, es_lonlat at, double *x, double *y);
/* Place under sheet coordinates. */
es_lonlat es_view_at(const es_view *view, double x, double y);
bool es_view_inside_frame(double x, double y);

#endif
