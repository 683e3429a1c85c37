/* zone.h - sea, coastal land, inland on a coarse grid.
 * Source: ITU-R P.452 (zone A1) and P.2001: coastal land is land within 50 km of the sea, below 100 m, joined to the
 * coast by such land; the two limits are the job's.
 *
 * A zone cell is a whole number of elevation pixels, at least 250 m a side. Cells are filled while the elevation is
 * read strip by strip, so the pixels beyond the map are never held. A cell is sea when at least half of its known
 * pixels are; without a mask a pixel counts as sea at 0 m or below, and what comes out only stays sea in areas of at
 * least 4 km2. Distances to the sea are Euclidean in true metres (two passes; exact but for the turn of the
 * meridians). */
#ifndef EARSHOT_GROUND_ZONE_H
#define EARSHOT_GROUND_ZONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "ground/lattice.h"
#include "ground/sampling.h"

typedef struct es_zone_tally {
  float height_sum;
  uint32_t known, sea, heights;
} es_zone_tally;

typedef struct es_zones {
  long col, row;    /* lattice pixel of the corner of cell (0,0) */
  int across, down; /* pixels in a cell */
  int cols, rows;
  uint8_t *zone;        /* ES_ZONE_...; inland where nothing is known; NULL: inland everywhere */
  es_zone_tally *tally; /* only while filling */
} es_zones;

/* Cells over a window whose pixels have these true sizes (at the area's centre). Sizes only, no memory. */
void es_zones_plan(es_zones *zones, es_window window, double along_row_m, double along_col_m);
bool es_zones_start(es_zones *zones);
/* Bytes that es_zones_finish() works with, tallies included. */
size_t es_zones_work_bytes(const es_zones *zones);
/* What is known of a pixel. */
typedef enum es_zone_pixel { ES_PIXEL_UNKNOWN, ES_PIXEL_LAND, ES_PIXEL_SEA } es_zone_pixel;
/* Adds n pixels of a lattice row from col on; height NaN: unknown. */
void es_zones_add(es_zones *zones, long col, long row, size_t n, const float *height_m, const uint8_t *pixel);
/* Makes the zones; by_height: the sea was told from the elevation alone. False: out of memory. */
bool es_zones_finish(es_zones *zones, const es_lattice *lattice, double coast_m, double coast_height_m, bool by_height);
void es_zones_fini(es_zones *zones);
/* Zone of a lattice pixel position; inland outside. [any thread] */
uint8_t es_zones_at(const es_zones *zones, double col, double row);
/* All of them, for positions that count from this lattice pixel; inland outside. zones->zone must be there. */
es_byte_cells es_zones_cells(const es_zones *zones, long col, long row);

#endif
