/* Many files as one; values that are none; files that cannot be used. */
#include "made.h"
#include "near.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static double ramp(double x, double y) { return 500.0 + 100.0 * (x - 8.0) - 60.0 * (y - 50.0); }

/* Degrees, 1e-3 steps, corner at (lon, 50.3). */
static made_raster tile(const char *name, double lon, int cols) {
  return (made_raster){.name = name,
                       .cols = cols,
                       .rows = 600,
                       .gt = {lon, 1e-3, 0.0, 50.3, 0.0, -1e-3},
                       .crs = "EPSG:4326",
                       .nodata = NAN,
                       .value = ramp};
}

static const es_lonlat centre = {8.0, 50.0};

static void assert_no_seam(const es_ground *g) {
  for (double lon = 7.9; lon < 8.1; lon += 0.00037) assert_near(made_height(g, lon, 50.01), ramp(lon, 50.01), 0.003);
  assert_int_equal(es_ground_facts_get(g).missing, 0);
}

/* Both tiles hold the column from 8.0 to 8.001, as tiles whose edges are pixel centres do. */
static void shared_column_leaves_no_seam(void **state) {
  made_folder(state, "tiles");
  made_write(state, tile("tiles/west.tif", 7.7, 301));
  made_write(state, tile("tiles/east.tif", 8.0, 300));
  made_text(state, "tiles/readme.txt", "no raster");
  const char *folder = made_path(state, "tiles");
  es_ground_plan plan = made_plan(&folder, 1);
  es_ground *g = made_open(&plan, centre, 12e3);
  assert_no_seam(g);
  size_t n;
  const es_data_set *sets = es_ground_data_sets(g, &n);
  assert_int_equal(n, 2);
  assert_non_null(strstr(sets[0].path, "east.tif")); /* sorted by name */
  es_ground_close(g);
}

static void missing_edge_does_not_overwrite(void **state) {
  made_raster west = tile("a.tif", 7.7, 301), east = tile("b.tif", 7.99, 310);
  const char *paths[] = {made_write(state, west), made_write(state, east)};
  GDALDatasetH file = GDALOpen(paths[1], GA_Update);
  float hole[10 * 600];
  for (int i = 0; i < 10 * 600; i++) hole[i] = i % 2 == 0 ? NAN : INFINITY;
  assert_int_equal(GDALRasterIO(GDALGetRasterBand(file, 1), GF_Write, 0, 0, 10, 600, hole, 10, 600, GDT_Float32, 0, 0),
                   CE_None);
  GDALClose(file);
  es_ground_plan plan = made_plan(paths, 2);
  es_ground *g = made_open(&plan, centre, 12e3);
  assert_no_seam(g);
  es_ground_close(g);
}

/* A tile on UTM beside one in degrees: resampled onto the first one's pixels. */
static double ramp_of_utm(double x, double y) {
  (void)x, (void)y;
  return 750.0;
}
static void other_crs_is_resampled(void **state) {
  made_raster west = tile("a.tif", 7.7, 310);
  made_raster east = {.name = "b.tif",
                      .cols = 400,
                      .rows = 500,
                      .gt = {427e3, 100.0, 0.0, 5565e3, 0.0, -100.0},
                      .crs = "EPSG:32632",
                      .nodata = NAN,
                      .value = ramp_of_utm};
  const char *paths[] = {made_write(state, west), made_write(state, east)};
  es_ground_plan plan = made_plan(paths, 2);
  es_faults faults = {0};
  es_ground *g = es_ground_open(&plan, (es_ground_area){centre, 12e3}, &faults, NULL);
  assert_non_null(g);
  assert_int_equal(faults.n, 1);
  assert_non_null(strstr(faults.items[0].text, "b.tif"));
  es_faults_free(&faults);
  assert_near(made_height(g, 7.9, 50.0), ramp(7.9, 50.0), 0.003);
  assert_near(made_height(g, 8.1, 50.0), 750.0, 1e-3);
  es_ground_close(g);
}

