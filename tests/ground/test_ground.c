/* One raster: values exactly where they belong, on any CRS, along lines and at places. */
#include "made.h"
#include "near.h"

#include "base/units.h"

enum { SAMPLES = 400 };

static double ramp(double x, double y) { return 100.0 + 300.0 * (x - 8.0) - 200.0 * (y - 50.0); } /* degrees */
static double ramp_utm(double x, double y) { return 200.0 + 1e-3 * (x - 500e3) - 2e-3 * (y - 5540e3); }

static made_raster degrees(const char *name, double (*value)(double, double)) {
  return (made_raster){.name = name,
                       .cols = 700,
                       .rows = 600,
                       .gt = {7.7, 1e-3, 0.0, 50.3, 0.0, -1e-3},
                       .crs = "EPSG:4326",
                       .nodata = NAN,
                       .value = value};
}

static made_raster metres(const char *name, double (*value)(double, double)) {
  return (made_raster){.name = name,
                       .cols = 400,
                       .rows = 400,
                       .gt = {480e3, 100.0, 0.0, 5560e3, 0.0, -100.0},
                       .crs = "EPSG:32632",
                       .nodata = NAN,
                       .value = value};
}

static void ramp_is_exact_at_places(void **state) {
  const char *path = made_write(state, degrees("ramp.tif", ramp));
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, (es_lonlat){8.0, 50.0}, 15e3);
  for (int i = 0; i < 50; i++) {
    double lon = 8.0 + 0.15 * sin(i * 1.7), lat = 50.0 + 0.1 * cos(i * 2.3);
    assert_near(made_height(g, lon, lat), ramp(lon, lat), 0.01 * 0.36 + 1e-4); /* 0.01 pixel of this slope */
  }
  es_ground_close(g);
}

/* A line from the centre takes the chart, one from a hair's breadth beside it the geodesics: same values. */
static void line_and_places_agree(void **state) {
  const char *path = made_write(state, degrees("ramp.tif", ramp));
  es_ground_plan plan = made_plan(&path, 1);
  es_lonlat centre = {8.0, 50.0}, beside = {8.0 + 1e-9, 50.0};
  es_ground *g = made_open(&plan, centre, 15e3);
  double dist_m[SAMPLES], line_m[SAMPLES], beside_m[SAMPLES];
  for (int i = 0; i < SAMPLES; i++) dist_m[i] = i * 37.0;
  for (double azimuth = 0.0; azimuth < 360.0; azimuth += 23.0) {
    es_lonlat at[SAMPLES];
    es_ground_samples out = {.ground_m = line_m}, other = {.ground_m = beside_m};
    es_ground_sample(g, centre, azimuth, dist_m, SAMPLES, &out);
    es_ground_sample(g, beside, azimuth, dist_m, SAMPLES, &other);
    es_geodesic_along(centre, azimuth, dist_m, SAMPLES, at);
    for (int i = 0; i < SAMPLES; i++) {
      assert_near(line_m[i], ramp(at[i].lon_deg, at[i].lat_deg), 0.004);
      assert_near(beside_m[i], line_m[i], 0.004);
    }
  }
  es_ground_close(g);
}

static void order_of_distances_does_not_matter(void **state) {
  const char *path = made_write(state, degrees("ramp.tif", ramp));
  es_ground_plan plan = made_plan(&path, 1);
  es_lonlat centre = {8.0, 50.0};
  es_ground *g = made_open(&plan, centre, 15e3);
  double dist_m[SAMPLES], all[SAMPLES], one;
  for (int i = 0; i < SAMPLES; i++) dist_m[i] = fmod(i * 7919.0, 15e3);
  es_ground_samples out = {.ground_m = all}, single = {.ground_m = &one};
  es_ground_sample(g, centre, 77.0, dist_m, SAMPLES, &out);
  for (int i = 0; i < SAMPLES; i++) {
    es_ground_sample(g, centre, 77.0, &dist_m[i], 1, &single);
    assert_true(one == all[i]); /* to the bit: workers cut lines as they like */
  }
  es_ground_close(g);
}

