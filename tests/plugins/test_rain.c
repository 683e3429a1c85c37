/* test_rain.c - ITU-R P.838-3 and attachment C of ITU-R P.2001-6. */
#include "rain/rain.c"

#include "task_p2001.h"

/* ITU-R P.838-3 table 5, four digits. */
static void coefficients_match_table_5(void **state) {
  (void)state;
  static const double ROWS[][5] = {{1.5, 0.0000443, 1.0185, 0.0000574, 0.8957},
                                   {10.0, 0.01217, 1.2571, 0.01129, 1.2156},
                                   {24.0, 0.1425, 1.0101, 0.1404, 0.9561},
                                   {60.0, 0.8606, 0.7656, 0.8515, 0.7486}};
  for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
    p838_linear at = p838_at(ROWS[i][0]);
    assert_near(at.k_h / ROWS[i][1], 1.0, 2e-3);
    assert_near(at.alpha_h, ROWS[i][2], 6e-5);
    assert_near(at.k_v / ROWS[i][3], 1.0, 2e-3);
    assert_near(at.alpha_v, ROWS[i][4], 6e-5);
  }
}

/* ITU-R SG3 validation example of P.838-3: elevation 31.077 degrees, 14.25 GHz, 26.48052 mm/h. */
static void elevation_counts(void **state) {
  (void)state;
  p838_linear linear = p838_at(14.25);
  double k, alpha;
  p838_path(&linear, 31.07699124 * 0.01745329251994329577, 1.0, &k, &alpha);
  assert_near(k, 0.03975488, 1e-8);
  assert_near(alpha, 1.12418043, 1e-8);
  assert_near(k * pow(26.48052, alpha), 1.58130839, 1e-7);
}

/* P.2001-6 C.2: below 1 GHz k is proportional to frequency, alpha that of 1 GHz. */
static void below_1_ghz_k_is_proportional(void **state) {
  (void)state;
  p838_linear half = p838_at(0.5), one = p838_at(1.0);
  assert_near(half.k_h, 0.5 * one.k_h, 1e-18);
  assert_near(half.k_v, 0.5 * one.k_v, 1e-18);
  assert_near(half.alpha_v, one.alpha_v, 0.0);
}

/* C.4 and C.5, computed by a second implementation of the text. */
static void multipliers_match(void **state) {
  (void)state;
  static const double LAYER[][2] = {{0, 0},           {-50, 1.042269},   {-100, 2.310246}, {-200, 3.456128},
                                    {-600, 1.819044}, {-1200, 1.027984}, {1, 0},           {-1201, 1}};
  static const double PATHS[][4] = {{100, 120, 2760, 1.0},        {1700, 1900, 2760, 1.130696},
                                    {2000, 2500, 2760, 2.332587}, {2700, 2900, 2760, 0.145794},
                                    {1000, 3500, 2760, 1.141819}, {2300, 2320, 2760, 2.567561}};
  double sum[RAIN_SLICES + 1], got[RAIN_AT_ONCE];
  sum_slices(sum);
  for (size_t i = 0; i < sizeof LAYER / sizeof LAYER[0]; i++)
    assert_near(melting_multiplier(LAYER[i][0]), LAYER[i][1], 6e-7);
  for (size_t i = 0; i < sizeof PATHS / sizeof PATHS[0]; i++) {
    for (size_t lower = 0; lower < RAIN_AT_ONCE; lower++) { /* the top asked for is that many steps over the lowest */
      rain_stack stack = {PATHS[i][0], PATHS[i][1], PATHS[i][2] - 100.0 * (double)lower, sum};
      rain_multipliers(&stack, 0, lower + 1, got);
      assert_near(got[lower], PATHS[i][3], 6e-7);
      rain_multipliers(&stack, lower, 1, got);
      assert_near(got[0], PATHS[i][3], 6e-7);
    }
  }
}

static void probabilities_sum_to_one(void **state) {
  (void)state;
  double sum = 0.0;
  for (int n = 0; n < RAIN_HEIGHTS; n++) sum += rain_probability[n];
  assert_near(sum, 1.0, 1e-12);
}

typedef struct rain_case {
  double freq_ghz, dist_km, low_m, high_m;
  int32_t polarisation;
  double q, k_mod, alpha_mod, fwvr, exceeded[5];
} rain_case;