/* The file under the beacon sets the pixels, wherever it stands in the list. */
static void tile_under_the_beacon_leads(void **state) {
  made_raster far = tile("a.tif", 6.0, 300);
  made_raster here = {.name = "b.tif",
                      .cols = 400,
                      .rows = 500,
                      .gt = {427e3, 100.0, 0.0, 5565e3, 0.0, -100.0},
                      .crs = "EPSG:32632",
                      .nodata = NAN,
                      .value = ramp_of_utm};
  const char *paths[] = {made_write(state, far), made_write(state, here)};
  es_ground_plan plan = made_plan(paths, 2);
  es_ground *g = made_open(&plan, (es_lonlat){8.2, 50.0}, 12e3);
  assert_near(es_ground_facts_get(g).step_m, 100.0, 0.1);
  size_t n;
  assert_non_null(strstr(es_ground_data_sets(g, &n)->path, "b.tif"));
  assert_int_equal(n, 1); /* nothing of the other was needed */
  es_ground_close(g);
}

static double steps(double x, double y) { return 1000.0 + 0.0 * x * y; }
static void feet_become_metres_and_types_are_read(void **state) {
  static const GDALDataType types[] = {GDT_Int16, GDT_Float32, GDT_Float64, GDT_UInt16, GDT_Int32};
  for (int i = 0; i < 5; i++) {
    made_raster r = tile("feet.tif", 7.7, 600);
    r.value = steps, r.type = types[i];
    const char *path = made_write(state, r);
    es_ground_plan plan = made_plan(&path, 1);
    plan.elevation_scale = 0.3048;
    es_ground *g = made_open(&plan, centre, 5e3);
    assert_near(made_height(g, 8.01, 50.0), 304.8, 1e-4);
    es_ground_close(g);
  }
}

static void packed_bands_are_unpacked(void **state) {
  made_raster r = tile("packed.tif", 7.7, 600);
  r.value = steps, r.type = GDT_Int16;
  const char *path = made_write(state, r);
  GDALDatasetH file = GDALOpen(path, GA_Update);
  GDALSetRasterScale(GDALGetRasterBand(file, 1), 0.5);
  GDALSetRasterOffset(GDALGetRasterBand(file, 1), 20.0);
  GDALClose(file);
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, centre, 5e3);
  assert_near(made_height(g, 8.01, 50.0), 520.0, 1e-4);
  es_ground_close(g);
}

/* East of 8.05 there is nothing, in four spellings. */
static double hole;
static double with_hole(double x, double y) { return x > 8.05 ? hole : ramp(x, y); }
static void void_is_missing_never_zero(void **state) {
  static const struct {
    GDALDataType type;
    double hole, nodata;
  } rows[] = {{GDT_Int16, -32768.0, -32768.0}, {GDT_Int16, -32768.0, NAN}, /* not declared, but no height */
              {GDT_Float32, -9999.0, -9999.0}, {GDT_Float32, NAN, NAN},    {GDT_Float32, INFINITY, NAN},
              {GDT_Float32, -3.4e38, NAN},     {GDT_Int16, 0.0, 0.0}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    made_raster r = tile("hole.tif", 7.7, 600);
    hole = rows[i].hole;
    r.type = rows[i].type, r.nodata = rows[i].nodata, r.value = with_hole;
    const char *path = made_write(state, r);
    es_ground_plan plan = made_plan(&path, 1);
    es_ground *g = made_open(&plan, centre, 10e3);
    assert_near(made_height(g, 8.04, 50.0), ramp(8.04, 50.0), r.type == GDT_Int16 ? 1.0 : 0.003);
    assert_true(isnan(made_height(g, 8.06, 50.0)));
    assert_true(isnan(made_height(g, 8.0502, 50.0)));  /* one of its four neighbours is missing */
    assert_true(!isnan(made_height(g, 8.0495, 50.0))); /* on the last pixel's centre */
    assert_true(es_ground_facts_get(g).missing > 0);
    es_ground_close(g);
  }
}

static void partly_covered_is_missing_outside(void **state) {
  const char *path = made_write(state, tile("part.tif", 7.7, 310)); /* ends at 8.01 */
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, centre, 10e3);
  double dist_m[] = {0.0, 500.0, 1500.0, 9000.0, 20e3, 1e7}, height_m[6];
  uint8_t known[6];
  es_ground_samples out = {.ground_m = height_m, .known = known};
  es_ground_sample(g, centre, 90.0, dist_m, 6, &out);
  const uint8_t wanted[6] = {1, 1, 0, 0, 0, 0};
  assert_memory_equal(known, wanted, 6);
  assert_near(height_m[3], 0.0, 0.0);
  assert_true(es_ground_facts_get(g).missing > 0);
  es_ground_close(g);
}