static double hills(double lon, double lat) {
  return 300.0 + 100.0 * sin((lon - 9.0) * 60.0) * cos((lat - 50.0) * 80.0);
}

/* The same surface written on UTM: y and x of the raster back to degrees is what the test's own formula needs, so the
 * UTM raster is made from the lat/lon one by inverse projection near the central meridian. */
static es_lonlat from_utm(double x, double y) {
  es_lonlat origin = {9.0, 50.0};
  static const double NORTHING_50 = 0.9996 * 5540847.042; /* meridian arc of 50 N on WGS 84 */
  double east = (x - 500e3) / 0.9996, north = (y - NORTHING_50) / 0.9996;
  es_lonlat foot =
      es_geodesic_ahead(origin, 0.0, north); /* transverse Mercator: foot on the meridian, then square off */
  return es_geodesic_ahead(foot, 90.0, east);
}
static double hills_utm(double x, double y) {
  es_lonlat at = from_utm(x, y);
  return hills(at.lon_deg, at.lat_deg);
}

static void degrees_and_metres_give_the_same_profile(void **state) {
  made_raster a = degrees("a.tif", hills), b = metres("b.tif", hills_utm);
  a.gt[0] = 8.65;
  const char *in_degrees = made_write(state, a), *in_metres = made_write(state, b);
  es_ground_plan plan_a = made_plan(&in_degrees, 1), plan_b = made_plan(&in_metres, 1);
  es_lonlat centre = {9.0, 50.0};
  es_ground *ga = made_open(&plan_a, centre, 15e3), *gb = made_open(&plan_b, centre, 15e3);
  double dist_m[SAMPLES], ha[SAMPLES], hb[SAMPLES];
  for (int i = 0; i < SAMPLES; i++) dist_m[i] = i * 37.0;
  for (double azimuth = 5.0; azimuth < 360.0; azimuth += 40.0) {
    es_ground_samples oa = {.ground_m = ha}, ob = {.ground_m = hb};
    es_ground_sample(ga, centre, azimuth, dist_m, SAMPLES, &oa);
    es_ground_sample(gb, centre, azimuth, dist_m, SAMPLES, &ob);
    /* bilinear error of a wave of 100 m over 60 rad/deg at 1e-3 deg: 100/8 (0.06^2 + 0.08^2) = 0.13 m each */
    for (int i = 0; i < SAMPLES; i++) assert_near(ha[i], hb[i], 0.3);
  }
  es_ground_close(ga);
  es_ground_close(gb);
}

static void projected_grid_is_told_and_exact(void **state) {
  const char *path = made_write(state, metres("utm.tif", ramp_utm));
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, (es_lonlat){9.0, 50.0}, 10e3);
  const char *wkt;
  double x0, y0, cell_m, height_m[3];
  int cols, rows;
  assert_true(es_ground_projected_grid(g, &wkt, &x0, &y0, &cell_m, &cols, &rows));
  assert_near(cell_m, 100.0, 1e-9);
  assert_near(fmod(x0 - 480e3, 100.0), 0.0, 1e-6); /* the file's own pixels */
  assert_true(cols >= 200 && cols <= 206 && rows >= 200 && rows <= 206);
  es_ground_samples out = {.ground_m = height_m};
  double x = x0 + 10.5 * cell_m, y = y0 - 20.5 * cell_m, step[] = {0.0, 100.0, 137.0};
  es_ground_sample_plane(g, x, y, 1.0, 0.0, step, 3, &out);
  assert_near(height_m[0], (float)ramp_utm(x, y), 1e-9); /* the pixel itself */
  assert_near(height_m[1], (float)ramp_utm(x + 100.0, y), 1e-9);
  assert_near(height_m[2], ramp_utm(x + 137.0, y), 1e-4);
  size_t pitch;
  const float *heights = es_ground_heights(g, &pitch);
  assert_true(pitch >= (size_t)cols);
  for (int row = 0; row < rows; row += rows - 1) /* the first and the last */
    for (int col = 0; col < cols; col += 7) {
      double px = x0 + (col + 0.5) * cell_m, py = y0 - (row + 0.5) * cell_m;
      assert_near(heights[(size_t)row * pitch + (size_t)col], (float)ramp_utm(px, py), 1e-9);
    }
  assert_false(es_ground_facts_get(g).has_zones); /* not wanted */
  es_ground_close(g);
  const char *other = made_write(state, degrees("ramp.tif", ramp));
  plan = made_plan(&other, 1);
  g = made_open(&plan, (es_lonlat){8.0, 50.0}, 10e3);
  assert_false(es_ground_projected_grid(g, &wkt, &x0, &y0, &cell_m, &cols, &rows));
  es_ground_close(g);
}

