#include "batch.h"

#include <cpl_string.h>
#include <ftw.h>
#include <gdal_utils.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "run/run.h"

/* --- the folder ------------------------------------------------------------------------------------------------------- */

enum { MOST_PATHS = 256 };
static char *paths[MOST_PATHS]; /* handed out; a test program has one batch at a time */
static size_t n_paths;

void batch_open(batch *b) {
  snprintf(b->folder, sizeof b->folder, "/tmp/earshot-run-XXXXXX");
  assert_non_null(mkdtemp(b->folder));
  GDALAllRegister();
}

static int drop(const char *path, const struct stat *s, int kind, struct FTW *at) {
  (void)s, (void)kind, (void)at;
  return remove(path);
}

void batch_close(batch *b) {
  nftw(b->folder, drop, 16, FTW_DEPTH | FTW_PHYS);
  while (n_paths > 0) free(paths[--n_paths]);
}

const char *batch_path(batch *b, const char *name) {
  assert_true(n_paths < MOST_PATHS);
  size_t n = strlen(b->folder) + strlen(name) + 2;
  char *path = paths[n_paths++] = malloc(n);
  assert_non_null(path);
  snprintf(path, n, "%s/%s", b->folder, name);
  return path;
}

const char *batch_write(batch *b, const char *name, const char *format, ...) {
  const char *path = batch_path(b, name);
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  va_list args;
  va_start(args, format);
  vfprintf(file, format, args);
  va_end(args);
  assert_int_equal(fclose(file), 0);
  return path;
}

void batch_run(batch *b, const char *job_path, const char *out, int threads) {
  es_faults faults = {0};
  es_error err = {0};
  es_job *job = es_job_open(job_path, &faults);
  es_run_options options = {
      .folder = batch_path(b, out), .models.installed = ES_TEST_MODELS, .threads = threads, .quiet = true};
  int32_t status = job != NULL ? es_run(job, &options, &faults, &err) : ES_E_INPUT;
  for (size_t i = 0; status != 0 && i < faults.n; i++)
    print_error("%s:%ld: %s\n", faults.items[i].file, faults.items[i].line, faults.items[i].text);
  if (status != 0) fail_msg("%s: status %d: %s", job_path, status, err.detail);
  es_job_close(job);
  es_faults_free(&faults);
}

/* --- rasters ---------------------------------------------------------------------------------------------------------- */

void layer_read(layer *l, const char *path) {
  GDALDatasetH file = GDALOpen(path, GA_ReadOnly);
  if (file == NULL) fail_msg("%s cannot be read", path);
  *l = (layer){GDALGetRasterXSize(file), GDALGetRasterYSize(file), {0}, strdup(GDALGetProjectionRef(file)), NULL};
  size_t n = (size_t)l->cols * (size_t)l->rows;
  l->value = malloc(n * sizeof *l->value);
  assert_non_null(l->value);
  assert_int_equal(GDALGetGeoTransform(file, l->gt), CE_None);
  GDALRasterBandH band = GDALGetRasterBand(file, 1);
  assert_int_equal(GDALRasterIO(band, GF_Read, 0, 0, l->cols, l->rows, l->value, l->cols, l->rows, GDT_Float32, 0, 0),
                   CE_None);
  int given;
  float nodata = (float)GDALGetRasterNoDataValue(band, &given);
  for (size_t i = 0; given && i < n; i++)
    if (l->value[i] == nodata) l->value[i] = NAN;
  GDALClose(file);
}

void layer_fini(layer *l) {
  free(l->wkt);
  free(l->value);
}

float layer_at(const layer *l, double x, double y) {
  double col = floor((x - l->gt[0]) / l->gt[1]), row = floor((y - l->gt[3]) / l->gt[5]);
  if (!(col >= 0.0 && row >= 0.0 && col < l->cols && row < l->rows)) return NAN;
  return l->value[(size_t)row * (size_t)l->cols + (size_t)col];
}