static void no_overlap_is_refused(void **state) {
  const char *path = made_write(state, tile("far.tif", 20.0, 600));
  es_ground_plan plan = made_plan(&path, 1);
  made_refused(&plan, centre, 10e3, "far.tif", "covers nothing");
  es_faults faults = {0};
  assert_int_equal(es_ground_bytes(&plan, (es_ground_area){centre, 10e3}, &faults), 0);
  assert_int_equal(faults.n_faults, 1);
  es_faults_free(&faults);
}

static double nothing(double x, double y) { return NAN * x * y; }
static void only_voids_is_refused(void **state) {
  made_raster r = tile("void.tif", 7.7, 600);
  r.value = nothing;
  const char *path = made_write(state, r);
  es_ground_plan plan = made_plan(&path, 1);
  made_refused(&plan, centre, 10e3, "void.tif", "covers nothing");
}

static void no_crs_is_refused_unless_given(void **state) {
  made_raster r = tile("bare.tif", 7.7, 600);
  r.crs = NULL;
  const char *path = made_write(state, r);
  es_ground_plan plan = made_plan(&path, 1);
  made_refused(&plan, centre, 10e3, "bare.tif", "has no CRS");
  plan.crs = "EPSG:4326";
  es_ground *g = made_open(&plan, centre, 10e3);
  assert_near(made_height(g, 8.01, 50.0), ramp(8.01, 50.0), 0.003);
  es_ground_close(g);
}

static void no_position_is_refused(void **state) {
  const char *path = made_text(state, "picture.pgm", "P5\n2 2\n255\nabcd");
  es_ground_plan plan = made_plan(&path, 1);
  plan.crs = "EPSG:4326";
  made_refused(&plan, centre, 10e3, "picture.pgm", "position");
}

static void unreadable_is_refused(void **state) {
  const char *paths[] = {made_path(state, "absent.tif"), made_text(state, "text.tif", "this is no raster")};
  es_ground_plan plan = made_plan(paths, 2);
  made_refused(&plan, centre, 10e3, "absent.tif", "cannot be read"); /* both are told at once */
  made_refused(&plan, centre, 10e3, "text.tif", "cannot be read");
}

/* A whole header but no pixels: found when read, not before. */
static void cut_off_file_is_refused(void **state) {
  const char *path = made_write(state, tile("cut.tif", 7.7, 600));
  FILE *file = fopen(path, "r+");
  assert_non_null(file);
  assert_int_equal(ftruncate(fileno(file), 600 * 1000), 0);
  fclose(file);
  es_ground_plan plan = made_plan(&path, 1);
  made_refused(&plan, centre, 30e3, "cut.tif", "cannot be read");
}

static void empty_folder_is_refused(void **state) {
  made_folder(state, "empty");
  made_text(state, "empty/readme.txt", "no raster");
  const char *path = made_path(state, "empty");
  es_ground_plan plan = made_plan(&path, 1);
  made_refused(&plan, centre, 10e3, "empty", "holds no raster");
  plan.n_elevation = 0;
  made_refused(&plan, centre, 10e3, "elevation", "want at least one");
}

#define ROW(test) cmocka_unit_test_setup_teardown(test, made_setup, made_teardown)
int main(void) {
  const struct CMUnitTest tests[] = {
      ROW(shared_column_leaves_no_seam),
      ROW(missing_edge_does_not_overwrite),
      ROW(other_crs_is_resampled),
      ROW(tile_under_the_beacon_leads),
      ROW(feet_become_metres_and_types_are_read),
      ROW(packed_bands_are_unpacked),
      ROW(void_is_missing_never_zero),
      ROW(partly_covered_is_missing_outside),
      ROW(no_overlap_is_refused),
      ROW(only_voids_is_refused),
      ROW(no_crs_is_refused_unless_given),
      ROW(no_position_is_refused),
      ROW(unreadable_is_refused),
      ROW(cut_off_file_is_refused),
      ROW(empty_folder_is_refused),
  };
  return cmocka_run_group_tests_name("mosaic", tests, NULL, NULL);
}
