/* test_line.c - gap rules: short voids are bridged and flagged, a longer one ends the line. */
#include "near.h"

#include <string.h>

#include "radial/radial.h"

enum { N = 8 };
static const double dist[N] = {0, 30, 60, 90, 120, 150, 180, 210};
static const double ground[N] = {10, 20, -999, -999, 50, 60, -999, 80};

static es_arena *arena;
static int start(void **state) { return (void)state, (arena = es_arena_create()) == NULL; }
static int stop(void **state) { return (void)state, es_arena_destroy(arena), 0; }

static es_line made(const uint8_t known[N], double fill_gap_m) {
  es_samples s = {.n = N, .step_m = 30.0, .dist_m = dist, .ground_m = ground, .known = known};
  es_line line;
  assert_int_equal(es_line_make(arena, &s, fill_gap_m, &line), 0);
  return line;
}

static void short_voids_are_bridged_linearly(void **state) {
  (void)state;
  es_line line = made((uint8_t[N]){1, 1, 0, 0, 1, 1, 0, 1}, 90.0); /* 90 m from sample 1 to 4: just allowed */
  assert_int_equal(line.n, N);
  assert_near(line.ground_m[2], 30.0, 1e-12);
  assert_near(line.ground_m[3], 40.0, 1e-12);
  assert_near(line.ground_m[6], 70.0, 1e-12);
  const uint8_t want[N] = {1, 1, 2, 2, 1, 1, 2, 1};
  assert_memory_equal(line.known, want, N);
  assert_near(line.step_m, 30.0, 0.0);
}

static void a_longer_void_ends_the_line(void **state) {
  (void)state;
  es_line line = made((uint8_t[N]){1, 1, 0, 0, 1, 1, 0, 1}, 89.9);
  assert_int_equal(line.n, 2);
  assert_near(line.ground_m[1], 20.0, 0.0);
}

static void no_bridging_at_zero(void **state) {
  (void)state;
  assert_int_equal(made((uint8_t[N]){1, 1, 1, 1, 1, 1, 0, 1}, 0.0).n, 6);
}

static void a_void_at_the_end_is_cut_off(void **state) {
  (void)state;
  assert_int_equal(made((uint8_t[N]){1, 1, 1, 1, 1, 1, 0, 0}, 1e6).n, 6);
  assert_int_equal(made((uint8_t[N]){1, 0, 0, 0, 0, 0, 0, 0}, 1e6).n, 1);
}

static void a_beacon_in_a_void_has_no_line(void **state) {
  (void)state;
  assert_int_equal(made((uint8_t[N]){0, 1, 1, 1, 1, 1, 1, 1}, 1e6).n, 0);
  es_line line;
  assert_int_equal(es_line_make(arena, &(es_samples){0}, 200.0, &line), 0);
  assert_int_equal(line.n, 0);
}

/* 3: sea by the mask alone. It is known ground: kept as it is, and no void. */
static void sea_by_mask_is_ground(void **state) {
  (void)state;
  const uint8_t known[N] = {1, 1, 3, 3, 1, 1, 3, 1};
  es_line line = made(known, 0.0);
  assert_int_equal(line.n, N);
  assert_memory_equal(line.known, known, N);
  assert_near(line.ground_m[2], -999.0, 0.0); /* what the ground stage put there */
}

static void absent_layers_have_plain_defaults(void **state) {
  (void)state;
  es_samples s = {.n = N, .dist_m = dist, .ground_m = ground};
  es_line line;
  assert_int_equal(es_line_make(arena, &s, 200.0, &line), 0);
  assert_int_equal(line.n, N);
  assert_null(line.top_m);
  assert_null(line.base_m);
  assert_null(line.cover);
  for (size_t i = 0; i < N; i++) {
    assert_int_equal(line.known[i], 1);
    assert_int_equal(line.zone[i], ES_ZONE_INLAND);
  }
}

static void canopy_stands_on_bridged_ground(void **state) {
  (void)state;
  const double canopy[N] = {0, 5, 6, 7, 8, 9, 10, 11};
  const uint8_t known[N] = {1, 1, 0, 0, 1, 1, 1, 1}, zone[N] = {1, 1, 3, 3, 4, 4, 4, 4},
                cover[N] = {9, 8, 7, 6, 5, 4, 3, 2};
  es_samples s = {.n = N,
                  .step_m = 30.0,
                  .dist_m = dist,
                  .ground_m = ground,
                  .canopy_m = canopy,
                  .cover = cover,
                  .zone = zone,
                  .known = known};
  es_line line;
  assert_int_equal(es_line_make(arena, &s, 200.0, &line), 0);
  assert_near(line.top_m[2], 36.0, 1e-12); /* 30 by the bridge and 6 of canopy */
  assert_near(line.top_m[5], 69.0, 1e-12);
  assert_near(line.base_m[5], 60.0, 1e-12);
  assert_memory_equal(line.zone, zone, N);
  assert_memory_equal(line.cover, cover, N);
}

