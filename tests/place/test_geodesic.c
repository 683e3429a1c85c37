/* Geodesics against published and independently computed figures. */
#include "near.h"
#include "place/geodesic.h"

typedef struct row {
  double lat1, lon1, lat2, lon2, dist_m, azimuth_deg, azimuth_there_deg; /* azimuth_there: forward; NaN not given */
  double dist_tol_m, azimuth_tol_deg;
  const char *source;
} row;

static const row rows[] = {
    {-37.951033417, 144.424867889, -37.652821139, 143.926495528, 54972.271, 306.86816, NAN, 1e-3, 5e-6,
     "Geocentric Datum of Australia technical manual: Flinders Peak to Buninyong (GRS 80; WGS 84 agrees to 1 mm)"},
    {52.0, 0.0, 52.0, 1.46, 100268.219, 89.424740, 90.575260, 1e-3, 1e-6, "computed with geod of PROJ 9.1"},
    {50.0, 8.0, 54.0, 10.0, 465732.196, 16.367403, 17.944447, 1e-3, 1e-6, "geod, PROJ 9.1: north-north-east"},
    {47.5, 7.6, 55.7, 12.6, 975258.021, 18.856459, 22.785954, 1e-3, 1e-6, "geod, PROJ 9.1: 975 km"},
    {43.6, 1.4, 60.2, 24.9, 2428367.333, 32.316482, 51.102127, 1e-3, 1e-6, "geod, PROJ 9.1: 2428 km"},
    {-33.9, 151.2, -37.8, 145.0, 707473.657, 230.523712, 234.159286, 1e-3, 1e-6, "geod, PROJ 9.1: southern, west"},
    {45.0, 7.0, 46.5, 9.0, 228050.0, 42.316, NAN, 0.5, 5e-4, "geod, PROJ 9.1, three decimals"},
    {48.1458333, 11.625, 52.5208333, 13.375, 502311.0, 13.691, NAN, 0.5, 5e-4, "JN58td to JO62qm, three decimals"},
};

static void course_matches_source(void **state) {
  const row *r = *state;
  es_course c = es_geodesic_between((es_lonlat){r->lon1, r->lat1}, (es_lonlat){r->lon2, r->lat2});
  assert_near(c.dist_m, r->dist_m, r->dist_tol_m);
  assert_near(c.azimuth_deg, r->azimuth_deg, r->azimuth_tol_deg);
  if (!isnan(r->azimuth_there_deg))
    assert_near(c.back_azimuth_deg, fmod(r->azimuth_there_deg + 180.0, 360.0), r->azimuth_tol_deg);
}

static void same_place_has_no_length(void **state) {
  (void)state;
  es_course c = es_geodesic_between((es_lonlat){8.0, 50.0}, (es_lonlat){8.0, 50.0});
  assert_near(c.dist_m, 0.0, 0.0);
  assert_true(c.azimuth_deg >= 0.0 && c.azimuth_deg < 360.0);
}

static void due_west_is_270_and_back_90(void **state) {
  (void)state;
  es_course c = es_geodesic_between((es_lonlat){-179.5, 0.0}, (es_lonlat){179.5, 0.0});
  assert_near(c.azimuth_deg, 270.0, 1e-9);
  assert_near(c.back_azimuth_deg, 90.0, 1e-9);
  assert_near(c.dist_m, 6378137.0 * 3.14159265358979323846 / 180.0, 1e-6); /* one degree of the equator */
}

static void ahead_returns_to_the_other_end(void **state) {
  const row *r = *state;
  es_course c = es_geodesic_between((es_lonlat){r->lon1, r->lat1}, (es_lonlat){r->lon2, r->lat2});
  es_lonlat there = es_geodesic_ahead((es_lonlat){r->lon1, r->lat1}, c.azimuth_deg, c.dist_m);
  assert_near(there.lon_deg, r->lon2, 1e-10);
  assert_near(there.lat_deg, r->lat2, 1e-10);
}

static void along_is_ahead_many_times(void **state) {
  (void)state;
  double dist_m[] = {0.0, 1.0, 1e3, 4.5e5, 1e5};
  es_lonlat from = {179.0, 60.0}, line[5];
  es_geodesic_along(from, 80.0, dist_m, 5, line);
  for (int i = 0; i < 5; i++) {
    es_lonlat one = es_geodesic_ahead(from, 80.0, dist_m[i]);
    assert_near(line[i].lon_deg, one.lon_deg, 1e-12);
    assert_near(line[i].lat_deg, one.lat_deg, 1e-12);
    assert_near(es_geodesic_between(from, line[i]).dist_m, dist_m[i], 1e-6);
  }
  assert_true(line[3].lon_deg < 0.0); /* across the antimeridian: -180..180 */
}

enum { ROWS = sizeof rows / sizeof *rows };

int main(void) {
  struct CMUnitTest tests[2 * ROWS + 3] = {cmocka_unit_test(same_place_has_no_length),
                                           cmocka_unit_test(due_west_is_270_and_back_90),
                                           cmocka_unit_test(along_is_ahead_many_times)};
  for (int i = 0; i < ROWS; i++) {
    tests[3 + 2 * i] = (struct CMUnitTest){
        .name = rows[i].source, .test_func = course_matches_source, .initial_state = (void *)&rows[i]};
    tests[4 + 2 * i] = (struct CMUnitTest){
        .name = rows[i].source, .test_func = ahead_returns_to_the_other_end, .initial_state = (void *)&rows[i]};
  }
  return cmocka_run_group_tests_name("geodesic", tests, NULL, NULL);
}
