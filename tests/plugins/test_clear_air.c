/* test_clear_air.c - attachment B of ITU-R P.2001-6, and its mixture with rain, inverted. */
#include "clear-air/clear-air.c"

#include "task_p2001.h"

extern const es_model rain_model_entry; /* plugins/rain/rain.c, compiled under this name */

/* B.4 by a second implementation of the text: Q0ca, then Qcaf at the fades. */
static const double FADES[] = {-10, -5, -2, 0, 2, 5, 10, 20, 30};
static const double ROWS[][10] = {
    {0.01, 99.9995, 99.9759, 99.0827, 50, 2.40033, 0.0845694, 0.00295313, 7.67941e-05, 8.67455e-06},
    {1.4136, 99.991, 99.7668, 96.9074, 50, 7.13113, 0.885321, 0.115395, 0.00907359, 0.00111202},
    {10, 99.9724, 99.4286, 95.0279, 50, 10.8518, 2.22758, 0.490327, 0.0597832, 0.0075682},
    {100, 99.8963, 98.365, 91.374, 50, 17.535, 6.50573, 2.66757, 0.548666, 0.0722947}};

static clear_path shapes_of(double q0ca) {
  return (clear_path){.fading = 3.576 - 1.955 * log10(q0ca), .enhancement = -4.05 - 2.35 * log10(q0ca)};
}

static double exceeded_percent(const clear_path *path, double fade_db) {
  double percent, shape = fade_db < 0.0 ? path->enhancement : path->fading;
  clear_percents(&shape, &fade_db, 1, &percent);
  return percent;
}

static void distribution_matches(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
    clear_path path = shapes_of(ROWS[i][0]);
    for (int j = 0; j < 9; j++) {
      double want = ROWS[i][j + 1];
      assert_near(exceeded_percent(&path, FADES[j]), want, 6e-6 * want); /* six digits printed */
    }
  }
}

static void distribution_falls_through_the_median(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
    clear_path path = shapes_of(ROWS[i][0]);
    double before = 100.0;
    for (double fade_db = -40.0; fade_db <= 60.0; fade_db += 0.25) {
      double here = exceeded_percent(&path, fade_db);
      assert_true(here <= before && here >= 0.0);
      before = here;
    }
    assert_near(exceeded_percent(&path, -1e-12), 50.0, 1e-9);
  }
}

typedef struct path_case {
  double dist_km, beacon_m, listener_m, el_tx, el_rx, d_tx_km, d_rx_km, ground_tx_m, ground_rx_m, lat_deg;
  uint8_t los;
  double q0ca;
} path_case;

/* Q0ca of four invented paths at 52 N, 10.368 GHz, -180 N/km, by a second implementation of the text: two hills, open
 * sea, line of sight, rolling land. */
static const path_case PATHS[] = {
    {100, 70, 60, 2.21174e-3, 4.18647e-3, 39.5, 24.5, 248.616, 198.0427, 51.997741634, 0, 1.413610},
    {200, 30, 30, -2.64952e-3, -2.64952e-3, 23, 23, 0, 0, 51.990967357, 0, 0.218867},
    {30, 265, 235, -2.75457e-3, -0.75457e-3, 29.25, 0.75, 0, 0, 51.999796741, 1, 0.796450},
    {250, 192.0735492, 141.4773855, 11.84813e-3, 4.50802e-3, 4, 12, 240.4018303, 203.9955986, 51.985887458, 0,
     0.010027}};

static void make_path(hand_task *at, const path_case *row) {
  memset(at, 0, sizeof *at);
  hand_middle_latitude(at);
  at->dist_m = 1000.0 * row->dist_km;
  at->beacon.antenna_m = row->beacon_m, at->at.antenna_m = row->listener_m;
  at->el_tx = row->el_tx, at->el_rx = row->el_rx;
  at->d_tx_m = 1000.0 * row->d_tx_km, at->d_rx_m = 1000.0 * row->d_rx_km;
  at->horizon_tx_m = row->ground_tx_m, at->horizon_rx_m = row->ground_rx_m;
  at->mid_lat_deg = row->lat_deg, at->los = row->los;
  at->percent[0] = 50.0;
  hand_link(at, 1);
}

static void zero_fade_matches(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof PATHS / sizeof PATHS[0]; i++) {
    hand_task at;
    make_path(&at, &PATHS[i]);
    hand_prepare(&at, &es_model_entry);
    assert_near(hand_noted(&at, "Q0ca"), PATHS[i].q0ca, 6e-7 + 5e-6 * PATHS[i].q0ca);
    hand_evaluate(&at, &es_model_entry, NULL); /* fade 0 dB */
    assert_near(at.value[0], 50.0, 1e-12);
  }
}

/* (B.5.1) */
static void legs_have_a_step(void **state) {
  (void)state;
  hand_task at;
  make_path(&at, &PATHS[0]);
  hand_link(&at, 3);
  hand_leg(&at, ES_BEACON, 50e3, 60.0, 600.0);
  at.fade_db[0] = -0.001, at.fade_db[1] = 0.0, at.fade_db[2] = 5.0;
  hand_prepare(&at, &es_model_entry);
  hand_evaluate(&at, &es_model_entry, NULL);
  assert_near(at.value[0], 100.0, 0.0);
  assert_near(at.value[1], 0.0, 0.0);
  assert_near(at.value[2], 0.0, 0.0);
}

static void unknown_horizon_is_missing(void **state) {
  (void)state;
  hand_task at;
  make_path(&at, &PATHS[0]);
  at.horizon_tx_m = NAN;
  hand_prepare(&at, &es_model_entry);
  hand_evaluate(&at, &es_model_entry, NULL);
  assert_true(isnan(at.value[0]));
  assert_int_equal(at.status[0], ES_MISSING);
}

