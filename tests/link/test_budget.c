/* test_budget.c - the budget: levels, noise, thresholds, shares of time. */
#include "link/link.h"

#include "base/units.h"
#include "near.h"
#include "station/noise.h"

/* EIRP 39 dBm (1 W, 10 dBi, 1 dB) to a 0.6 m dish, Tsys 275 K: largest basic loss that a mode bears. Arithmetic. */
static void worked_budget(void **state) {
  (void)state;
  static const struct {
    const char *id;
    double loss_db;
  } rows[] = {{"ssb", 207}, {"cw", 227.5}, {"cw-best", 230.5}, {"jt4g", 230}, {"ft8", 234}, {"q65-60", 240.5}};
  es_modes modes;
  es_faults faults = {0};
  assert_true(es_modes_builtin(&modes, &faults));
  double noise = es_noise_dbm(275.0, 2500.0), gain = es_dish_gain_dbi(0.6, 0.55, 10.368);
  assert_near(noise, -140.2, 0.05);
  assert_near(es_noise_dbm(275.0, 1.0), -174.2, 0.05);
  assert_near(es_noise_dbm(275.0, 100.0), -154.2, 0.05);
  assert_near(es_noise_dbm(258.0, 1.0), -174.5, 0.05);
  assert_near(es_noise_dbm(290.0, 1.0), -173.98, 0.005);
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    double most = 39.0 + gain - noise - es_mode_find(&modes, rows[i].id)->snr_2500_db;
    assert_near(most, rows[i].loss_db, 0.26); /* the figures are rounded to half a decibel */
  }
  es_modes_free(&modes);
}

/* Te = 290 (10^(NF/10) - 1). */
static void noise_figures(void **state) {
  (void)state;
  static const double rows[][2] = {{0.6, 43.0}, {0.8, 58.7}, {1.0, 75.1}, {1.5, 119.6}, {2.0, 169.6}, {3.0, 288.6}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
    assert_near(es_system_temperature_k(0.0, 0.0, rows[i][0]), rows[i][1], 0.051);
  assert_near(es_system_temperature_k(200.0, 0.0, 1.0), 275.0, 0.1);
  assert_near(es_system_temperature_k(183.0, 0.0, 1.0), 258.0, 0.1);
  assert_true(isnan(es_system_temperature_k(200.0, 0.0, -1.0))); /* a negative noise figure is none */
}

/* C/N0 = SNR + 10 log10 B: the same thresholds as C/N0, by the user guide of the modes' authors and the listening tests. */
static void thresholds_as_cn0(void **state) {
  (void)state;
  static const struct {
    const char *id;
    double cn0_dbhz;
  } rows[] = {{"ssb", 39.8},      {"cw-easy", 26},        {"cw", 19.4},         {"cw-best", 16.4}, {"cw-record", 13.4},
              {"jt4a", 11},       {"jt4g", 17},           {"ft8", 13},          {"jt9", 8},        {"jt65", 9},
              {"q65-15", 11.8},   {"q65-30", 9.2},        {"q65-60", 6.4},      {"q65-120", 3.2},  {"wspr", 3},
              {"fst4w-120", 1.2}, {"waterfall-10hz", 20}, {"waterfall-1hz", 10}};
  es_modes modes;
  es_faults faults = {0};
  assert_true(es_modes_builtin(&modes, &faults));
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    const es_mode *mode = es_mode_find(&modes, rows[i].id);
    assert_non_null(mode);
    assert_near(mode->snr_2500_db + es_db(2500.0), rows[i].cn0_dbhz, 0.06);
  }
  es_modes_free(&modes);
}

/* A 1 Hz bin in a signal 10 Hz wide needs 10 dB more; one as wide as the signal needs nothing more. */
static void wide_signals(void **state) {
  (void)state;
  es_modes modes;
  es_faults faults = {0};
  assert_true(es_modes_builtin(&modes, &faults));
  const es_mode *narrow = es_mode_find(&modes, "waterfall-1hz"), *wide = es_mode_find(&modes, "waterfall-10hz");
  assert_near(es_mode_needed_db(narrow, 10.0), -14.0, 1e-9);
  assert_near(es_mode_needed_db(wide, 10.0), -14.0, 1e-9);
  assert_near(es_mode_needed_db(narrow, 0.5), -24.0, 1e-9);
  assert_string_equal(es_best_mode(&modes, -15.0, 0.0)->id, "jt4g"); /* -17: the highest that -15 reaches */
  assert_string_equal(es_best_mode(&modes, 10.0, 0.0)->id, "ssb");
  assert_string_equal(es_best_mode(&modes, -27.0, 0.0)->id, "q65-60");
  assert_null(es_best_mode(&modes, -27.0, 30.0)); /* 30 Hz wide: nothing decodes that low */
  es_modes_free(&modes);
}

/* Normal distribution: 1.2816, 1.6449, 2.3263 are the deviates of 90, 95 and 99 %. */
static void shares_of_time(void **state) {
  (void)state;
  assert_near(es_normal_deviate(0.9), 1.2815515655, 1e-9);
  assert_near(es_normal_deviate(0.05), -1.6448536270, 1e-9);
  double percent[] = {1, 10, 50, 90, 99}, snr[5];
  for (int k = 0; k < 5; k++) snr[k] = 3.0 - 8.0 * es_normal_deviate(percent[k] / 100.0); /* normal: 3 +- 8 dB */
  assert_near(es_heard_percent(percent, snr, 5, 3.0), 50.0, 1e-6);
  assert_near(es_heard_percent(percent, snr, 5, 3.0 + 8.0), 15.8655, 1e-3); /* one sigma */
  assert_near(es_heard_percent(percent, snr, 5, 100.0), 0.0, 0.0);
  assert_near(es_heard_percent(percent, snr, 5, -100.0), 100.0, 0.0);
  snr[2] = NAN;
  assert_true(isnan(es_heard_percent(percent, snr, 5, 3.0)));
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(worked_budget), cmocka_unit_test(noise_figures),
                                     cmocka_unit_test(thresholds_as_cn0), cmocka_unit_test(wide_signals),
                                     cmocka_unit_test(shares_of_time)};
  return cmocka_run_group_tests_name("link", tests, NULL, NULL);
}
