/* test_cell_range.c - the 8-in-10 range of a map cell against the normal distribution, and against its own rules. */
#include "run/cell_range.h"

#include "island_job.h"
#include "output/output.h"

static const double PERCENT[] = {10.0, 50.0, 90.0};
static const double Z90 = 1.2815515655446004; /* the normal deviate of 90 % */

static double normal_percent(double z) { return 50.0 * erfc(-z / sqrt(2.0)); }

/* SNR that is normal over time, 4 dB in the middle, sigma 6 dB: the share above a need is the normal distribution's. */
static void normal_over_time(void **state) {
  (void)state;
  const double snr[] = {4.0 + 6.0 * Z90, 4.0, 4.0 - 6.0 * Z90};
  for (double need = -20.0; need <= 30.0; need += 2.5) /* between the points and beyond them */
    assert_near(es_share_met(PERCENT, snr, 3, need), normal_percent((4.0 - need) / 6.0), 1e-6);
}

static void steady(void **state) {
  (void)state;
  const double snr[] = {3.0, 3.0, 3.0};
  assert_near(es_share_met(PERCENT, snr, 3, 2.9), 100.0, 0.0);
  assert_near(es_share_met(PERCENT, snr, 3, 3.1), 0.0, 0.0);
  assert_true(isnan(es_share_met(PERCENT, snr, 1, 3.0)));
}

static const char LISTENERS[] = "name,lon,lat,height_m,dish_m,mode\nQ7XAN,-36.30,46.60,10,0.6,cw\n";
static const char MAP[] = "time_percent: [10, 50, 90]\nchain: whole-year\n"
                          "map: {radius_km: 5, cell_m: 1000, receiver: {height_m: 10, dish_m: 0.6, mode: cw}}";

/* Cells by hand: normal over time, on each way; the range is the share at 1.28 sigma less and more. */
static void follows_the_sigma(void **state) {
  (void)state;
  enum { CELLS = 5 };
  island_job j;
  island_open(&j, "  antenna: {gain_dbi: 10, height_m: 18}\n  power: {at_amplifier_dbm: 27}", LISTENERS, MAP);
  float snr[3][CELLS], heard[CELLS], los[CELLS] = {1, 0, 0, 0, 0},
                                     way[CELLS] = {ES_SURFACE, ES_DUCT, ES_SCATTER, ES_SURFACE + ES_MAP_TREES, NAN};
  uint8_t zone[CELLS] = {ES_ZONE_INLAND, ES_ZONE_INLAND, ES_ZONE_INLAND, ES_ZONE_INLAND, ES_ZONE_INLAND};
  double need = es_mode_find(&j.job->modes, "cw")->snr_2500_db;
  for (int c = 0; c < CELLS; c++) {
    for (int k = 0; k < 3; k++) snr[k][c] = c == 4 ? NAN : (float)(need + 3.0 + 6.0 * Z90 * (1 - k));
    heard[c] = c == 4 ? NAN : (float)normal_percent(3.0 / 6.0);
  }
  es_map_layers layers = {.n_cells = CELLS, .n_percent = 3, .heard_percent = heard, .way_median = way, .los = los};
  for (int k = 0; k < 3; k++) {
    layers.percent[k] = PERCENT[k];
    layers.snr_db[k] = snr[k];
  }
  es_map_cells cells = {.n = CELLS, .zone = zone};
  es_cell_range range = {0};
  es_error err = {0};
  assert_int_equal(es_cell_range_make(&j.setup, &cells, &layers, &range, &err), 0);
  const es_receiver *rx = &j.job->map.receiver;
  double edges = fmax(es_usual_sigma_db(&j.setup, rx, ES_KIND_EDGE, INFINITY),
                      es_usual_sigma_db(&j.setup, rx, ES_KIND_EDGES, INFINITY));
  const double sigma[] = {es_usual_sigma_db(&j.setup, rx, ES_KIND_LOS_LAND, 0.0),
                          es_usual_sigma_db(&j.setup, rx, ES_KIND_DUCT, 0.0),
                          es_usual_sigma_db(&j.setup, rx, ES_KIND_SCATTER, 0.0), edges};
  for (int c = 0; c < 4; c++) {
    assert_near((double)range.low_percent[c], normal_percent((3.0 - Z90 * sigma[c]) / 6.0), 1e-3);
    assert_near((double)range.high_percent[c], normal_percent((3.0 + Z90 * sigma[c]) / 6.0), 1e-3);
  }
  assert_true(sigma[3] > sigma[0]); /* trees and edges are less well known than a free line of sight */
  assert_true(isnan(range.low_percent[4]) && isnan(range.high_percent[4]));
  es_cell_range_free(&range);
  island_close(&j);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(normal_over_time), cmocka_unit_test(steady),
                                     cmocka_unit_test(follows_the_sigma)};
  return cmocka_run_group_tests_name("cell range", tests, NULL, NULL);
}
