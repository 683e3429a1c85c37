/* test_spread.c - sigmas, their sums, and what they do to levels and shares of time. */
#include "link/spread.h"

#include "station/folder.h"

static void sums(void **state) {
  (void)state;
  es_spread s = {.db = {3.0, 4.0, 12.0, 0.0, 84.0}};
  assert_near(es_spread_level_db(&s), 13.0, 1e-12); /* 3, 4, 12: 13; with 84: 85. Whole numbers of Pythagoras */
  assert_near(es_spread_heard_db(&s), 85.0, 1e-12);
}

/* The usual values at 10 GHz: line of sight 3 and 6 dB, one edge 5, several 8, scatter 8. Common practice. */
static void builtin(void **state) {
  (void)state;
  es_model_sigma m;
  es_faults faults = {0};
  assert_true(es_model_sigma_builtin(10.368, &m, &faults));
  for (int kind = 0; kind < ES_WAY_KINDS; kind++) {
    assert_true(m.db[kind] > 0.0 && m.db[kind] <= 40.0);
    assert_true(m.basis[kind][0] != '\0'); /* no sigma without its basis */
  }
  assert_true(m.db[ES_KIND_LOS_LAND] < m.db[ES_KIND_SCATTER]);
  for (double ghz = 1.0; ghz <= 50.0; ghz += 0.5)
    assert_true(es_model_sigma_builtin(ghz, &m, &faults)); /* every band */
  es_faults_free(&faults);
}

static void tables(void **state) {
  (void)state;
  es_model_sigma m = {.db = {1, 1, 1, 1, 1, 1}};
  es_faults faults = {0};
  assert_true(es_model_sigma_parse("t.csv",
                                   "way,band,sigma\ntroposcatter,8-12,7.5\ntroposcatter,1-3,9\nsurface,any,4\n"
                                   "edges,any,6\nrain,any,10\n",
                                   10.368, &m, &faults));
  assert_near(m.db[ES_KIND_SCATTER], 7.5, 0.0);
  assert_near(m.db[ES_KIND_EDGE], 4.0, 0.0);
  assert_near(m.db[ES_KIND_LOS_WATER], 1.0, 0.0); /* the surface way beyond the horizon says nothing of sights */
  assert_near(m.db[ES_KIND_EDGES], 6.0, 0.0);     /* the later, more exact row */
  assert_near(m.db[ES_KIND_DUCT], 1.0, 0.0);      /* not told: as before */
  assert_string_equal(m.basis[ES_KIND_SCATTER], "t.csv");
  assert_true(es_model_sigma_parse("u.csv", "# made by a script\nway,band_ghz,sigma_db,n\nducting,5-20,9,44\n", 10.368,
                                   &m, &faults));
  assert_near(m.db[ES_KIND_DUCT], 9.0, 0.0); /* the other spelling, units in the names */
  assert_false(es_model_sigma_parse("t.csv", "way,band,sigma\nedge,X,4\nedge,any,-1\n", 10.368, &m, &faults));
  assert_fault(&faults, 2, "band=X: want any, or two numbers in GHz");
  assert_fault(&faults, 3, "sigma=-1");
  assert_false(es_model_sigma_parse("t.csv", "way,band\nedge,any\n", 10.368, &m, &faults));
  assert_fault(&faults, 1, "want the columns way, band_ghz and sigma_db");
  es_faults_free(&faults);
}

/* Weather normal with 6 dB, model normal with 8 dB: together normal with 10 dB. */
static void time_and_model(void **state) {
  (void)state;
  double percent[] = {0.1, 1, 10, 50, 90, 99, 99.9}, value[7], sigma[7];
  for (int k = 0; k < 7; k++) {
    value[k] = -5.0 - 6.0 * es_normal_deviate(percent[k] / 100.0);
    sigma[k] = 8.0;
  }
  assert_near(es_spread_value_at(percent, value, sigma, 7, 50.0), -5.0, 1e-6);
  assert_near(es_spread_value_at(percent, value, sigma, 7, 10.0), -5.0 + 12.8155, 0.03);
  assert_near(es_spread_value_at(percent, value, sigma, 7, 90.0), -5.0 - 12.8155, 0.03);
  double one = 7.0, eight = 8.0, half = 50.0; /* no distribution over time */
  assert_near(es_spread_value_at(&half, &one, &eight, 1, 90.0), 7.0 - 10.2524, 1e-3);
  for (int k = 0; k < 7; k++) sigma[k] = 0.0;
  assert_near(es_spread_value_at(percent, value, sigma, 7, 10.0), -5.0 + 6.0 * 1.2815515655, 0.05);
}

