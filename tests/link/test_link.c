/* test_link.c - level, noise, SNR and share of time: arithmetic against figures worked by hand. */
#include "near.h"

#include "base/units.h"
#include "link/link.h"
#include "station/noise.h"

/* Quantiles of the standard normal distribution, six decimals: Abramowitz and Stegun 1964, tables 26.5, 26.6. */
static void normal_deviates(void **state) {
  (void)state;
  static const double rows[][2] = {{0.5, 0.0},        {0.75, 0.674490},   {0.9, 1.281552},   {0.95, 1.644854},
                                   {0.975, 1.959964}, {0.99, 2.326348},   {0.999, 3.090232}, {0.9999, 3.719016},
                                   {0.01, -2.326348}, {0.001, -3.090232}, {1e-5, -4.264891}, {0.99999, 4.264891},
                                   {1e-6, -4.753424}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) assert_near(es_normal_deviate(rows[i][0]), rows[i][1], 6e-7);
}

static void normal_deviates_undo_the_distribution(void **state) {
  (void)state;
  for (double z = -4.5; z <= 4.5; z += 0.01) assert_near(es_normal_deviate(0.5 * erfc(-z / sqrt(2.0))), z, 1e-9);
  for (double z = -35.0; z < 0.0; z += 0.01) /* all three stretches of AS 241 */
    assert_near(es_normal_deviate(0.5 * erfc(-z / sqrt(2.0))) / z, 1.0, 2e-15 * (1.0 + 1.0 / (z * z)));
  assert_true(es_normal_deviate(0.0) == -INFINITY && es_normal_deviate(1.0) == INFINITY);
  assert_true(isnan(es_normal_deviate(NAN)) && isnan(es_normal_deviate(1.5)));
}

static void the_table_of_the_distribution_is_near(void **state) {
  (void)state;
  const es_normal_point *points = es_normal_points();
  for (double z = -9.0; z < 9.0; z += 0.001) {
    es_normal_point got = es_normal_near(points, z);
    assert_near(got.share, 0.5 * erfc(-z / sqrt(2.0)), 1e-10);
    assert_near(got.density, exp(-0.5 * z * z) / sqrt(2.0 * ES_PI), 2e-5);
  }
}

/* --- noise ------------------------------------------------------------------------------------------------------------------ */

/* Everything referred to the antenna port: T = Tant + 290 (L - 1) + L 290 (F - 1), ITU-R P.372 (1)-(8) with all at 290 K;
 * N = k T B with k = 1.380649e-23 J/K. Worked by hand. */
static const struct noise_row {
  double figure_db, feeder_db, antenna_k, system_k, in_2500_dbm, in_100_dbm;
} noise_rows[] = {
    {0.8, 0.3, 60, 143.592, -143.048, -157.028},  {1.5, 0.5, 150, 319.619, -139.573, -153.553},
    {3.0, 1.0, 290, 728.447, -135.996, -149.975}, {0.8, 0.3, 150, 233.592, -140.935, -154.915},
    {2.5, 0.0, 100, 325.701, -139.492, -153.471},
};

static void receivers_have_their_noise(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof noise_rows / sizeof *noise_rows; i++) {
    const struct noise_row *w = &noise_rows[i];
    es_receiver rx = {.noise_figure_db = w->figure_db,
                      .feeder_db = w->feeder_db,
                      .antenna_k = w->antenna_k,
                      .antenna = {.peak_dbi = 20.0}};
    es_receive_noise n = es_receiver_noise(&rx, 10.368, 0.0);
    assert_near(n.antenna_k, w->antenna_k, 0.0); /* the user's own value is taken as it is */
    assert_near(n.system_k, w->system_k, 5.1e-4);
    assert_near(n.noise_2500_dbm, w->in_2500_dbm, 5.1e-4);
    assert_near(es_noise_dbm(n.system_k, 100.0), w->in_100_dbm, 5.1e-4);
  }
}

/* P.372: a noise factor f = T/290 gives Fa + B - 174 dBm. At 290 K in 2500 Hz: -173.975 + 33.979. */
static void noise_at_the_reference_temperature(void **state) {
  (void)state;
  es_receiver rx = {.noise_figure_db = 0.0, .feeder_db = 0.0, .antenna_k = 290.0};
  assert_near(es_receiver_noise(&rx, 10.0, 0.0).noise_2500_dbm, -139.9957, 1e-4);
}

