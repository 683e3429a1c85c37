/* test_profile_sheet.c - the profile's geometry against the Recommendation's formulas; its file. */
#include "output/profile_sheet.h"

#include "output/profile_panel.h"
#include "scratch.h"

enum { N = 105 };
static double dist_m[N], ground_m[N], top_m[N];
static uint8_t zone[N], known[N];

/* 62.4 km; sea from 10 to 20 km, woods from 30 to 40 km, nothing known from 50 to 52 km. */
static es_profile_sheet sheet(void) {
  for (int i = 0; i < N; i++) {
    double km = 0.6 * i;
    dist_m[i] = 1000.0 * km;
    zone[i] = km > 10.0 && km < 20.0 ? ES_ZONE_SEA : ES_ZONE_COAST;
    ground_m[i] = zone[i] == ES_ZONE_SEA ? 0.0 : 50.0 + 20.0 * sin(km);
    top_m[i] = km > 30.0 && km < 40.0 ? ground_m[i] + 15.0 : NAN;
    known[i] = !(km > 50.0 && km < 52.0);
    if (!known[i]) ground_m[i] = NAN;
  }
  return (es_profile_sheet){.eyebrow = "Q7XAN FROM SKARN HEAD",
                            .verdict = "Morse 50 % of the year",
                            .beacon_name = "Skarn Head",
                            .listener_name = "Q7XAN",
                            .n = N,
                            .dist_m = dist_m,
                            .ground_m = ground_m,
                            .top_m = top_m,
                            .zone = zone,
                            .known = known,
                            .beacon_mast_m = 18.0,
                            .listener_mast_m = 10.0,
                            .freq_ghz = 10.368875,
                            .earth_radius_m = 8495e3,
                            .scale = 1};
}

/* ITU-R P.526-15 (2): R1 = 550 sqrt(d1 d2 / ((d1 + d2) f)), km and MHz, 550 being rounded. */
static void zone_is_the_first_fresnel_zone(void **state) {
  (void)state;
  es_profile_sheet s = sheet();
  double want = 550.0 * sqrt(31.2 * 31.2 / (62.4 * 10368.875));
  assert_near(es_profile_zone_radius(&s, 31200.0), want, 0.006 * want);
  assert_near(es_profile_zone_radius(&s, 0.0), 0.0, 1e-12);
  assert_near(es_profile_zone_radius(&s, 62400.0), 0.0, 1e-6);
}

/* ITU-R P.526-15, 4.3: the Earth's bulge d1 d2 / 2 a; flat when the effective radius is infinite, hollow when negative. */
static void earth_bulges(void **state) {
  (void)state;
  es_profile_sheet s = sheet();
  assert_near(es_profile_bulge(&s, 31200.0), 31.2 * 31.2 / (2.0 * 8495.0) * 1000.0, 1e-9);
  s.earth_radius_m = INFINITY;
  assert_near(es_profile_bulge(&s, 31200.0), 0.0, 0.0);
  s.earth_radius_m = -20000e3;
  assert_true(es_profile_bulge(&s, 31200.0) < 0.0);
}

static void sight_line_joins_the_antennas(void **state) {
  (void)state;
  es_profile_sheet s = sheet();
  assert_near(es_profile_line(&s, 0.0), ground_m[0] + 18.0, 1e-9);
  assert_near(es_profile_line(&s, dist_m[N - 1]), ground_m[N - 1] + 10.0, 1e-9);
  assert_true(isnan(es_profile_ground(&s, 51000.0)));
  assert_near(es_profile_ground(&s, 900.0), 0.5 * (ground_m[1] + ground_m[2]), 1e-9);
}

static void same_bytes_twice(void **state) {
  es_profile_sheet s = sheet();
  char *one = scratch_path(state, "one.png"), *two = scratch_path(state, "two.png");
  assert_int_equal(es_profile_sheet_write(one, &s, NULL), ES_OK);
  assert_int_equal(es_profile_sheet_write(two, &s, NULL), ES_OK);
  assert_same_files(one, two);
  s.known = NULL; /* a void is seen: filled, it gives another picture */
  for (int i = 0; i < N; i++)
    if (isnan(ground_m[i])) ground_m[i] = 50.0;
  assert_int_equal(es_profile_sheet_write(two, &s, NULL), ES_OK);
  size_t n, m;
  char *x = scratch_read(one, &n), *y = scratch_read(two, &m);
  assert_true(n != m || memcmp(x, y, n) != 0);
  free(x);
  free(y);
  free(one);
  free(two);
}

/* A few metres or hundreds of kilometres, hollow or flat Earth, points written at the very ends. */
static void any_path_can_be_drawn(void **state) {
  es_profile_sheet s = sheet();
  char *path = scratch_path(state, "p.png");
  const double lengths_m[] = {80.0, 2500.0, 400e3}, radii_m[] = {8495e3, INFINITY, -20000e3};
  for (int k = 0; k < 3; k++) {
    for (int i = 0; i < N; i++) dist_m[i] = lengths_m[k] * i / (N - 1);
    s.earth_radius_m = radii_m[k];
    s.worst = (es_profile_point){lengths_m[k], 60.0, "worst point: a wall", "1 m above the sight line"};
    s.next = (es_profile_point){0.0, 60.0, "next closest: a roof", NULL};
    assert_int_equal(es_profile_sheet_write(path, &s, NULL), ES_OK);
  }
  free(path);
}

static void faults_are_named_and_leave_nothing(void **state) {
  es_profile_sheet s = sheet();
  char *path = scratch_path(state, "none/p.png");
  es_error err = {0};
  assert_int_equal(es_profile_sheet_write(path, &s, &err), ES_E_FILE);
  s.n = 1;
  assert_int_equal(es_profile_sheet_write(path, &s, &err), ES_E_RANGE);
  s.n = N;
  ground_m[0] = NAN;
  assert_int_equal(es_profile_sheet_write(path, &s, &err), ES_E_INPUT);
  assert_int_equal(scratch_count(*state), 0);
  free(path);
}

#define IN_SCRATCH(test) cmocka_unit_test_setup_teardown(test, scratch_make, scratch_remove)
int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(zone_is_the_first_fresnel_zone),
                                     cmocka_unit_test(earth_bulges),
                                     cmocka_unit_test(sight_line_joins_the_antennas),
                                     IN_SCRATCH(same_bytes_twice),
                                     IN_SCRATCH(any_path_can_be_drawn),
                                     IN_SCRATCH(faults_are_named_and_leave_nothing)};
  return cmocka_run_group_tests_name("profile_sheet", tests, NULL, NULL);
}