static double height_class(double x, double y) { return floor(fmod((x - 7.0) * 100.0, 7.0)) + 0.0 * y; }
static double canopy(double x, double y) { return 12.0 + 0.0 * x * y; }

/* Canopy in metres CRS and cover in degrees beside an elevation in metres, sampled by geodesic and in the plane. */
static void other_grids_keep_their_own_pixels(void **state) {
  made_raster t = metres("canopy.tif", canopy), c = degrees("cover.tif", height_class);
  t.crs = "EPSG:32633", t.gt[0] = 60e3, t.gt[3] = 5590e3, t.gt[1] = 120.0, t.gt[5] = -120.0, t.cols = 600, t.rows = 600;
  c.type = GDT_Byte, c.gt[0] = 8.7;
  const char *elevation = made_write(state, metres("utm.tif", ramp_utm)), *tree = made_write(state, t),
             *cover = made_write(state, c);
  es_ground_plan plan = made_plan(&elevation, 1);
  plan.canopy = &tree, plan.n_canopy = 1, plan.cover = &cover, plan.n_cover = 1;
  es_lonlat centre = {9.0, 50.0};
  es_ground *g = made_open(&plan, centre, 10e3);
  double dist_m[100], tree_m[100], plane_tree_m[100];
  uint8_t class_[100], plane_class[100];
  for (int i = 0; i < 100; i++) dist_m[i] = 90.0 * i;
  es_ground_samples out = {.canopy_m = tree_m, .cover = class_};
  es_ground_sample(g, centre, 90.0, dist_m, 100, &out);
  es_ground_samples plane = {.canopy_m = plane_tree_m, .cover = plane_class};
  es_ground_sample_plane(g, 500e3, 0.9996 * 5540847.042, 1.0, 0.0, dist_m, 100, &plane);
  int differ = 0;
  for (int i = 0; i < 100; i++) {
    es_lonlat at = es_geodesic_ahead(centre, 90.0, dist_m[i]);
    assert_near(tree_m[i], 12.0, 1e-5);
    assert_near(plane_tree_m[i], 12.0, 1e-5);
    double col = floor((at.lon_deg - 8.7) / 1e-3);
    assert_int_equal(class_[i], (int)height_class(8.7 + (col + 0.5) * 1e-3, 0.0));
    differ += class_[i] != plane_class[i]; /* the plane's metre is 0.04 % longer: 4 m at the end */
  }
  assert_true(differ <= 5);
  es_ground_close(g);
}

static double by_pole_distance(double x, double y) { return 1000.0 * (90.0 - fabs(y)) + 0.0 * x; }

