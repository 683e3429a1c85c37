/* The plane of a map: cells, places, and when a raster's own grid may be used. */
#include "near.h"
#include "place/frame.h"

#include <cpl_conv.h>
#include <ogr_srs_api.h>
#include <string.h>

/* UTM zone 32 N. Central meridian 9 E, scale 0.9996 there. */
static char *utm32(void) {
  char *wkt = NULL;
  OGRSpatialReferenceH srs = OSRNewSpatialReference(NULL);
  OSRImportFromEPSG(srs, 32632);
  OSRExportToWkt(srs, &wkt);
  OSRDestroySpatialReference(srs);
  return wkt;
}

static void beacon_stands_in_the_middle_cell(void **state) {
  (void)state;
  es_frame f;
  assert_int_equal(es_frame_about_beacon((es_lonlat){-36.1, 46.5}, 1000.0, 200.0, &f, NULL), 0);
  assert_int_equal(f.cols, 11);
  assert_int_equal(f.rows, 11);
  double dx, dy;
  es_frame_cell(&f, 5, 5, &dx, &dy);
  assert_near(dx, 0.0, 1e-9);
  assert_near(dy, 0.0, 1e-9);
  es_frame_cell(&f, 0, 0, &dx, &dy);
  assert_near(dx, -1000.0, 1e-9);
  assert_near(dy, 1000.0, 1e-9); /* row 0 is the northernmost */
  assert_near(es_frame_reach(&f), 1000.0, 1e-9);
  es_frame_fini(&f);
}

static void cells_are_distance_and_bearing(void **state) {
  (void)state;
  static const es_lonlat beacons[] = {{-36.1, 46.5}, {179.9, -17.0}, {30.0, 90.0}, {0.0, -89.99}};
  for (int k = 0; k < 4; k++) {
    es_frame f;
    assert_int_equal(es_frame_about_beacon(beacons[k], 3e5, 1e4, &f, NULL), 0);
    for (int i = 0; i < 61; i += 7) {
      double dx, dy;
      es_frame_cell(&f, i, 60 - i / 2, &dx, &dy);
      es_course c = es_geodesic_between(f.beacon, es_frame_place(&f, dx, dy));
      assert_near(c.dist_m, hypot(dx, dy), 1e-6);
    }
    es_frame_fini(&f);
  }
}

/* The plane written into a GeoTIFF must be the plane computed in: GDAL's reading of the WKT against the geodesic. */
static void wkt_is_the_same_plane(void **state) {
  (void)state;
  es_frame f;
  assert_int_equal(es_frame_about_beacon((es_lonlat){-36.1234, 46.5678}, 2e5, 1e3, &f, NULL), 0);
  OGRSpatialReferenceH plane = OSRNewSpatialReference(f.wkt), wgs84 = OSRNewSpatialReference(NULL);
  assert_non_null(plane);
  OSRImportFromEPSG(wgs84, 4326);
  OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
  OGRCoordinateTransformationH to_plane = OCTNewCoordinateTransformation(wgs84, plane);
  assert_non_null(to_plane);
  es_lonlat at = es_frame_place(&f, 120e3, -90e3);
  double x = at.lon_deg, y = at.lat_deg;
  assert_int_equal(OCTTransform(to_plane, 1, &x, &y, NULL), 1);
  assert_near(x, 120e3, 1e-3);
  assert_near(y, -90e3, 1e-3);
  OCTDestroyCoordinateTransformation(to_plane);
  OSRDestroySpatialReference(plane);
  OSRDestroySpatialReference(wgs84);
  es_frame_fini(&f);
}

static void bad_numbers_are_refused(void **state) {
  (void)state;
  static const double bad[][4] = {{0.0, 91.0, 1e3, 100.0}, {NAN, 0.0, 1e3, 100.0},    {0.0, 0.0, 0.0, 100.0},
                                  {0.0, 0.0, 1e3, -1.0},   {0.0, 0.0, INFINITY, 1.0}, {0.0, 0.0, 1e6, 1.0}};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    es_frame f;
    es_error err = {0};
    assert_int_equal(es_frame_about_beacon((es_lonlat){bad[i][0], bad[i][1]}, bad[i][2], bad[i][3], &f, &err),
                     ES_E_RANGE);
    assert_non_null(strstr(err.detail, "want"));
    es_frame_fini(&f);
  }
}

