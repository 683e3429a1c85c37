/* Sea and land from a mask: the surface where there is no elevation. */
#include "made.h"
#include "near.h"

#include "earshot/model.h"

#include <stdio.h>
#include <string.h>

static const es_lonlat centre = {8.0, 50.0};

/* Land west of 8.0 at 30 m; east of it the elevation has nothing. */
static double land(double x, double y) { return x < 8.0 ? 30.0 : NAN + 0.0 * y; }
static double west_is_land(double x, double y) { return (x < 8.0 ? 1.0 : 0.0) + 0.0 * y; }

static made_raster degrees(const char *name, double step, double (*value)(double, double)) {
  return (made_raster){.name = name,
                       .cols = (int)(0.8 / step + 0.5),
                       .rows = (int)(0.6 / step + 0.5),
                       .gt = {7.6, step, 0.0, 50.3, 0.0, -step},
                       .crs = "EPSG:4326",
                       .nodata = NAN,
                       .value = value};
}

typedef struct seen {
  double height_m;
  uint8_t known, zone;
} seen;

static seen look(const es_ground *g, double lon, double lat) {
  seen s;
  es_lonlat at = {lon, lat};
  es_ground_samples out = {.ground_m = &s.height_m, .known = &s.known, .zone = &s.zone};
  es_ground_sample_places(g, &at, 1, &out);
  return s;
}

static void assert_seen(seen s, double height_m, int known, int zone) {
  assert_near(s.height_m, height_m, 1e-6);
  assert_int_equal(s.known, known);
  assert_int_equal(s.zone, zone);
}

static void assert_coast_at_8_east(const es_ground *g, const char *basis) {
  assert_seen(look(g, 7.95, 50.0), 30.0, 1, ES_ZONE_COAST);
  assert_seen(look(g, 8.05, 50.0), 0.0, 3, ES_ZONE_SEA);
  es_ground_facts facts = es_ground_facts_get(g);
  assert_string_equal(facts.zone_basis, basis);
  assert_true(facts.sea_by_mask > 10000);
  assert_int_equal(facts.missing, 0);
}

static es_ground_plan with_mask(const char *const *elevation, const char *const *mask) {
  es_ground_plan plan = made_plan(elevation, 1);
  plan.mask = mask, plan.n_mask = 1;
  plan.want_zones = true;
  plan.zone_coast_m = 20e3;
  return plan;
}

/* The mask on the elevation's pixels, on coarser ones, and on another CRS. */
static void mask_raster_fills_the_sea(void **state) {
  const char *elevation = made_write(state, degrees("e.tif", 1e-3, land));
  made_raster masks[3] = {degrees("m.tif", 1e-3, west_is_land), degrees("n.tif", 4e-3, west_is_land),
                          degrees("o.tif", 1e-3, west_is_land)};
  for (int i = 0; i < 3; i++) {
    masks[i].type = GDT_Byte;
    if (i == 2) masks[i].crs = "EPSG:4258"; /* another datum, the same place within a metre */
    const char *mask = made_write(state, masks[i]);
    es_ground_plan plan = with_mask(&elevation, &mask);
    es_ground *g = made_open(&plan, centre, 12e3);
    assert_coast_at_8_east(g, "mask raster");
    size_t n;
    const es_data_set *sets = es_ground_data_sets(g, &n);
    assert_int_equal(n, 2);
    assert_string_equal(sets[1].what, "sea mask");
    es_ground_close(g);
  }
}

/* Seas often have no tiles at all: the mask speaks there too. */
static void mask_reaches_beyond_the_tiles(void **state) {
  made_raster r = degrees("e.tif", 1e-3, land);
  r.cols = 400; /* ends at 8.0 */
  const char *elevation = made_write(state, r), *mask = made_write(state, degrees("m.tif", 1e-3, west_is_land));
  es_ground_plan plan = with_mask(&elevation, &mask);
  es_ground *g = made_open(&plan, centre, 12e3);
  assert_coast_at_8_east(g, "mask raster");
  es_ground_close(g);
}

static double unknown_in_the_east(double x, double y) { return x < 8.05 ? west_is_land(x, y) : 9.0; }
static void unknown_in_the_mask_stays_missing(void **state) {
  made_raster m = degrees("m.tif", 1e-3, unknown_in_the_east);
  m.nodata = 9.0;
  const char *elevation = made_write(state, degrees("e.tif", 1e-3, land)), *mask = made_write(state, m);
  es_ground_plan plan = with_mask(&elevation, &mask);
  es_ground *g = made_open(&plan, centre, 12e3);
  assert_seen(look(g, 8.03, 50.0), 0.0, 3, ES_ZONE_SEA);
  assert_int_equal(look(g, 8.07, 50.0).known, 0);
  assert_true(es_ground_facts_get(g).missing > 1000);
  es_ground_close(g);
}

