/* test_noise.c - system temperature, noise power and sky against definitions and a line-by-line integration. */
#include "station/noise.h"

#include <stdlib.h>

#include "base/text.h"
#include "base/units.h"
#include "folder.h"
#include "station/antenna.h"

/* Tsys = Tant + 290 (L - 1) + L 290 (F - 1), k = 1.380649e-23 J/K (definitions of ITU-R P.372 (1)-(8)). */
static void definitions(void **state) {
  (void)state;
  static const struct {
    double figure_db, feeder_db, antenna_k, system_k, dbm_2500, dbm_100, dbm_10;
  } rows[] = {
      {0.8, 0.3, 60, 143.592, -143.048, -157.028, -167.028},  {1.5, 0.5, 150, 319.619, -139.573, -153.553, -163.553},
      {3.0, 1.0, 290, 728.447, -135.996, -149.975, -159.975}, {0.8, 0.3, 150, 233.592, -140.935, -154.915, -164.915},
      {2.5, 0.0, 100, 325.701, -139.492, -153.471, -163.471},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    double k = es_system_temperature_k(rows[i].antenna_k, rows[i].feeder_db, rows[i].figure_db);
    assert_near(k, rows[i].system_k, 5e-4);
    assert_near(es_noise_dbm(k, 2500.0), rows[i].dbm_2500, 6e-4);
    assert_near(es_noise_dbm(k, 100.0), rows[i].dbm_100, 6e-4);
    assert_near(es_noise_dbm(k, 10.0), rows[i].dbm_10, 6e-4);
  }
}

static void refused(void **state) {
  (void)state;
  assert_true(isnan(es_system_temperature_k(100.0, 0.3, -0.1)));
  assert_true(isnan(es_system_temperature_k(100.0, -0.3, 1.0)));
  assert_true(isnan(es_system_temperature_k(100.0, 0.3, NAN)));
  assert_true(isnan(es_noise_dbm(0.0, 2500.0)));
  assert_true(isnan(es_noise_dbm(290.0, 0.0)));
  assert_true(isnan(es_antenna_temperature_k(es_rad(4.0), 0.0, 0.0, 0.9)));
  assert_true(isnan(es_antenna_temperature_k(es_rad(4.0), 0.0, 0.0, 51.0)));
  assert_true(isnan(es_antenna_temperature_k(0.0, 0.0, 0.0, 10.0)));
}

/* Clear sky, 288.15 K, 1013.25 hPa, 7.5 g/m3: ITU-R P.676-13 integrated line by line through the mean atmosphere
 * of P.835-6 by an independent script. One layer of P.2001 attachment F: within 4 K at 10.368 GHz and 13 K from 1
 * to 48 GHz. */
static void sky(void **state) {
  (void)state;
  static const double el_deg[] = {0, 1, 2, 5, 10, 20, 30, 90};
  static const struct {
    double freq_ghz, tolerance_k, sky_k[8];
  } rows[] = {
      {1.296, 3, {88.11, 59.00, 42.78, 23.09, 13.62, 8.38, 6.62, 4.68}},
      {5.76, 2, {110.68, 72.71, 52.21, 27.78, 16.14, 9.70, 7.53, 5.14}},
      {10.368, 4, {142.62, 93.14, 66.57, 35.13, 20.12, 11.80, 8.98, 5.87}},
      {24.048, 13, {287.05, 275.52, 250.90, 177.32, 113.41, 66.25, 47.98, 26.38}},
      {47.088, 13, {287.72, 285.12, 279.68, 245.62, 186.37, 121.42, 91.03, 51.22}},
  };
  double worst = 0.0;
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
    for (size_t j = 0; j < 8; j++) {
      double got = es_sky_temperature_k(es_rad(el_deg[j]), rows[i].freq_ghz);
      assert_near(got, rows[i].sky_k[j], rows[i].tolerance_k);
      worst = fmax(worst, fabs(got - rows[i].sky_k[j]));
    }
  print_message("clear sky: largest difference %.1f K\n", worst);
}

/* Gaussian main lobe cut by the horizon, 10.368 GHz: worked by hand from the line-by-line sky. */
static void on_the_horizon(void **state) {
  (void)state;
  assert_near(es_antenna_temperature_k(es_rad(4.0), 0.0, 0.0, 10.368), 183.0, 3.0);
  assert_near(es_antenna_temperature_k(es_dish_beam(0.6, 10.368), 0.0, 0.0, 10.368), 186.0, 3.0);
  assert_near(es_antenna_temperature_k(es_dish_beam(1.2, 10.368), 0.0, 0.0, 10.368), 194.0, 3.0);
  assert_near(es_antenna_temperature_k(es_rad(4.0), es_rad(3.0), 0.0, 10.368), 80.0, 3.0);
  assert_near(es_antenna_temperature_k(es_dish_beam(0.6, 10.368), es_rad(3.0), 0.0, 10.368), 76.0, 3.0);
  assert_near(es_antenna_temperature_k(es_dish_beam(1.2, 10.368), es_rad(3.0), 0.0, 10.368), 73.0, 3.0);
}

static void limits(void **state) {
  (void)state;
  assert_near(es_antenna_temperature_k(es_rad(4.0), es_rad(-6.0), 0.0, 10.368), 290.0, 0.0); /* down into the ground */
  double raised = es_antenna_temperature_k(es_rad(4.0), 0.0, es_rad(2.0), 10.368);
  assert_true(raised > es_antenna_temperature_k(es_rad(4.0), 0.0, 0.0, 10.368)); /* a hill in front is warmer */
  double all_round = es_antenna_temperature_k(ES_PI, 0.0, 0.0, 10.368);
  assert_true(all_round > 145.0 && all_round < 165.0); /* half ground, half sky */
}

/* Pn = k T b for the rows of the folder of check values, when there is one. */
static void computed_table(void **state) {
  (void)state;
  const char *folder = getenv("EARSHOT_CHECK_VALUES");
  if (folder == NULL) {
    print_message("EARSHOT_CHECK_VALUES is not set: only the values above were compared\n");
    skip();
  }
  es_error err = {0};
  es_faults faults = {0};
  char *path = es_format("%s/p372_noise_basics_computed.csv", folder);
  es_text_table *t = es_text_table_open(path, &err);
  if (t == NULL) fail_msg("%s", err.detail);
  for (size_t r = 0; r < es_text_table_rows(t); r++) {
    double kelvin, hz, dbm, figure_db;
    es_text_table_number(t, r, es_text_table_column(t, "T_K"), 0, 1e5, &kelvin, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "b_Hz"), 0, 1e9, &hz, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "Pn_dBm"), -300, 0, &dbm, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "Fa_dB"), -100, 100, &figure_db, &faults);
    assert_near(es_noise_dbm(kelvin, hz), dbm, 1e-6);
    assert_near(es_db(kelvin / 290.0), figure_db, 1e-6);
  }
  assert_int_equal(faults.n, 0);
  assert_true(es_text_table_rows(t) > 0);
  es_text_table_close(t);
  free(path);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(definitions), cmocka_unit_test(refused),
                                     cmocka_unit_test(sky),         cmocka_unit_test(on_the_horizon),
                                     cmocka_unit_test(limits),      cmocka_unit_test(computed_table)};
  return cmocka_run_group_tests_name("noise", tests, NULL, NULL);
}
