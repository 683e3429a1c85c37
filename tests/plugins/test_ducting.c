/* test_ducting.c - attachment D of ITU-R P.2001-6. */
#include "ducting/ducting.c"

#include "task_p2001.h"

typedef struct duct_case {
  double dist_km, beacon_m, listener_m, el_tx, el_rx, d_tx_km, d_rx_km, fit_tx_m, fit_rx_m, rough_m;
  double land_km, inland_km, sea_km, sea_share, lat_deg;
  double at_point, on_path, exponent, aac, aad, lba[5]; /* at 0.01, 0.1, 1, 10, 50 % */
} duct_case;

/* Two hills, open sea, line of sight; 10.368 GHz; by a second implementation of the text. */
static const duct_case CASES[] = {
    {100,        70,          60,
     2.21174e-3, 4.18647e-3,  39.5,
     24.5,       50,          50,
     200,        100,         100,
     100,        0,           51.997741634,
     1.139981,   2.933249e-2, 0.298568,
     180.708,    15.248,      {192.428, 202.600, 221.285, 256.934, 300.702}},
    {200,         30,          30,
     -2.64952e-3, -2.64952e-3, 23,
     23,          0,           0,
     0,           0,           0,
     0,           1,           51.990967357,
     7.764893,    1.306710,    0.563083,
     144.707,     16.866,      {146.741, 150.731, 160.175, 189.587, 247.060}},
    {30,           265,      235,      -2.75457e-3, -0.75457e-3, 29.25, 0.75,
     151.0031,     136.8531, 76.5016,  30,          30,          30,    0,
     51.999796741, 2.269838, 1.990067, 0.626102,    152.306,     0.0,   {138.230, 140.949, 148.219, 174.754, 233.463}}};

static void make_case(hand_task *at, const duct_case *row) {
  memset(at, 0, sizeof *at);
  hand_middle_latitude(at);
  at->dist_m = 1000.0 * row->dist_km;
  at->beacon.antenna_m = row->beacon_m, at->at.antenna_m = row->listener_m;
  at->el_tx = row->el_tx, at->el_rx = row->el_rx;
  at->d_tx_m = 1000.0 * row->d_tx_km, at->d_rx_m = 1000.0 * row->d_rx_km;
  at->fit_tx_m = row->fit_tx_m, at->fit_rx_m = row->fit_rx_m, at->rough_m = row->rough_m;
  at->land_m = 1000.0 * row->land_km, at->inland_m = 1000.0 * row->inland_km;
  at->sea_tx_m = at->sea_rx_m = 1000.0 * row->sea_km, at->sea_share = row->sea_share;
  at->mid_lat_deg = row->lat_deg;
  for (int k = 0; k < 5; k++) at->percent[k] = (double[]){0.01, 0.1, 1, 10, 50}[k];
  hand_link(at, 5);
}

static void worked_cases_match(void **state) {
  (void)state;
  duct_settings set = {0};
  for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
    const duct_case *row = &CASES[i];
    hand_task at;
    make_case(&at, row);
    hand_evaluate(&at, &es_model_entry, &set);
    assert_near(hand_noted(&at, "b0"), row->at_point, 6e-7);
    assert_near(hand_noted(&at, "bduct"), row->on_path, 2e-6 * row->on_path);
    assert_near(hand_noted(&at, "Gamma"), row->exponent, 6e-7);
    assert_near(hand_noted(&at, "Aac"), row->aac, 6e-4);
    assert_near(hand_noted(&at, "Aad"), row->aad, 6e-4);
    for (int k = 0; k < 5; k++) assert_near(at.value[k], row->lba[k], 1e-3);
  }
}

/* beta0 of P.452-18 (2)-(4), all of whose figures are of the reference software. */
static void beta0_table_matches(void **state) {
  (void)state;
  check_table *table = check_open("p452_beta0.csv");
  if (!table) skip();
  check_worst worst = {"beta0", 0.0};
  while (check_next(table)) {
    incidence duct;
    set_point_incidence(&duct, check_at(table, "dtm_km"), check_at(table, "dlm_km"), check_at(table, "lat_deg"));
    check_compare(&worst, duct.at_point, check_at(table, "b0_pct"));
  }
  check_report("P.452-18 beta0", &worst, 1e-7);
  check_close(table);
}

