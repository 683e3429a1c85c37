/* test_map_raster.c - what GDAL reads back is what was given, and nothing else. */
#include "output/map_raster.h"

#include <cpl_conv.h>
#include <gdal.h>
#include <ogr_srs_api.h>

#include "scratch.h"

enum { COLS = 700, ROWS = 600 };
static const char *const KEYS[] = {"SCENARIO", "UNIT_OF_TIME"};
static const char *const TEXTS[] = {"in-leaf, 18 m", "percent of the year"};

typedef struct fixture {
  es_frame frame;
  float *values;
} fixture;

static fixture make(void) {
  fixture f = {.frame = {.kind = ES_FRAME_BEACON,
                         .beacon = {-36.1, 46.5},
                         .x0 = -35000,
                         .y0 = 30000,
                         .cell_m = 100,
                         .cols = COLS,
                         .rows = ROWS,
                         .radius_m = 30000}};
  OGRSpatialReferenceH plane = OSRNewSpatialReference(NULL);
  assert_int_equal(OSRSetFromUserInput(plane, "+proj=aeqd +lon_0=-36.1 +lat_0=46.5 +datum=WGS84"), OGRERR_NONE);
  assert_int_equal(OSRExportToWkt(plane, &f.frame.wkt), OGRERR_NONE);
  OSRDestroySpatialReference(plane);
  f.values = malloc(sizeof(float) * COLS * ROWS);
  assert_non_null(f.values);
  for (int i = 0; i < COLS * ROWS; i++) f.values[i] = i % 7 == 0 ? NAN : 0.25f * (float)(i % 1000) - 100.0f;
  return f;
}

static void drop(fixture *f) {
  CPLFree(f->frame.wkt);
  free(f->values);
}

static int32_t write_map(const char *path, const fixture *f, int threads, es_error *err) {
  return es_map_raster_write(path, &f->frame, f->values, "SNR in 2500 Hz", "dB", KEYS, TEXTS, 2, threads, err);
}

static void check_band(GDALDatasetH file, const fixture *f) {
  GDALRasterBandH band = GDALGetRasterBand(file, 1);
  int has = 0;
  assert_true(isnan(GDALGetRasterNoDataValue(band, &has)) && has);
  assert_string_equal(GDALGetDescription(band), "SNR in 2500 Hz");
  assert_string_equal(GDALGetRasterUnitType(band), "dB");
  assert_int_equal(GDALGetRasterDataType(band), GDT_Float32);
  float *back = malloc(sizeof(float) * COLS * ROWS);
  assert_non_null(back);
  assert_int_equal(GDALRasterIO(band, GF_Read, 0, 0, COLS, ROWS, back, COLS, ROWS, GDT_Float32, 0, 0), CE_None);
  for (int i = 0; i < COLS * ROWS; i++) assert_true(isnan(f->values[i]) ? isnan(back[i]) : back[i] == f->values[i]);
  free(back);
}

static void reads_back(void **state) {
  fixture f = make();
  char *path = scratch_path(state, "m.tif");
  assert_int_equal(write_map(path, &f, 2, NULL), ES_OK);
  GDALDatasetH file = GDALOpen(path, GA_ReadOnly);
  assert_non_null(file);
  double corner[6];
  assert_int_equal(GDALGetGeoTransform(file, corner), CE_None);
  assert_near(corner[0], -35000.0, 0.0);
  assert_near(corner[3], 30000.0, 0.0);
  assert_near(corner[5], -100.0, 0.0);
  assert_non_null(strstr(GDALGetProjectionRef(file), "Azimuthal"));
  assert_string_equal(GDALGetMetadataItem(file, "SCENARIO", NULL), "in-leaf, 18 m");
  assert_string_equal(GDALGetMetadataItem(file, "LAYOUT", "IMAGE_STRUCTURE"), "COG");
  check_band(file, &f);
  GDALClose(file);
  assert_int_equal(scratch_count(*state), 1); /* no side file */
  free(path);
  drop(&f);
}

/* To the bit, NaN and minus zero too: a run that was stopped picks its maps up from there. */
static void reads_back_to_the_bit(void **state) {
  fixture f = make();
  char *path = scratch_path(state, "map.tif");
  es_error err = {0};
  f.values[1] = -0.0f, f.values[2] = 1e-42f, f.values[3] = 3.4e38f, f.values[4] = 1.0f / 3.0f;
  assert_int_equal(write_map(path, &f, 1, &err), ES_OK);
  float *back = malloc(sizeof(float) * COLS * ROWS);
  assert_non_null(back);
  assert_int_equal(es_map_raster_read(path, &f.frame, back, &err), ES_OK);
  assert_memory_equal(back, f.values, sizeof(float) * COLS * ROWS);
  es_frame other = f.frame;
  other.rows--;
  assert_int_equal(es_map_raster_read(path, &other, back, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "map.tif"));
  assert_int_equal(es_map_raster_read("/nowhere.tif", &f.frame, back, &err), ES_E_FILE);
  free(back);
  free(path);
  drop(&f);
}

static void bytes_do_not_depend_on_threads_or_time(void **state) {
  fixture f = make();
  char *one = scratch_path(state, "one.tif"), *two = scratch_path(state, "two.tif");
  assert_int_equal(write_map(one, &f, 1, NULL), ES_OK);
  sleep(1); /* a clock time would differ */
  assert_int_equal(write_map(two, &f, 4, NULL), ES_OK);
  assert_same_files(one, two);
  free(one);
  free(two);
  drop(&f);
}

static void failing_writes_leave_nothing(void **state) {
  fixture f = make();
  char *path = scratch_path(state, "none/m.tif");
  es_error err = {0};
  assert_int_equal(write_map(path, &f, 1, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "none/m.tif"));
  assert_int_equal(scratch_count(*state), 0);
  free(path);
  drop(&f);
}

#define IN_SCRATCH(test) cmocka_unit_test_setup_teardown(test, scratch_make, scratch_remove)
int main(void) {
  const struct CMUnitTest tests[] = {IN_SCRATCH(reads_back), IN_SCRATCH(reads_back_to_the_bit),
                                     IN_SCRATCH(bytes_do_not_depend_on_threads_or_time),
                                     IN_SCRATCH(failing_writes_leave_nothing)};
  return cmocka_run_group_tests_name("map_raster", tests, NULL, NULL);
}