/* By the definition: the mean over 400 equal shares of the year, each normal about what is reached in it. */
static double chance_by_definition(const double *percent, const double *value, const double *sigma, size_t n,
                                   double at) {
  double sum = 0.0;
  for (int i = 0; i < 400; i++) {
    double p = (i + 0.5) / 4.0, here = value[n - 1], spread = sigma[n - 1];
    size_t k = 0;
    while (k < n && percent[k] < p) k++;
    if (k == 0) here = value[0], spread = sigma[0];
    if (k > 0 && k < n) {
      double from = es_normal_deviate(percent[k - 1] / 100.0), to = es_normal_deviate(percent[k] / 100.0);
      double share = (es_normal_deviate(p / 100.0) - from) / (to - from);
      here = value[k - 1] + share * (value[k] - value[k - 1]);
      spread = sigma[k - 1] + share * (sigma[k] - sigma[k - 1]);
    }
    sum += 0.5 * erfc((at - here) / spread * sqrt(0.5));
  }
  return sum / 400.0;
}

/* A rare opening far above the rest, steady or doubtful: skewed, with two humps, and still met to 1e-5 dB. */
static void opening_met_as_defined(void **state) {
  (void)state;
  static const double percent[] = {0.1, 1, 10, 50, 90, 99, 99.9}, value[] = {40, 38, 30, -20, -22, -24, -60};
  static const double sigmas[][7] = {{1, 1, 1, 1, 1, 1, 1}, {3, 3, 3, 8, 8, 8, 12}, {12, 12, 10, 0.5, 0.5, 0.5, 4}};
  for (size_t s = 0; s < sizeof sigmas / sizeof *sigmas; s++)
    for (double chance = 1.0; chance < 99.5; chance += 1.0) {
      double at = es_spread_value_at(percent, value, sigmas[s], 7, chance);
      assert_true(chance_by_definition(percent, value, sigmas[s], 7, at - 1e-5) >= 0.01 * chance - 1e-10);
      assert_true(chance_by_definition(percent, value, sigmas[s], 7, at + 1e-5) <= 0.01 * chance + 1e-10);
    }
}

/* 76 % heard, one sigma of 8 dB: 8 in 10 chance of 23 to 98 %, the worked example of docs/percentages.md (voice, 1 W). */
static void eight_in_ten(void **state) {
  (void)state;
  static const double percent[] = {0.001, 0.01, 0.1, 1, 10, 50, 90, 99, 99.9, 99.99, 99.999};
  static const double snr[] = {44.5, 39.6, 33.0, 26.8, 19.9, 10.8, 1.7, -7.4, -19.5, -43.2, -76.6};
  double sigma[11];
  for (int k = 0; k < 11; k++) sigma[k] = 8.0;
  es_heard h = es_spread_heard(percent, snr, sigma, 11, 5.8);
  assert_near(h.percent, 76.0, 0.5);
  assert_near(h.low_percent, 23.0, 1.0);
  assert_near(h.high_percent, 98.0, 0.5);
  assert_near(es_spread_confidence(10.0, 2.0, 8.0), 84.134, 1e-3); /* one sigma above */
  assert_near(es_spread_confidence(2.0, 2.0, 8.0), 50.0, 1e-9);
  assert_near(es_spread_confidence(2.0, 2.5, 0.0), 0.0, 0.0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(sums),
                                     cmocka_unit_test(builtin),
                                     cmocka_unit_test(tables),
                                     cmocka_unit_test(time_and_model),
                                     cmocka_unit_test(opening_met_as_defined),
                                     cmocka_unit_test(eight_in_ten)};
  return cmocka_run_group_tests_name("spread", tests, NULL, NULL);
}