/* Canopy raises a tangent only where a sample is at least keep_bare_m from both ends: P.452-18 (6e), 50 m. */
static void canopy_keeps_away_from_the_ends(void **state) {
  (void)state;
  const double flat[N] = {0}, canopy[N] = {0, 20, 20, 0, 0, 0, 25, 0}, rows[N] = {0, 49.9, 50, 90, 120, 150, 160, 210};
  es_samples s = {.n = N, .dist_m = rows, .ground_m = flat, .canopy_m = canopy};
  es_line line;
  assert_int_equal(es_line_make(arena, &s, 0.0, &line), 0);
  es_radial_setup setup = {{0, 0}, 0.0, 10.0, 10.0, 8500.0, 0.03, NULL};
  es_spot spot = {210.0, 0.0, 10.0, ES_ZONE_INLAND, 0.0};
  es_radial radial;
  es_hull bare, tops;
  assert_int_equal(es_radial_place(arena, &setup, &line, &spot, 1, &radial), 0);
  assert_int_equal(es_tangents(arena, &radial, 0.0, 0, 50.0, &bare), 0);
  assert_int_equal(es_tangents(arena, &radial, 0.0, 1, 50.0, &tops), 0);
  assert_near(bare.tx_slope, -10.0 / 160.0, 1e-12);
  assert_int_equal(tops.tx_at, 2); /* 50 m away stands, 49.9 m does not */
  assert_near(tops.tx_slope, 10.0 / 50.0, 1e-12);
  assert_int_equal(tops.rx_at, 6); /* 50 m before the receiver stands */
  assert_near(tops.rx_slope, 15.0 / 50.0, 1e-12);
  assert_true(radial.rx.los[0]); /* the shared geometry is of bare ground */
}

/* Of samples that stand equally high both ends take the last, as the reference examples of P.2001 do. */
static void the_last_of_tied_horizons_is_taken(void **state) {
  (void)state;
  /* from the beacon at 0 m samples 1, 2, 4 stand at 1/16; from the receiver at 0 m samples 4, 6, 7 do */
  const double x[9] = {0, 128, 256, 384, 512, 640, 768, 896, 1024}, h[9] = {0, 8, 16, 0, 32, 0, 16, 8, 0};
  es_samples s = {.n = 9, .step_m = 128.0, .dist_m = x, .ground_m = h};
  es_line line;
  es_radial radial;
  es_hull hull;
  es_radial_setup setup = {{0, 0}, 0.0, 0.0, 10.0, INFINITY, 0.03, NULL};
  es_spot spot = {1024.0, 0.0, 0.0, ES_ZONE_INLAND, 0.0};
  assert_int_equal(es_line_make(arena, &s, 0.0, &line), 0);
  assert_int_equal(es_radial_place(arena, &setup, &line, &spot, 1, &radial), 0);
  assert_int_equal(es_tangents(arena, &radial, 0.0, 0, 0.0, &hull), 0);
  assert_int_equal(hull.tx_at, 4);
  assert_int_equal(hull.rx_at, 7);
  assert_near(radial.rx.d_tx_m[0], 512.0, 0.0);
  assert_near(radial.rx.d_rx_m[0], 128.0, 0.0);
}

/* --- zones on a path one can check by hand ------------------------------------------------------------------------------ */

/* Samples at 0..5 km, zones: coast, sea, sea, inland, inland, coast; each owns half a kilometre on either side. */
static void zone_lengths_by_hand(void **state) {
  (void)state;
  const double km[6] = {0, 1e3, 2e3, 3e3, 4e3, 5e3}, flat[6] = {0};
  const uint8_t zone[6] = {3, 1, 1, 4, 4, 3};
  es_samples s = {.n = 6, .step_m = 1e3, .dist_m = km, .ground_m = flat, .zone = zone};
  es_line line;
  es_radial radial;
  assert_int_equal(es_line_make(arena, &s, 0.0, &line), 0);
  es_radial_setup setup = {{0, 0}, 0.0, 10.0, 10.0, 8500.0, 0.03, NULL};
  es_spot spots[2] = {{2000.0, 0, 10, ES_ZONE_SEA, 0}, {5000.0, 0, 10, ES_ZONE_COAST, 0}};
  assert_int_equal(es_radial_place(arena, &setup, &line, spots, 2, &radial), 0);
  const es_receivers *rx = &radial.rx;
  assert_near(rx->sea_share[0], 0.75, 1e-12); /* to the sample at sea: half a kilometre of coast, then sea to the end */
  assert_near(rx->sea_tx_m[0], 500.0, 1e-9);
  assert_near(rx->sea_rx_m[0], 0.0, 1e-9);
  assert_near(rx->land_m[0], 500.0, 1e-9);
  assert_near(rx->inland_m[0], 0.0, 1e-9);
  assert_near(rx->sea_share[1], 0.4, 1e-12);
  assert_near(rx->sea_tx_m[1], 500.0, 1e-9);
  assert_near(rx->sea_rx_m[1], 2500.0, 1e-9);
  assert_near(rx->land_m[1], 2500.0, 1e-9);
  assert_near(rx->inland_m[1], 2000.0, 1e-9);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(short_voids_are_bridged_linearly, start, stop),
      cmocka_unit_test_setup_teardown(a_longer_void_ends_the_line, start, stop),
      cmocka_unit_test_setup_teardown(no_bridging_at_zero, start, stop),
      cmocka_unit_test_setup_teardown(a_void_at_the_end_is_cut_off, start, stop),
      cmocka_unit_test_setup_teardown(a_beacon_in_a_void_has_no_line, start, stop),
      cmocka_unit_test_setup_teardown(sea_by_mask_is_ground, start, stop),
      cmocka_unit_test_setup_teardown(absent_layers_have_plain_defaults, start, stop),
      cmocka_unit_test_setup_teardown(canopy_stands_on_bridged_ground, start, stop),
      cmocka_unit_test_setup_teardown(canopy_keeps_away_from_the_ends, start, stop),
      cmocka_unit_test_setup_teardown(the_last_of_tied_horizons_is_taken, start, stop),
      cmocka_unit_test_setup_teardown(zone_lengths_by_hand, start, stop),
  };
  return cmocka_run_group_tests_name("line", tests, NULL, NULL);
}