/* Geographic rasters that reach a pole, where no chart of them can be smooth, with either count of longitudes. */
static void pole_is_a_place_like_any_other(void **state) {
  for (int k = 0; k < 4; k++) {
    double side = k % 2 == 0 ? 1.0 : -1.0;
    made_raster r = {.name = "pole.tif",
                     .cols = 3600,
                     .rows = 20,
                     .crs = "EPSG:4326",
                     .nodata = NAN,
                     .gt = {k < 2 ? -180.0 : 0.0, 0.1, 0.0, side > 0.0 ? 90.0 : -88.0, 0.0, -0.1},
                     .value = by_pole_distance};
    const char *path = made_write(state, r);
    es_ground_plan plan = made_plan(&path, 1);
    es_lonlat near_pole = {10.0 * k, side * (90.0 - 0.3 * (k % 3))}; /* on it, and some 30 km beside it */
    es_ground *g = made_open(&plan, near_pole, 1e5);
    for (double azimuth = 0.0; azimuth < 360.0; azimuth += 31.0)
      for (double dist_m = 1e3; dist_m < 95e3; dist_m += 21e3) {
        double height_m;
        es_ground_samples out = {.ground_m = &height_m};
        es_ground_sample(g, near_pole, azimuth, &dist_m, 1, &out);
        es_lonlat at = es_geodesic_ahead(near_pole, azimuth, dist_m);
        if (fabs(at.lat_deg) < 89.75) /* the tip of the cone, 100 m a pixel, is blunt */
          assert_near(height_m, by_pole_distance(0.0, at.lat_deg), 8.0);
      }
    es_ground_close(g);
  }
}

static double of_longitude(double x, double y) { return 10.0 * (x > 0.0 ? x - 180.0 : x + 180.0) + 0.0 * y + 500.0; }
static double of_longitude_360(double x, double y) { return 10.0 * (x - 180.0) + 0.0 * y + 500.0; }

static void antimeridian_is_no_edge(void **state) {
  made_raster world = {.name = "world.tif",
                       .cols = 3600,
                       .rows = 40,
                       .gt = {-180.0, 0.1, 0.0, -15.0, 0.0, -0.1},
                       .crs = "EPSG:4326",
                       .nodata = NAN,
                       .value = of_longitude};
  made_raster turned = world, west = world, east = world;
  turned.name = "turned.tif", turned.gt[0] = 0.0, turned.value = of_longitude_360;
  west.name = "west.tif", west.gt[0] = 175.0, west.cols = 50;
  east.name = "east.tif", east.gt[0] = -180.0, east.cols = 50;
  const char *sets[3][2] = {{made_write(state, world), NULL},
                            {made_write(state, turned), NULL},
                            {made_write(state, west), made_write(state, east)}};
  for (int k = 0; k < 3; k++)
    for (double lon = 179.97; lon < 180.05; lon += 0.05) {
      es_ground_plan plan = made_plan(sets[k], sets[k][1] != NULL ? 2 : 1);
      es_lonlat centre = {lon > 180.0 ? lon - 360.0 : lon, -17.0};
      es_ground *g = made_open(&plan, centre, 1e5);
      for (double at = 179.2; at < 180.8; at += 0.13)
        assert_near(made_height(g, at > 180.0 ? at - 360.0 : at, -17.1), 500.0 + 10.0 * (at - 180.0), 0.02);
      assert_int_equal(es_ground_facts_get(g).missing, 0);
      es_ground_close(g);
    }
}

static void longitudes_from_0_to_360_serve_the_west(void **state) {
  made_raster r = {.name = "turned.tif",
                   .cols = 3600,
                   .rows = 40,
                   .gt = {0.0, 0.1, 0.0, 40.0, 0.0, -0.1},
                   .crs = "EPSG:4326",
                   .nodata = NAN,
                   .value = of_longitude_360};
  const char *path = made_write(state, r);
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, (es_lonlat){-105.0, 38.0}, 5e4);
  assert_near(made_height(g, -105.2, 38.1), of_longitude_360(254.8, 0.0), 0.02);
  es_ground_close(g);
  g = made_open(&plan, (es_lonlat){0.02, 38.0}, 5e4); /* across its own seam: 359.95 and 0.05 are neighbours */
  assert_near(made_height(g, 0.3, 38.1), of_longitude_360(0.3, 0.0), 0.02);
  assert_near(made_height(g, -0.3, 38.1), of_longitude_360(359.7, 0.0), 0.02);
  es_ground_close(g);
}

