/* batch.h - jobs made for a test: a folder of their own, rasters, runs, and what the runs wrote. */
#ifndef EARSHOT_TESTS_RUN_BATCH_H
#define EARSHOT_TESTS_RUN_BATCH_H

#include <gdal.h>

#include "near.h"
#include "place/geodesic.h"

/* A folder of the test's own, removed with everything in it. */
typedef struct batch {
  char folder[64];
} batch;

void batch_open(batch *b);
void batch_close(batch *b);
/* Path of a name in the folder; fresh memory, freed by batch_close(). */
const char *batch_path(batch *b, const char *name);
const char *batch_write(batch *b, const char *name, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* Runs a job file into a folder of the batch with so many threads; fails the test when the run has a fault. */
void batch_run(batch *b, const char *job, const char *out, int threads);

/* A raster in memory; values row by row, NaN where there are none. */
typedef struct layer {
  int cols, rows;
  double gt[6];
  char *wkt;
  float *value;
} layer;

void layer_read(layer *l, const char *path);
void layer_fini(layer *l);
/* Value at coordinates of the raster's plane; NaN outside. */
float layer_at(const layer *l, double x, double y);
/* Writes a GeoTIFF of Float32 with nodata -9999. */
void layer_write(const layer *l, const char *path);

/* Warps rasters to a square of cells about a place, bilinear, 2 * half_m a side. */
void warp_about(const char *const *from, int n, const char *crs, es_lonlat at, double half_m, double cell_m,
                const char *to);
/* Coordinates of a place in a raster's plane. */
void plane_of(const char *wkt, es_lonlat at, double *x, double *y);

#endif