/* ---- mixture with rain, (4.1.3), inverted by attachment I to the letter ---- */

typedef struct mixture {
  hand_task clear, rain;
} mixture;

static double mixed_percent(mixture *mix, double fade_db) {
  mix->clear.fade_db[0] = mix->rain.fade_db[0] = fade_db;
  hand_evaluate(&mix->clear, &es_model_entry, NULL);
  hand_evaluate(&mix->rain, &rain_model_entry, NULL);
  double share = 0.01 * mix->rain.share;
  return mix->rain.value[0] * share + mix->clear.value[0] * (1.0 - share);
}

static double inverted_db(mixture *mix, double q) {
  double low = -5.0, high = 5.0, step = 10.0, q_low = mixed_percent(mix, low), q_high = mixed_percent(mix, high);
  for (int round = 0; round < 11 && (q < q_high || q > q_low); round++) {
    step *= 2.0;
    if (q < q_high)
      low = high, high += step;
    else
      high = low, low -= step;
    q_low = mixed_percent(mix, low), q_high = mixed_percent(mix, high);
  }
  double trial = 0.5 * (low + high);
  for (int i = (int)ceil(3.32 * log10(step / 0.01)); i >= 0; i--) {
    if (mixed_percent(mix, trial) < q)
      high = trial;
    else
      low = trial;
    trial = 0.5 * (low + high);
  }
  return trial;
}

/* Horizons whose ground height the row does not tell are taken from its profile. */
static void mixture_of_row(mixture *mix, const check_table *table) {
  const char *profile = check_text(table, "profile");
  hand_from_row(&mix->clear, table);
  mix->clear.horizon_tx_m = check_ground(profile, check_at(table, "Dlt"));
  mix->clear.horizon_rx_m = check_ground(profile, check_at(table, "D") - check_at(table, "Dlr"));
  hand_from_row(&mix->rain, table);
}

static double mixture_fade(mixture *mix, int32_t end, double dist_km, double from_m, double volume_m, double q) {
  if (end >= 0) {
    hand_leg(&mix->clear, end, 1000.0 * dist_km, from_m, volume_m);
    hand_leg(&mix->rain, end, 1000.0 * dist_km, from_m, volume_m);
  }
  hand_prepare(&mix->clear, &es_model_entry);
  hand_prepare(&mix->rain, &rain_model_entry);
  return inverted_db(mix, q);
}

/* The table's fades come from a bisection to 0.01 dB. */
static void reference_software_matches(void **state) {
  (void)state;
  check_table *table = check_open("p2001_reference_software.csv");
  if (!table) skip();
  check_worst q0ca = {"Q0ca", 0.0};
  check_worst fades[] = {{"A1 (dB)", 0.0}, {"A2t (dB)", 0.0}, {"A2r (dB)", 0.0}};
  static mixture mix;
  while (check_next(table)) {
    double q = check_at(table, "Tpcq"), volume_m = check_at(table, "Hcv");
    mixture_of_row(&mix, table);
    double a1 = mixture_fade(&mix, -1, 0.0, 0.0, 0.0, q);
    check_compare(&q0ca, hand_noted(&mix.clear, "Q0ca"), check_at(table, "Q0ca"));
    double beacon_m = mix.clear.beacon.antenna_m, listener_m = mix.clear.at.antenna_m;
    double a2t = mixture_fade(&mix, ES_BEACON, check_at(table, "Dtcv"), beacon_m, volume_m, q);
    double a2r = mixture_fade(&mix, ES_LISTENER, check_at(table, "Drcv"), listener_m, volume_m, q);
    check_absolute(&fades[0], a1, check_at(table, "A1"));
    check_absolute(&fades[1], a2t, check_at(table, "A2t"));
    check_absolute(&fades[2], a2r, check_at(table, "A2r"));
  }
  check_report("P.2001-4 reference software", &q0ca, 1e-9);
  for (int i = 0; i < 3; i++) check_report("P.2001-4 reference software", &fades[i], 0.02);
  check_close(table);
}

/* A1 of two hills 100 km apart, 10.368 GHz horizontal, by a second implementation of the text. */
static void mixture_inverts_to_worked_fades(void **state) {
  (void)state;
  static const double WANT[][2] = {{0.001, -12.966}, {1, -3.074},    {50, 0.046},     {90, 1.760},
                                   {99, 5.349},      {99.9, 12.932}, {99.99, 29.163}, {99.999, 54.866}};
  static mixture mix;
  make_path(&mix.clear, &PATHS[0]);
  make_path(&mix.rain, &PATHS[0]);
  hand_prepare(&mix.clear, &es_model_entry);
  hand_prepare(&mix.rain, &rain_model_entry);
  for (size_t i = 0; i < sizeof WANT / sizeof WANT[0]; i++) {
    double p = WANT[i][0] + 0.00001 * (50.0 - WANT[i][0]) / 50.0; /* (3.1.1) */
    assert_near(inverted_db(&mix, 100.0 - p), WANT[i][1], 0.006);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(distribution_matches),       cmocka_unit_test(distribution_falls_through_the_median),
      cmocka_unit_test(zero_fade_matches),          cmocka_unit_test(legs_have_a_step),
      cmocka_unit_test(unknown_horizon_is_missing), cmocka_unit_test(mixture_inverts_to_worked_fades),
      cmocka_unit_test(reference_software_matches),
  };
  return cmocka_run_group_tests_name("clear-air", tests, NULL, NULL);
}