static void raster_grid_places_cells(void **state) {
  (void)state;
  char *wkt = utm32();
  es_frame f;
  es_lonlat beacon = {9.0, 50.0};
  assert_int_equal(es_frame_of_raster(beacon, wkt, 480e3, 5560e3, 100.0, 400, 400, 2e4, &f, NULL), 0);
  assert_near(f.beacon_x, 500e3, 1e-6);                /* false easting on the central meridian */
  assert_near(f.beacon_y, 0.9996 * 5540847.042, 2e-3); /* meridian arc of 50 degrees on WGS 84: 5540847.042 m */
  double dx, dy;
  es_frame_cell(&f, 250, 100, &dx, &dy);
  es_lonlat at = es_frame_place(&f, dx, dy);
  assert_near(es_geodesic_between(beacon, at).dist_m, hypot(dx, dy) / 0.9996, 0.5);
  assert_true(es_frame_reach(&f) <= 2e4 && es_frame_reach(&f) > 2e4 - 100.0);
  es_frame_fini(&f);
  CPLFree(wkt);
}

/* Far from the central meridian a straight line of the grid leaves the geodesic: allowed for coarse cells only. */
static void straight_lines_are_checked_on_the_rim(void **state) {
  (void)state;
  char *wkt = utm32();
  es_frame f;
  es_error err = {0};
  es_lonlat beacon = {14.0, 50.0};
  double x0 = 700e3, y0 = 5700e3;
  assert_int_equal(es_frame_of_raster(beacon, wkt, x0, y0, 30.0, 10000, 10000, 1.4e5, &f, &err), ES_E_INPUT);
  assert_non_null(strstr(err.detail, " m "));
  es_frame_fini(&f);
  assert_int_equal(es_frame_of_raster(beacon, wkt, x0, y0, 1000.0, 300, 300, 1.4e5, &f, &err), 0);
  es_frame_fini(&f);
  CPLFree(wkt);
}

static void whole_raster_is_inside_without_a_radius(void **state) {
  (void)state;
  char *wkt = utm32();
  es_frame f;
  assert_int_equal(es_frame_of_raster((es_lonlat){9.0, 50.0}, wkt, 490e3, 5550e3, 1000.0, 20, 20, INFINITY, &f, NULL),
                   0);
  double dx, dy, reach = 0.0;
  for (int corner = 0; corner < 4; corner++) {
    es_frame_cell(&f, corner % 2 * 19, corner / 2 * 19, &dx, &dy);
    reach = fmax(reach, hypot(dx, dy));
  }
  assert_near(es_frame_reach(&f), reach, 1e-9);
  es_frame_fini(&f);
  CPLFree(wkt);
}

static void unusable_crs_is_refused(void **state) {
  (void)state;
  static const char *const bad[] = {"EPSG:4326", "EPSG:2263", "nonsense"}; /* geographic; feet; no CRS at all */
  for (int i = 0; i < 3; i++) {
    es_frame f;
    es_error err = {0};
    assert_int_equal(es_frame_of_raster((es_lonlat){-74.0, 40.7}, bad[i], 0.0, 1e5, 100.0, 10, 10, 1e4, &f, &err),
                     ES_E_INPUT);
    assert_non_null(strstr(err.detail, "CRS"));
    es_frame_fini(&f);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(beacon_stands_in_the_middle_cell),
      cmocka_unit_test(cells_are_distance_and_bearing),
      cmocka_unit_test(wkt_is_the_same_plane),
      cmocka_unit_test(bad_numbers_are_refused),
      cmocka_unit_test(raster_grid_places_cells),
      cmocka_unit_test(straight_lines_are_checked_on_the_rim),
      cmocka_unit_test(whole_raster_is_inside_without_a_radius),
      cmocka_unit_test(unusable_crs_is_refused),
  };
  return cmocka_run_group_tests_name("frame", tests, NULL, NULL);
}
