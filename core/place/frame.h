/* frame.h - the plane in which a map is computed: cells, and straight radials from the beacon.
 *
 * Two kinds:
 *   ES_FRAME_BEACON   azimuthal equidistant about the beacon on WGS 84: x east, y north, in metres. A straight line
 *                     from the origin is a geodesic, rings are circles, at a pole and across the antimeridian too.
 *   ES_FRAME_RASTER   the projected grid of an elevation raster, so that a cell of the map is a cell of that file.
 *                     Straight lines are allowed while they leave the geodesic by less than a quarter of a cell
 *                     (checked on the rim).
 *
 * Row 0 is the northernmost; cell (col,row) has its centre at x = x0 + (col + 1/2) cell, y = y0 - (row + 1/2) cell.
 * Const after creation; every function that takes a const frame may be called from any thread, except where marked.  */
#ifndef EARSHOT_PLACE_FRAME_H
#define EARSHOT_PLACE_FRAME_H

#include <stdbool.h>

#include "base/status.h"
#include "place/geodesic.h"

typedef enum es_frame_kind { ES_FRAME_BEACON, ES_FRAME_RASTER } es_frame_kind;

typedef struct es_frame {
  es_frame_kind kind;
  es_lonlat beacon;
  double beacon_x, beacon_y; /* the beacon in the plane; 0, 0 for ES_FRAME_BEACON */
  double x0, y0, cell_m;     /* upper left corner; square cells */
  int cols, rows;
  double radius_m;              /* cells farther than this from the beacon are outside; INFINITY: all are inside */
  char *wkt;                    /* the plane's CRS as WKT, for GeoTIFF; owned */
  struct es_frame_plane *plane; /* private: PROJ's objects of ES_FRAME_RASTER, else NULL */
} es_frame;

/* Both makers fill `out` whatever they answer: es_frame_fini() it in every case.
 * Cells of cell_m within radius_m of the beacon; the beacon stands in the middle of the centre cell. [setup] */
int32_t es_frame_about_beacon(es_lonlat beacon, double radius_m, double cell_m, es_frame *out, es_error *err);

/* The grid of a projected raster (north up, square cells, metres). Refuses with a reason when straight lines from the
 * beacon to the rim would leave the geodesic by a quarter of a cell or more. [setup] */
int32_t es_frame_of_raster(es_lonlat beacon, const char *wkt, double x0, double y0, double cell_m, int cols, int rows,
                           double radius_m, es_frame *out, es_error *err);
void es_frame_fini(es_frame *frame);

/* Centre of a cell relative to the beacon, metres in the plane. */
void es_frame_cell(const es_frame *frame, int col, int row, double *dx, double *dy);
/* Largest distance in the plane from the beacon to a cell centre that is inside. */
double es_frame_reach(const es_frame *frame);
/* Place of a point of the plane (dx, dy from the beacon); NaN outside the raster's CRS. [setup] for ES_FRAME_RASTER,
 * any thread for ES_FRAME_BEACON */
es_lonlat es_frame_place(const es_frame *frame, double dx, double dy);

#endif