void layer_write(const layer *l, const char *path) {
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("GTiff"), path, l->cols, l->rows, 1, GDT_Float32, NULL);
  assert_non_null(file);
  double gt[6];
  memcpy(gt, l->gt, sizeof gt);
  assert_int_equal(GDALSetGeoTransform(file, gt), CE_None);
  if (l->wkt != NULL) assert_int_equal(GDALSetProjection(file, l->wkt), CE_None);
  GDALRasterBandH band = GDALGetRasterBand(file, 1);
  GDALSetRasterNoDataValue(band, -9999.0);
  size_t n = (size_t)l->cols * (size_t)l->rows;
  float *value = malloc(n * sizeof *value);
  assert_non_null(value);
  for (size_t i = 0; i < n; i++) value[i] = isnan(l->value[i]) ? -9999.0f : l->value[i];
  assert_int_equal(GDALRasterIO(band, GF_Write, 0, 0, l->cols, l->rows, value, l->cols, l->rows, GDT_Float32, 0, 0),
                   CE_None);
  free(value);
  GDALClose(file);
}

void plane_of(const char *wkt, es_lonlat at, double *x, double *y) {
  OGRSpatialReferenceH from = OSRNewSpatialReference(NULL), to = OSRNewSpatialReference(NULL);
  assert_int_equal(OSRSetFromUserInput(to, wkt), OGRERR_NONE);
  OSRSetWellKnownGeogCS(from, "WGS84");
  OSRSetAxisMappingStrategy(from, OAMS_TRADITIONAL_GIS_ORDER);
  OSRSetAxisMappingStrategy(to, OAMS_TRADITIONAL_GIS_ORDER);
  OGRCoordinateTransformationH way = OCTNewCoordinateTransformation(from, to);
  assert_non_null(way);
  *x = at.lon_deg;
  *y = at.lat_deg;
  assert_true(OCTTransform(way, 1, x, y, NULL));
  OCTDestroyCoordinateTransformation(way);
  OSRDestroySpatialReference(from);
  OSRDestroySpatialReference(to);
}

static char **add_number(char **list, double value) {
  char text[32];
  snprintf(text, sizeof text, "%.3f", value);
  return CSLAddString(list, text);
}

void warp_about(const char *const *from, int n, const char *crs, es_lonlat at, double half_m, double cell_m,
                const char *to) {
  double x, y;
  plane_of(crs, at, &x, &y);
  x = cell_m * floor(x / cell_m);
  y = cell_m * floor(y / cell_m);
  char **words = CSLAddString(NULL, "-t_srs");
  words = CSLAddString(words, crs);
  words = CSLAddString(words, "-te");
  const double box[] = {x - half_m, y - half_m, x + half_m, y + half_m};
  for (int i = 0; i < 4; i++) words = add_number(words, box[i]);
  words = CSLAddString(words, "-tr");
  for (int i = 0; i < 2; i++) words = add_number(words, cell_m);
  static const char *const rest[] = {"-r", "bilinear", "-ot", "Float32", "-dstnodata", "-9999", NULL};
  for (int i = 0; rest[i] != NULL; i++) words = CSLAddString(words, rest[i]);
  GDALDatasetH sources[8];
  assert_true(n <= 8);
  for (int i = 0; i < n; i++)
    if ((sources[i] = GDALOpen(from[i], GA_ReadOnly)) == NULL) fail_msg("%s cannot be read", from[i]);
  GDALWarpAppOptions *options = GDALWarpAppOptionsNew(words, NULL);
  int failed = 0;
  GDALDatasetH file = GDALWarp(to, NULL, n, sources, options, &failed);
  assert_non_null(file);
  GDALClose(file);
  GDALWarpAppOptionsFree(options);
  CSLDestroy(words);
  for (int i = 0; i < n; i++) GDALClose(sources[i]);
}
