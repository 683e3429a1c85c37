/* Zones on synthetic coasts: the distance rule, the height rule, joined to the coast; ITU-R P.452 zone A1. */
#include "made.h"
#include "near.h"

#include "earshot/model.h"

/* Metres on UTM 32 about the central meridian at 50 N; scale 0.9996. */
static const double X0 = 500e3, Y0 = 0.9996 * 5540847.042;
static const es_lonlat centre = {9.0, 50.0};

static es_ground *open_with(void **state, double (*value)(double, double), double step_m, double coast_m) {
  int half = (int)(70e3 / step_m);
  made_raster r = {.name = "zone.tif",
                   .cols = 2 * half,
                   .rows = 2 * half,
                   .gt = {X0 - half * step_m, step_m, 0.0, Y0 + half * step_m, 0.0, -step_m},
                   .crs = "EPSG:32632",
                   .nodata = NAN,
                   .value = value};
  const char *path = made_write(state, r);
  es_ground_plan plan = made_plan(&path, 1);
  plan.want_zones = true;
  plan.zone_coast_m = coast_m;
  return made_open(&plan, centre, 30e3);
}

/* Zone at x, y metres from the centre. */
static int zone_at(const es_ground *g, double x, double y) {
  double zero = 0.0;
  uint8_t zone;
  es_ground_samples out = {.zone = &zone};
  es_ground_sample_plane(g, X0 + x, Y0 + y, 1.0, 0.0, &zero, 1, &out);
  return zone;
}

static double flat_shore(double x, double y) { return x < X0 ? 0.0 : 20.0 + 0.0 * y; }
static void coast_ends_at_its_distance(void **state) {
  es_ground *g = open_with(state, flat_shore, 200.0, 15e3);
  assert_string_equal(es_ground_facts_get(g).zone_basis, "elevation");
  for (double y = -20e3; y <= 20e3; y += 8e3) {
    assert_int_equal(zone_at(g, -1000.0, y), ES_ZONE_SEA);
    assert_int_equal(zone_at(g, 1000.0, y), ES_ZONE_COAST);
    assert_int_equal(zone_at(g, 14500.0, y), ES_ZONE_COAST); /* within a cell of 400 m */
    assert_int_equal(zone_at(g, 15500.0, y), ES_ZONE_INLAND);
  }
  es_ground_close(g);
}

/* The sea lies beyond the map and its margin's edge pixels are read too: 50 km. */
static double far_shore(double x, double y) { return x < X0 - 40e3 ? 0.0 : 20.0 + 0.0 * y; }
static void sea_beyond_the_map_counts(void **state) {
  es_ground *g = open_with(state, far_shore, 500.0, 50e3);
  assert_int_equal(zone_at(g, 9000.0, 0.0), ES_ZONE_COAST);
  assert_int_equal(zone_at(g, 11000.0, 0.0), ES_ZONE_INLAND);
  es_ground_close(g);
}

/* A small round island of sea: distances in every direction, not along rows and columns only. */
static double bay(double x, double y) { return hypot(x - X0, y - Y0) < 3e3 ? -1.0 : 20.0; }
static void distance_is_euclidean(void **state) {
  es_ground *g = open_with(state, bay, 250.0, 12e3);
  for (int i = 0; i < 32; i++) {
    double turn = i * 0.19634954, east = sin(turn), north = cos(turn);
    assert_int_equal(zone_at(g, 14.4e3 * east, 14.4e3 * north), ES_ZONE_COAST);
    assert_int_equal(zone_at(g, 15.6e3 * east, 15.6e3 * north), ES_ZONE_INLAND);
  }
  es_ground_close(g);
}

/* Sea in the west; low land; a ridge of 150 m; low land behind it, near enough but not joined. A gap lets it in. */
static double ridge(double x, double y) {
  double east = x - X0;
  if (east < 0.0) return 0.0;
  return east > 4000.0 && east < 6000.0 && y > Y0 - 60e3 ? 150.0 : 30.0;
}
static double ridge_with_gap(double x, double y) {
  return fabs(y - Y0) < 1000.0 ? fmin(ridge(x, y), 30.0) : ridge(x, y);
}
static void height_rule_and_contiguity(void **state) {
  es_ground *g = open_with(state, ridge, 200.0, 15e3);
  assert_int_equal(zone_at(g, 2000.0, 0.0), ES_ZONE_COAST);
  assert_int_equal(zone_at(g, 5000.0, 0.0), ES_ZONE_INLAND); /* too high */
  assert_int_equal(zone_at(g, 8000.0, 0.0), ES_ZONE_INLAND); /* low and near, but behind the ridge */
  es_ground_close(g);
  g = open_with(state, ridge_with_gap, 200.0, 15e3);
  assert_int_equal(zone_at(g, 5000.0, 5000.0), ES_ZONE_INLAND);
  assert_int_equal(zone_at(g, 5000.0, 0.0), ES_ZONE_COAST);
  assert_int_equal(zone_at(g, 8000.0, 5000.0), ES_ZONE_COAST); /* through the gap */
  es_ground_close(g);
}