/* Without a value of the user's the beam decides: one that looks above the horizon hears less ground. */
static void an_antenna_has_its_own_temperature(void **state) {
  (void)state;
  es_receiver rx = {.noise_figure_db = 1.0, .antenna_k = NAN, .antenna = {.shape = ES_SHAPE_DISH, .dish_m = 0.6}};
  es_receive_noise level = es_receiver_noise(&rx, 10.368, 0.0), up = es_receiver_noise(&rx, 10.368, es_rad(10.0));
  assert_true(level.antenna_k > 150.0 && level.antenna_k < 220.0); /* half ground, half low sky */
  assert_true(up.antenna_k < level.antenna_k - 50.0);
  assert_near(level.system_k, es_system_temperature_k(level.antenna_k, 0.0, 1.0), 1e-9);
}

static void beams(void **state) {
  (void)state;
  es_antenna dish = {.shape = ES_SHAPE_DISH, .dish_m = 0.6, .peak_dbi = 34.0}, round = {.peak_dbi = 0.0},
             horn = {.peak_dbi = 20.0};
  assert_near(es_deg(es_antenna_beam(&dish, 10.368)), 70.0 * ES_LIGHT_M_S / 10.368e9 / 0.6, 1e-9); /* 70 lambda / D */
  assert_near(es_deg(es_antenna_beam(&horn, 10.368)), sqrt(320.0), 1e-9);                          /* 32000 / 100 */
  assert_true(es_antenna_beam(&round, 10.368) >= es_rad(178.0));
}

/* --- level and SNR --------------------------------------------------------------------------------------------------------------- */

/* Level = power - feeder - loss less both gains; the SNR is in 2500 Hz with a system of 250 K. Worked by hand. */
static void signal_to_noise(void **state) {
  (void)state;
  static const struct {
    double power_dbm, gain_tx, gain_rx, loss_db, level_dbm, snr_db;
  } rows[] = {{40, 10, 34, 142.73, -58.73, 81.91},
              {40, 10, 34, 219.39, -135.39, 5.25},
              {40, 10, 34, 203.46, -119.46, 21.18},
              {40, 0, 0, 171.41, -131.41, 9.23}};
  double noise = es_noise_dbm(250.0, 2500.0);
  assert_near(noise, -140.64, 5e-3);
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    double level = es_level_dbm(rows[i].power_dbm, 0.0, rows[i].loss_db - rows[i].gain_tx - rows[i].gain_rx);
    assert_near(level, rows[i].level_dbm, 1e-9);
    assert_near(level - noise, rows[i].snr_db, 6e-3);
  }
  assert_near(es_level_dbm(40.0, 1.5, 100.0), -61.5, 1e-12);
}

/* --- share of time ---------------------------------------------------------------------------------------------------------------- */

/* SNR falling linearly in the normal deviate: -z times 10 dB; then "heard" is the distribution itself. */
static void curve(double *snr) {
  for (size_t k = 0; k < ES_YEAR_STEPS; k++) snr[k] = -10.0 * es_normal_deviate(es_year_percent[k] / 100.0);
}

static void heard_on_a_straight_curve(void **state) {
  (void)state;
  double snr[ES_YEAR_STEPS];
  curve(snr);
  assert_near(es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, 0.0), 50.0, 1e-9);
  for (double needed = -30.0; needed <= 40.0; needed += 0.7) {
    double want = 50.0 * erfc(0.1 * needed / sqrt(2.0)); /* percent of the year that a normal variable exceeds it */
    assert_near(es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, needed), want, 1e-7 + 1e-6 * want);
  }
}

static void heard_always_never_and_unknown(void **state) {
  (void)state;
  double snr[ES_YEAR_STEPS];
  curve(snr);
  assert_near(es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, -60.0), 100.0, 0.0);
  assert_near(es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, 60.0), 0.0, 0.0);
  assert_near(es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, snr[ES_YEAR_STEPS - 1]), 100.0,
              1e-9); /* just met */
  snr[5] = NAN;
  assert_true(isnan(es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, 0.0)));
}

