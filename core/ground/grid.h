/* grid.h - one kind of raster over the area: where its pixels lie, and (after reading) what they hold. */
#ifndef EARSHOT_GROUND_GRID_H
#define EARSHOT_GROUND_GRID_H

#include "ground/chart.h"
#include "ground/tiles.h"

typedef struct es_grid {
  es_tiles tiles;
  es_lattice lattice;
  es_window window;     /* pixels held */
  es_chart chart;       /* over the beacon's plane; positions count from the window's corner */
  es_chart plane_chart; /* over the elevation's own projected plane; unused when there is none */
  size_t pitch;         /* of value: from one row to the next; of class_ it is window.cols */
  float *value;         /* elevation, canopy: NaN missing; NULL for classes */
  uint8_t *class_;      /* cover: 0 missing; NULL for values */
} es_grid;

/* Chooses the lattice: the pixels of the tile under the centre, else (rotated, or too crooked for a chart: a pole) the
 * beacon's plane at the same step. The chart reaches reach_m. False with faults. */
bool es_grid_place(es_grid *grid, es_ground_area area, double reach_m, const es_ground_plan *plan, es_faults *faults);
/* Sets the window to hold and counts positions from it. */
void es_grid_hold(es_grid *grid, es_window window);
/* Reads the window held into value or class_. False with faults. */
bool es_grid_read(es_grid *grid, bool classes, const es_ground_plan *plan, es_faults *faults);
void es_grid_fini(es_grid *grid);
size_t es_grid_pixels(const es_grid *grid);
/* Gets memory for value: of a padded grid a row is a line of the cache longer than its pixels, so that a radial that runs
 * along a column meets all of the cache and not one corner of it. False: out of memory. */
bool es_grid_get_values(es_grid *grid, bool padded);
size_t es_grid_chart_bytes(const es_grid *grid);
/* Shorter side of a pixel at the area's centre, metres. */
double es_grid_step_m(const es_lattice *lattice, es_lonlat centre);
/* The same for a tile, rotated or not; NaN when its CRS does not reach there. */
double es_tile_step_m(const es_tile *tile, es_lonlat centre);
/* Place of a point of the beacon's plane; ctx is its es_lonlat centre. */
es_lonlat es_beacon_plane_place(const void *centre, double x, double y);

#endif