/* (D.7.2): horizons that overlap by more than 7.2 km would make rough ground help. */
static void overlapping_horizons_may_be_held(void **state) {
  (void)state;
  duct_settings to_the_letter = {0}, held = {1};
  assert_near(rough_share(&to_the_letter, 110.0, -20.0), exp(4.6e-5 * 100.0 * 77.0), 1e-12);
  assert_near(rough_share(&held, 110.0, -20.0), 1.0, 0.0);
  assert_near(rough_share(&held, 110.0, 20.0), rough_share(&to_the_letter, 110.0, 20.0), 0.0);
}

static void extreme_roughness_stays_finite(void **state) {
  (void)state;
  duct_settings set = {0};
  hand_task at;
  make_case(&at, &CASES[0]);
  at.rough_m = 1e5;
  hand_evaluate(&at, &es_model_entry, &set);
  assert_near(hand_noted(&at, "bduct"), 1e-20, 1e-32);
  assert_true(isfinite(at.value[4]));
}

static void unknown_geometry_is_missing(void **state) {
  (void)state;
  duct_settings set = {0};
  hand_task at;
  make_case(&at, &CASES[0]);
  at.rough_m = NAN;
  hand_evaluate(&at, &es_model_entry, &set);
  assert_true(isnan(at.value[0]));
  assert_int_equal(at.status[0], ES_MISSING);
}

/* The sign of each part, where a slip would pass the tables above. */
static void shielding_and_coast_act_at_their_own_end(void **state) {
  (void)state;
  terminal behind_hill = {20.0, 10.0, 100.0, 50.0}, on_beach = {-2.0, 20.0, 1.0, 20.0};
  assert_near(shielding_db(&behind_hill, 10.0), 20.0 * log10(1.0 + 0.361 * 19.0 * 10.0) + 0.264 * 19.0 * cbrt(10.0),
              1e-12);
  assert_near(shielding_db(&on_beach, 10.0), 0.0, 0.0);
  assert_near(coast_db(&behind_hill, 1.0), 0.0, 0.0);
  assert_near(coast_db(&on_beach, 0.74), 0.0, 0.0);
  assert_near(coast_db(&on_beach, 0.75), -3.0 * exp(-0.25) * (1.0 + tanh(2.1)), 1e-12);
  assert_near(low_band_db(0.4, 0.5), 0.5 * (45.375 - 54.8 + 14.8), 1e-12);
}

static void create_reads_the_setting(void **state) {
  (void)state;
  void *self = NULL;
  const double values[] = {1.0};
  assert_int_equal(es_model_entry.create(values, &self, NULL), ES_OK);
  assert_int_equal(((duct_settings *)self)->held, 1);
  es_model_entry.destroy(self);
}

static void reference_software_matches(void **state) {
  (void)state;
  static const char *const COLUMNS[] = {"tau",   "mu1", "mu2", "mu3", "mu4",    "b0",      "bduct",
                                        "Gamma", "Aac", "Aad", "Aat", "gammad", "theta_a", "Lba"};
  enum { N = sizeof COLUMNS / sizeof COLUMNS[0] };
  check_table *table = check_open("p2001_reference_software.csv");
  if (!table) skip();
  check_worst worst[N];
  for (int i = 0; i < N; i++) worst[i] = (check_worst){COLUMNS[i], 0.0};
  duct_settings set = {0};
  hand_task at;
  while (check_next(table)) {
    hand_from_row(&at, table);
    hand_evaluate(&at, &es_model_entry, &set);
    for (int i = 0; i < N; i++) check_compare(&worst[i], hand_noted(&at, COLUMNS[i]), check_at(table, COLUMNS[i]));
  }
  for (int i = 0; i < N; i++) check_report("P.2001-4 reference software", &worst[i], 1e-9);
  check_close(table);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(worked_cases_match),
      cmocka_unit_test(beta0_table_matches),
      cmocka_unit_test(overlapping_horizons_may_be_held),
      cmocka_unit_test(extreme_roughness_stays_finite),
      cmocka_unit_test(unknown_geometry_is_missing),
      cmocka_unit_test(shielding_and_coast_act_at_their_own_end),
      cmocka_unit_test(create_reads_the_setting),
      cmocka_unit_test(reference_software_matches),
  };
  return cmocka_run_group_tests_name("ducting", tests, NULL, NULL);
}