/* An SNR that rises again at a later percentage is not believed: the lowest so far holds. */
static void a_dip_is_not_believed(void **state) {
  (void)state;
  const double percent[4] = {1, 10, 50, 90}, dip[4] = {20, 5, 15, 0}, flat[4] = {20, 5, 5, 0};
  assert_near(es_heard_percent(percent, dip, 4, 10.0), es_heard_percent(percent, flat, 4, 10.0), 1e-12);
  double z = es_normal_deviate(0.01) + (20.0 - 10.0) / 15.0 * (es_normal_deviate(0.1) - es_normal_deviate(0.01));
  assert_near(es_heard_percent(percent, dip, 4, 10.0), 50.0 * erfc(-z / sqrt(2.0)), 1e-9);
}

/* Heard never grows with what is needed. */
static void more_needed_is_heard_less(void **state) {
  (void)state;
  double snr[ES_YEAR_STEPS], before = 101.0;
  for (size_t k = 0; k < ES_YEAR_STEPS; k++) snr[k] = 30.0 - 4.0 * (double)k - (k > 6 ? 25.0 : 0.0);
  for (double needed = -60.0; needed < 40.0; needed += 0.25) {
    double heard = es_heard_percent(es_year_percent, snr, ES_YEAR_STEPS, needed);
    assert_true(heard <= before && heard >= 0.0);
    before = heard;
  }
}

static void snr_between_percentages(void **state) {
  (void)state;
  double snr[ES_YEAR_STEPS];
  curve(snr);
  for (size_t k = 0; k < ES_YEAR_STEPS; k++)
    assert_near(es_snr_at(es_year_percent, snr, ES_YEAR_STEPS, es_year_percent[k]), snr[k], 1e-9);
  assert_near(es_snr_at(es_year_percent, snr, ES_YEAR_STEPS, 30.0), 5.244005, 1e-5); /* the 30 % deviate */
  assert_near(es_snr_at(es_year_percent, snr, ES_YEAR_STEPS, 1e-6), snr[0], 0.0);    /* held at the ends */
  assert_near(es_snr_at(es_year_percent, snr, ES_YEAR_STEPS, 99.9999), snr[ES_YEAR_STEPS - 1], 0.0);
}

static void the_years_percentages_rise(void **state) {
  (void)state;
  for (size_t k = 1; k < ES_YEAR_STEPS; k++) assert_true(es_year_percent[k] > es_year_percent[k - 1]);
  assert_near(es_year_percent[0], 0.001, 0.0); /* where P.2001 is meaningful */
  assert_true(es_year_percent[ES_YEAR_STEPS - 1] <= 99.999);
}

static void the_best_mode_is_the_hardest_that_still_works(void **state) {
  (void)state;
  es_mode items[] = {
      {.id = "voice", .snr_2500_db = 6.0}, {.id = "morse", .snr_2500_db = -9.0}, {.id = "slow", .snr_2500_db = -27.0}};
  es_modes modes = {items, 3};
  assert_string_equal(es_best_mode(&modes, 6.0, 0.0)->id, "voice");
  assert_string_equal(es_best_mode(&modes, 5.99, 0.0)->id, "morse");
  assert_string_equal(es_best_mode(&modes, -20.0, 0.0)->id, "slow");
  assert_null(es_best_mode(&modes, -27.1, 0.0));
  assert_null(es_best_mode(&modes, NAN, 0.0));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(normal_deviates),
      cmocka_unit_test(normal_deviates_undo_the_distribution),
      cmocka_unit_test(the_table_of_the_distribution_is_near),
      cmocka_unit_test(receivers_have_their_noise),
      cmocka_unit_test(noise_at_the_reference_temperature),
      cmocka_unit_test(an_antenna_has_its_own_temperature),
      cmocka_unit_test(beams),
      cmocka_unit_test(signal_to_noise),
      cmocka_unit_test(heard_on_a_straight_curve),
      cmocka_unit_test(heard_always_never_and_unknown),
      cmocka_unit_test(a_dip_is_not_believed),
      cmocka_unit_test(more_needed_is_heard_less),
      cmocka_unit_test(snr_between_percentages),
      cmocka_unit_test(the_years_percentages_rise),
      cmocka_unit_test(the_best_mode_is_the_hardest_that_still_works),
  };
  return cmocka_run_group_tests_name("link", tests, NULL, NULL);
}