static void south_up_and_rotated_rasters(void **state) {
  made_raster up = degrees("up.tif", ramp), turned = metres("turned.tif", ramp_utm);
  up.gt[3] = 49.7, up.gt[5] = 1e-3;
  double s = sin(0.3), c = cos(0.3);
  turned.gt[0] = 477e3, turned.gt[1] = 100.0 * c, turned.gt[2] = 100.0 * s;
  turned.gt[3] = 5554e3, turned.gt[4] = 100.0 * s, turned.gt[5] = -100.0 * c;
  turned.cols = turned.rows = 500;
  const char *path = made_write(state, up);
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, (es_lonlat){8.0, 50.0}, 15e3);
  assert_near(made_height(g, 8.1, 50.05), ramp(8.1, 50.05), 0.004);
  es_ground_close(g);
  path = made_write(state, turned);
  g = made_open(&plan, (es_lonlat){9.0, 50.0}, 8e3);
  double height_m, x = 500e3, y = 0.9996 * 5540847.042;
  double dist_m = 5000.0;
  es_ground_samples out = {.ground_m = &height_m};
  es_ground_sample(g, (es_lonlat){9.0, 50.0}, 0.0, &dist_m, 1, &out);
  assert_near(height_m, ramp_utm(x, y + 0.9996 * dist_m), 0.02); /* slope 0.2 m a pixel */
  const char *wkt;
  int cols, rows;
  double cell_m;
  assert_false(es_ground_projected_grid(g, &wkt, &x, &y, &cell_m, &cols, &rows));
  es_ground_close(g);
}

static void facts_name_the_file(void **state) {
  const char *path = made_write(state, degrees("ramp.tif", ramp));
  GDALDatasetH file = GDALOpen(path, GA_Update);
  GDALSetMetadataItem(file, "TIFFTAG_DATETIME", "2021:03:04 05:06:07", NULL);
  GDALClose(file);
  es_ground_plan plan = made_plan(&path, 1);
  es_ground *g = made_open(&plan, (es_lonlat){8.0, 50.0}, 10e3);
  size_t n;
  const es_data_set *set = es_ground_data_sets(g, &n);
  assert_int_equal(n, 1);
  assert_string_equal(set->what, "elevation");
  assert_string_equal(set->path, path);
  assert_string_equal(set->driver, "GTiff");
  assert_string_equal(set->crs, "EPSG:4326");
  assert_string_equal(set->date, "2021:03:04 05:06:07");
  assert_int_equal(set->cols, 700);
  /* a thousandth of a degree of longitude at 50 N: N cos(lat) pi/180, N = 6390702.044 m */
  assert_near(set->step_m, 1e-3 * ES_PI / 180.0 * 6390702.044 * cos(es_rad(50.0)), 1e-3);
  assert_near(es_ground_facts_get(g).step_m, set->step_m, 1e-9);
  assert_true(set->bytes > 700 * 600 * 4);
  uint64_t checksum = set->checksum;
  assert_int_not_equal(checksum, 0);
  es_ground_close(g);
  made_raster changed = degrees("ramp.tif", hills);
  made_write(state, changed);
  g = made_open(&plan, (es_lonlat){8.0, 50.0}, 10e3);
  assert_int_not_equal(es_ground_data_sets(g, &n)->checksum, checksum);
  es_ground_close(g);
}

#define ROW(test) cmocka_unit_test_setup_teardown(test, made_setup, made_teardown)
int main(void) {
  const struct CMUnitTest tests[] = {
      ROW(ramp_is_exact_at_places),
      ROW(line_and_places_agree),
      ROW(order_of_distances_does_not_matter),
      ROW(degrees_and_metres_give_the_same_profile),
      ROW(projected_grid_is_told_and_exact),
      ROW(other_grids_keep_their_own_pixels),
      ROW(pole_is_a_place_like_any_other),
      ROW(antimeridian_is_no_edge),
      ROW(longitudes_from_0_to_360_serve_the_west),
      ROW(south_up_and_rotated_rasters),
      ROW(facts_name_the_file),
  };
  return cmocka_run_group_tests_name("ground", tests, NULL, NULL);
}