/* Attachment C in climate set M (Pr6 38, Mt 700, beta 0.2, h0 2.4), computed by a second implementation of the text. */
static const rain_case CASES[] = {
    {10.368,
     100,
     60,
     70,
     ES_HORIZONTAL,
     0.01,
     0.01607669,
     0.798425,
     1.009414,
     {78.656009, 58.261275, 18.780863, 2.098234, 0.512089}},
    {10.368,
     30,
     235,
     265,
     ES_HORIZONTAL,
     0.1,
     0.02366637,
     0.863516,
     0.966503,
     {52.918805, 28.725166, 5.607952, 0.616343, 0.127553}},
    {24.048,
     20,
     100,
     120,
     ES_VERTICAL,
     1,
     0.21408992,
     0.670721,
     0.070655,
     {95.730576, 88.609718, 56.488911, 10.071363, 2.105277}},
    {10.368,
     150,
     1500,
     2500,
     ES_HORIZONTAL,
     0.1,
     0.01283828,
     0.789328,
     1.202432,
     {79.485490, 65.869693, 31.342380, 5.217768, 1.339199}},
    {10.368,
     60,
     30,
     1200,
     ES_HORIZONTAL,
     50,
     0.01984519,
     0.821848,
     0.000007,
     {71.312270, 48.403199, 13.213860, 1.467352, 0.355712}},
};

static void make_case(hand_task *at, const rain_case *row) {
  memset(at, 0, sizeof *at);
  hand_middle_latitude(at);
  at->task.freq_ghz = row->freq_ghz;
  at->task.polarisation = row->polarisation;
  at->dist_m = 1000.0 * row->dist_km;
  at->beacon.antenna_m = row->high_m, at->at.antenna_m = row->low_m;
  for (int k = 0; k < 5; k++) at->percent[k] = 100.0 - row->q, at->fade_db[k] = (double[]){0.5, 1, 3, 10, 20}[k];
  hand_link(at, 5);
}

static void worked_cases_match(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
    hand_task at;
    make_case(&at, &CASES[i]);
    hand_prepare(&at, &es_model_entry);
    hand_evaluate(&at, &es_model_entry, NULL);
    assert_near(at.share, 4.176186, 6e-7);
    assert_near(hand_noted(&at, "kmod_sfc"), CASES[i].k_mod, 6e-9);
    assert_near(hand_noted(&at, "alphamod_sfc"), CASES[i].alpha_mod, 6e-7);
    assert_near(at.vapour[0], CASES[i].fwvr, 5e-5); /* tabulated for q itself, not the q of (3.1.1) */
    for (int k = 0; k < 5; k++) assert_near(at.value[k], CASES[i].exceeded[k], 6e-7);
  }
}

static void enhancements_are_always_exceeded(void **state) {
  (void)state;
  hand_task at;
  make_case(&at, &CASES[0]);
  at.fade_db[0] = -1.0, at.fade_db[1] = 0.0, at.fade_db[2] = 1e6, at.fade_db[3] = NAN;
  hand_prepare(&at, &es_model_entry);
  hand_evaluate(&at, &es_model_entry, NULL);
  assert_near(at.value[0], 100.0, 0.0);
  assert_near(at.value[1], 100.0, 1e-9); /* (C.3.1) with A = 0 */
  assert_near(at.value[2], 0.0, 1e-9);
  assert_true(isnan(at.value[3]));
  assert_int_equal(at.status[3], ES_MISSING);
}

/* (C.2.2): no rain where it never rains, nor above all rain heights. */
static void dry_and_high_paths_do_not_fade(void **state) {
  (void)state;
  for (int high = 0; high < 2; high++) {
    hand_task at;
    make_case(&at, &CASES[0]);
    if (high)
      at.beacon.antenna_m = 5300.0, at.at.antenna_m = 5170.0;
    else
      hand_set(&at, ES_RAIN_6H, 0.0);
    hand_prepare(&at, &es_model_entry);
    hand_evaluate(&at, &es_model_entry, NULL);
    assert_near(at.share, 0.0, 0.0);
    assert_near(at.value[0], 0.0, 0.0);
    assert_near(at.vapour[0], 0.0, 0.0);
  }
}

static void unknown_path_is_missing(void **state) {
  (void)state;
  hand_task at;
  make_case(&at, &CASES[0]);
  at.at.antenna_m = NAN;
  hand_prepare(&at, &es_model_entry);
  hand_evaluate(&at, &es_model_entry, NULL);
  assert_true(isnan(at.value[0]));
  assert_int_equal(at.status[0], ES_MISSING);
}

/* An inversion leaves share and vapour out. */
static void share_and_vapour_may_be_left_out(void **state) {
  (void)state;
  hand_task at;
  make_case(&at, &CASES[0]);
  hand_prepare(&at, &es_model_entry);
  at.answer.share = NULL, at.answer.vapour = NULL;
  hand_evaluate(&at, &es_model_entry, NULL);
  assert_near(at.value[2], CASES[0].exceeded[2], 6e-7);
}