/* 1.8 km square (3.2 km2) of ground at 0 m is a pond, 2.4 km square (5.8 km2) a sea. */
static double half_m;
static double pond(double x, double y) { return fabs(x - X0) < half_m && fabs(y - Y0) < half_m ? 0.0 : 20.0; }
static void small_water_is_no_sea(void **state) {
  half_m = 900.0;
  es_ground *g = open_with(state, pond, 100.0, 10e3);
  assert_int_equal(zone_at(g, 0.0, 0.0), ES_ZONE_INLAND);
  assert_int_equal(zone_at(g, 3000.0, 0.0), ES_ZONE_INLAND);
  es_ground_close(g);
  half_m = 1200.0;
  g = open_with(state, pond, 100.0, 10e3);
  assert_int_equal(zone_at(g, 0.0, 0.0), ES_ZONE_SEA);
  assert_int_equal(zone_at(g, 3000.0, 0.0), ES_ZONE_COAST);
  es_ground_close(g);
}

/* Pixels of degrees at 60 N are twice as tall as wide: the coast is as far in both directions all the same. */
static double corner_sea(double x, double y) { return x < 9.0 || y < 60.0 ? 0.0 : 20.0; }
static void degrees_are_measured_in_metres(void **state) {
  made_raster r = {.name = "north.tif",
                   .cols = 1000,
                   .rows = 600,
                   .gt = {8.0, 2e-3, 0.0, 60.6, 0.0, -2e-3},
                   .crs = "EPSG:4326",
                   .nodata = NAN,
                   .value = corner_sea};
  const char *path = made_write(state, r);
  es_ground_plan plan = made_plan(&path, 1);
  plan.want_zones = true;
  plan.zone_coast_m = 10e3;
  es_lonlat here = {9.4, 60.25};
  es_ground *g = made_open(&plan, here, 20e3);
  for (int k = 0; k < 2; k++) {
    es_lonlat shore = k == 0 ? (es_lonlat){9.0, 60.25} : (es_lonlat){9.4, 60.0}, at[2];
    at[0] = es_geodesic_ahead(shore, k == 0 ? 90.0 : 0.0, 9.5e3);
    at[1] = es_geodesic_ahead(shore, k == 0 ? 90.0 : 0.0, 10.5e3);
    uint8_t zone[2];
    es_ground_samples out = {.zone = zone};
    es_ground_sample_places(g, at, 2, &out);
    assert_int_equal(zone[0], ES_ZONE_COAST);
    assert_int_equal(zone[1], ES_ZONE_INLAND);
  }
  es_ground_close(g);
}

static double voids(double x, double y) { return x < X0 ? NAN : 20.0 + 0.0 * y; }
static void missing_is_no_sea(void **state) {
  es_ground *g = open_with(state, voids, 200.0, 15e3);
  assert_int_equal(zone_at(g, 1000.0, 0.0), ES_ZONE_INLAND);
  assert_int_equal(es_ground_facts_get(g).sea_by_mask, 0);
  es_ground_close(g);
}

static void zones_not_wanted_are_inland(void **state) {
  made_raster r = {.name = "zone.tif",
                   .cols = 400,
                   .rows = 400,
                   .gt = {X0 - 20e3, 100.0, 0.0, Y0 + 20e3, 0.0, -100.0},
                   .crs = "EPSG:32632",
                   .nodata = NAN,
                   .value = flat_shore};
  const char *path = made_write(state, r);
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, centre, 10e3);
  assert_int_equal(zone_at(g, -5000.0, 0.0), ES_ZONE_INLAND);
  es_ground_close(g);
}

#define ROW(test) cmocka_unit_test_setup_teardown(test, made_setup, made_teardown)
int main(void) {
  const struct CMUnitTest tests[] = {
      ROW(coast_ends_at_its_distance), ROW(sea_beyond_the_map_counts),   ROW(distance_is_euclidean),
      ROW(height_rule_and_contiguity), ROW(small_water_is_no_sea),       ROW(degrees_are_measured_in_metres),
      ROW(missing_is_no_sea),          ROW(zones_not_wanted_are_inland),
  };
  return cmocka_run_group_tests_name("zone", tests, NULL, NULL);
}