static double with_bed(double x, double y) { return x < 8.0 ? 30.0 : x < 8.05 ? -40.0 : 2.0 + 0.0 * y; }
static void sea_bed_is_no_surface(void **state) {
  const char *elevation = made_write(state, degrees("e.tif", 1e-3, with_bed)),
             *mask = made_write(state, degrees("m.tif", 1e-3, west_is_land));
  es_ground_plan plan = with_mask(&elevation, &mask);
  es_ground *g = made_open(&plan, centre, 12e3);
  assert_seen(look(g, 8.03, 50.0), 0.0, 3, ES_ZONE_SEA);
  assert_seen(look(g, 8.07, 50.0), 2.0, 1, ES_ZONE_SEA); /* measured above 0 m: kept */
  assert_int_equal(es_ground_facts_get(g).sea_by_mask, 0);
  es_ground_close(g);
}

static const char *const square =
    "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{},"
    "\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[%g,%g],[%g,%g],[%g,%g],"
    "[%g,%g],[%g,%g]]]}}]}";
static const char *land_square(void **state, double west, double east, double south, double north) {
  char text[500];
  snprintf(text, sizeof text, square, west, south, east, south, east, north, west, north, west, south);
  return made_text(state, "land.geojson", text);
}

/* Polygons as wide as a continent, so that far corners must not spoil the near ones. */
static void land_polygons_on_degrees(void **state) {
  const char *elevation = made_write(state, degrees("e.tif", 1e-3, land)),
             *mask = land_square(state, -170.0, 8.0, -60.0, 80.0);
  es_ground_plan plan = with_mask(&elevation, &mask);
  es_ground *g = made_open(&plan, centre, 12e3);
  assert_coast_at_8_east(g, "land polygons");
  es_ground_close(g);
}

static double all_missing_east_of_500km(double x, double y) { return x < 500e3 ? 30.0 : NAN + 0.0 * y; }
static void land_polygons_on_metres(void **state) {
  made_raster r = {.name = "utm.tif",
                   .cols = 800,
                   .rows = 800,
                   .gt = {460e3, 100.0, 0.0, 5580e3, 0.0, -100.0},
                   .crs = "EPSG:32632",
                   .nodata = NAN,
                   .value = all_missing_east_of_500km};
  const char *elevation = made_write(state, r), *mask = land_square(state, -170.0, 9.0, -60.0, 80.0);
  es_ground_plan plan = with_mask(&elevation, &mask);
  es_ground *g = made_open(&plan, (es_lonlat){9.0, 50.0}, 12e3);
  assert_seen(look(g, 8.95, 50.0), 30.0, 1, ES_ZONE_COAST);
  assert_seen(look(g, 9.05, 50.0), 0.0, 3, ES_ZONE_SEA);
  assert_int_equal(es_ground_facts_get(g).missing, 0);
  es_ground_close(g);
}

static double far_east(double x, double y) { return x < 180.0 ? 30.0 : NAN + 0.0 * y; }
static void land_polygons_across_the_antimeridian(void **state) {
  made_raster r = {.name = "e.tif",
                   .cols = 800,
                   .rows = 600,
                   .gt = {179.6, 1e-3, 0.0, -16.7, 0.0, -1e-3},
                   .crs = "EPSG:4326",
                   .nodata = NAN,
                   .value = far_east};
  const char *elevation = made_write(state, r), *mask = land_square(state, -179.97, -179.9, -18.0, -16.0);
  es_ground_plan plan = with_mask(&elevation, &mask);
  es_ground *g = made_open(&plan, (es_lonlat){180.0, -17.0}, 12e3);
  assert_int_equal(look(g, -179.98, -17.0).known, 3); /* sea */
  assert_int_equal(look(g, -179.95, -17.0).known, 0); /* land without elevation */
  assert_int_equal(look(g, 179.98, -17.0).known, 1);
  es_ground_close(g);
}

static void bad_masks_are_refused(void **state) {
  const char *elevation = made_write(state, degrees("e.tif", 1e-3, land)),
             *text = made_text(state, "bad.geojson", "{ nothing of use");
  es_ground_plan plan = with_mask(&elevation, &text);
  made_refused(&plan, centre, 12e3, "bad.geojson", "want a raster or a vector layer");
  const char *mixed[] = {elevation, land_square(state, 0.0, 8.0, 40.0, 60.0)};
  plan.mask = mixed, plan.n_mask = 2;
  made_refused(&plan, centre, 12e3, "mask", "mixed");
}

#define ROW(test) cmocka_unit_test_setup_teardown(test, made_setup, made_teardown)
int main(void) {
  const struct CMUnitTest tests[] = {
      ROW(mask_raster_fills_the_sea),
      ROW(mask_reaches_beyond_the_tiles),
      ROW(unknown_in_the_mask_stays_missing),
      ROW(sea_bed_is_no_surface),
      ROW(land_polygons_on_degrees),
      ROW(land_polygons_on_metres),
      ROW(land_polygons_across_the_antimeridian),
      ROW(bad_masks_are_refused),
  };
  return cmocka_run_group_tests_name("mask", tests, NULL, NULL);
}