/* Every row of the P.2001-4 reference software, whole path and both legs. */
static void reference_software_matches(void **state) {
  (void)state;
  static const struct {
    int32_t end; /* -1: the whole path */
    const char *q0ra, *k, *alpha, *fwvr;
  } SIDES[] = {{-1, "Q0ra_sfc", "kmod_sfc", "alphamod_sfc", "Fwvr"},
               {ES_BEACON, "Q0ra_tcv", "kmod_tcv", "alphamod_tcv", "Fwvrt"},
               {ES_LISTENER, "Q0ra_rcv", "kmod_rcv", "alphamod_rcv", "Fwvrr"}};
  check_table *table = check_open("p2001_reference_software.csv");
  if (!table) skip();
  check_worst q0ra = {"Q0ra", 0.0}, k = {"kmod", 0.0}, alpha = {"alphamod", 0.0}, fwvr = {"Fwvr", 0.0};
  hand_task at;
  while (check_next(table)) {
    for (int side = 0; side < 3; side++) {
      hand_from_row(&at, table);
      int beacon = SIDES[side].end == ES_BEACON;
      double from_m = beacon ? at.beacon.antenna_m : at.at.antenna_m, volume_m = check_at(table, "Hcv");
      if (side) hand_leg(&at, SIDES[side].end, 1000.0 * check_at(table, beacon ? "Dtcv" : "Drcv"), from_m, volume_m);
      hand_prepare(&at, &es_model_entry);
      hand_evaluate(&at, &es_model_entry, NULL);
      check_compare(&q0ra, at.share, check_at(table, SIDES[side].q0ra));
      check_compare(&k, hand_noted(&at, SIDES[side].k), check_at(table, SIDES[side].k));
      check_compare(&alpha, hand_noted(&at, SIDES[side].alpha), check_at(table, SIDES[side].alpha));
      check_compare(&fwvr, at.vapour[0], check_at(table, SIDES[side].fwvr));
    }
  }
  check_report("P.2001-4 reference software", &q0ra, 1e-9);
  check_report("P.2001-4 reference software", &k, 1e-9);
  check_report("P.2001-4 reference software", &alpha, 1e-9);
  check_report("P.2001-4 reference software", &fwvr, 1e-9);
  check_close(table);
}

static void p838_tables_match(void **state) {
  (void)state;
  static const char *const NAMES[] = {"p838_specific_attenuation_published.csv",
                                      "p838_specific_attenuation_computed.csv"};
  for (int i = 0; i < 2; i++) {
    check_table *table = check_open(NAMES[i]);
    if (!table) skip();
    check_worst worst = {"gamma", 0.0};
    while (check_next(table)) {
      p838_linear linear = p838_at(check_at(table, "f_GHz"));
      double k, alpha, tau = 0.01745329251994329577 * check_at(table, "tau_deg");
      p838_path(&linear, 0.01745329251994329577 * check_at(table, "el_deg"), cos(2.0 * tau), &k, &alpha);
      double want = check_at(table, "gamma_R_dB_km");
      check_compare(&worst, k * pow(check_at(table, "R_mm_h"), alpha), want);
    }
    check_report(NAMES[i], &worst, 1e-7);
    check_close(table);
  }
}

static void p838_table_5_matches(void **state) {
  (void)state;
  check_table *table = check_open("p838_coefficients_published.csv");
  if (!table) skip();
  check_worst k = {"k (relative)", 0.0}, alpha = {"alpha", 0.0};
  while (check_next(table)) {
    p838_linear at = p838_at(check_at(table, "f_GHz"));
    check_compare(&k, at.k_h / check_at(table, "k_H"), 1.0);
    check_compare(&k, at.k_v / check_at(table, "k_V"), 1.0);
    check_compare(&alpha, at.alpha_h, check_at(table, "alpha_H"));
    check_compare(&alpha, at.alpha_v, check_at(table, "alpha_V"));
  }
  check_report("P.838-3 table 5", &k, 2e-3); /* the least k is printed with three digits */
  check_report("P.838-3 table 5", &alpha, 6e-5);
  check_close(table);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(coefficients_match_table_5),
      cmocka_unit_test(elevation_counts),
      cmocka_unit_test(below_1_ghz_k_is_proportional),
      cmocka_unit_test(multipliers_match),
      cmocka_unit_test(probabilities_sum_to_one),
      cmocka_unit_test(worked_cases_match),
      cmocka_unit_test(enhancements_are_always_exceeded),
      cmocka_unit_test(dry_and_high_paths_do_not_fade),
      cmocka_unit_test(unknown_path_is_missing),
      cmocka_unit_test(share_and_vapour_may_be_left_out),
      cmocka_unit_test(reference_software_matches),
      cmocka_unit_test(p838_tables_match),
      cmocka_unit_test(p838_table_5_matches),
  };
  return cmocka_run_group_tests_name("rain", tests, NULL, NULL);
}
