/* tiles.h - the raster files of one kind, read as one [GDAL].
 *
 * Headers are read first; pixels only when a window of a lattice is asked for. A tile on that lattice (same CRS and
 * steps, within 0.01 pixel) is copied; any other is warped onto it. Missing never overwrites data, so tiles that share
 * an edge row or column, or overlap, leave no seam. Where two tiles both have data the later one counts. [setup]     */
#ifndef EARSHOT_GROUND_TILES_H
#define EARSHOT_GROUND_TILES_H

#include <gdal.h>

#include "ground/ground.h"
#include "ground/lattice.h"

typedef struct es_tile {
  char *path, *crs; /* owned; crs as WKT */
  double gt[6];
  int cols, rows;
  double scale, offset;  /* of the band, as packed files have them */
  GDALDatasetH open;     /* NULL while closed */
  bool same_crs, direct; /* on the lattice in hand */
  long col, row;         /* direct: of its first pixel, there */
  bool used;
} es_tile;

typedef struct es_tiles {
  const char *key; /* "elevation": key of the job, for faults */
  es_tile *items;
  size_t n, room;
  double scale, low, high; /* file units to ours; values outside [low, high] are missing */
  bool nearest;            /* classes: warped without mixing */
} es_tiles;

/* Opens each path, or every raster in it when it is a folder. True when there is no fault and at least one tile. */
bool es_tiles_gather(es_tiles *tiles, const char *const *paths, size_t n, const es_ground_plan *plan,
                     es_faults *faults);
void es_tiles_fini(es_tiles *tiles);

/* Finds which tiles lie on the lattice. Notes those that do not. */
void es_tiles_settle(es_tiles *tiles, const es_lattice *lattice, const es_ground_plan *plan, es_faults *faults);
/* Pixels of the window that tiles may have; the whole window when any tile has to be warped. */
es_window es_tiles_extent(const es_tiles *tiles, const es_lattice *lattice, es_window window);
/* Fills values[rows * cols], row 0 first, NaN where there is nothing. False with a fault. */
bool es_tiles_read(es_tiles *tiles, const es_lattice *lattice, es_window window, float *values,
                   const es_ground_plan *plan, es_faults *faults);
/* Closes files that end above this row (LONG_MAX: all). */
void es_tiles_close_above(es_tiles *tiles, long row);

#endif
