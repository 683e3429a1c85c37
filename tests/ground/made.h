/* made.h - small rasters and layers made for one test, in a folder that goes away with it. */
#ifndef EARSHOT_TESTS_MADE_H
#define EARSHOT_TESTS_MADE_H

#include <gdal.h>
#include <stdbool.h>

#include "ground/ground.h"

typedef struct made_raster {
  const char *name, *driver; /* driver NULL: GTiff */
  GDALDataType type;         /* 0: Float32 */
  int cols, rows;
  double gt[6];
  const char *crs;                     /* NULL: none */
  double nodata;                       /* NaN: not declared */
  double (*value)(double x, double y); /* at pixel centres, in the CRS */
} made_raster;

/* cmocka fixtures: *state is the folder's path. */
int made_setup(void **state);
int made_teardown(void **state);

/* Path inside the folder, kept until the test's end. */
const char *made_path(void **state, const char *name);
void made_folder(void **state, const char *name);
const char *made_write(void **state, made_raster raster);
const char *made_text(void **state, const char *name, const char *text);

/* A plan with one elevation path and the defaults of a job; zones not wanted. */
es_ground_plan made_plan(const char *const *elevation, size_t n);
/* Opens and fails the test with the first fault when there is any. */
es_ground *made_open(const es_ground_plan *plan, es_lonlat centre, double reach_m);
/* Opens what must not open: fails unless a fault holds both texts. */
void made_refused(const es_ground_plan *plan, es_lonlat centre, double reach_m, const char *text, const char *other);
/* One elevation at a place; NaN when it is missing. */
double made_height(const es_ground *ground, double lon_deg, double lat_deg);

#endif
