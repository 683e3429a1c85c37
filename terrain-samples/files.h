/* files.h - the island's files: rasters, and the coast as polygons [GDAL]. */
#ifndef EARSHOT_TERRAIN_FILES_H
#define EARSHOT_TERRAIN_FILES_H

#include "island.h"

#include <gdal.h>

#define COAST_M 0.5 /* between the sea, 0, and the lowest land, 1 */

/* One raster: a square window of the island in one file. */
typedef struct layer {
  const char *name, *what;
  int col, row, side;
  GDALDataType type;
  const void *pixels; /* of the whole island */
} layer;

/* Where the window begins; rows are SIDE pixels apart. */
const void *layer_first_pixel(const layer *l);
/* Gives an open file the window's place on Earth and its description. */
void layer_describe(GDALDatasetH file, const layer *l);

bool layer_write(const layer *l, const char *folder);
/* Compares every pixel, and says so on standard output. */
bool layer_check(const layer *l, const char *folder);

/* land.geojson: `whole` is the elevation of all the island. The check burns the polygons back onto the pixels. */
bool coast_write(const layer *whole, const char *folder);
bool coast_check(const layer *whole, const char *folder);

#endif
