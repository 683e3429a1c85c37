/* test_antenna.c - gains against the published forms of the patterns. */
#include "station/antenna.h"

#include <stdlib.h>

#include "base/text.h"
#include "base/units.h"
#include "folder.h"

static double dish_at(const es_antenna *dish, double freq_ghz, double phi_deg) {
  return es_antenna_gain(dish, freq_ghz, es_rad(phi_deg), 0.0, 0.0);
}

/* 10 log10(0.55 (pi D/lambda)^2) with c = 299792458 m/s; worked by an independent script. */
static void dish_peak(void **state) {
  (void)state;
  assert_near(es_dish_gain_dbi(0.3, 0.55, 10.368), 27.667, 5e-4);
  assert_near(es_dish_gain_dbi(0.6, 0.55, 10.368), 33.687, 5e-4);
  assert_near(es_dish_gain_dbi(1.2, 0.55, 10.368), 39.708, 5e-4);
  assert_near(es_dish_gain_dbi(1.5, 0.55, 24.048), 48.954, 5e-4);
  assert_near(es_deg(es_dish_beam(0.6, 10.368)), 3.373, 5e-4); /* 70 lambda/D */
  assert_near(es_deg(es_dish_beam(1.2, 10.368)), 1.687, 5e-4);
}

/* F.1245-3, small and large dishes, efficiency 0.55; worked by an independent script. */
static void dish_pattern(void **state) {
  (void)state;
  static const double phi[] = {0, 1, 2, 3, 5, 10, 20, 30, 60, 120};
  static const double small[] = {33.69, 32.61, 29.38, 24.00, 14.94, 7.41, -0.11, -4.51, -9.59, -9.59};
  static const double large[] = {47.67, 29.00, 21.47, 17.07, 11.53, 4.00, -3.53, -7.93, -13.00, -13.00};
  es_antenna a = es_antenna_dish(0.6, 0.55, 10.368), b = es_antenna_dish(3.0, 0.55, 10.368);
  for (size_t i = 0; i < sizeof phi / sizeof *phi; i++) {
    assert_near(dish_at(&a, 10.368, phi[i]), small[i], 0.006);
    assert_near(dish_at(&b, 10.368, phi[i]), large[i], 0.006);
  }
}

/* The segments of F.1245 meet at 48 degrees, on both sides, and no gain exceeds the peak. */
static void dish_is_whole(void **state) {
  (void)state;
  es_antenna dishes[] = {es_antenna_dish(0.1, 0.55, 1.296), es_antenna_dish(0.6, 0.55, 10.368)};
  for (size_t i = 0; i < 2; i++) {
    double freq = i == 0 ? 1.296 : 10.368;
    assert_near(dish_at(&dishes[i], freq, 47.9999), dish_at(&dishes[i], freq, 48.0001), 0.1);
    for (int deg = -180; deg <= 180; deg++) assert_true(dish_at(&dishes[i], freq, deg) <= dishes[i].peak_dbi);
    assert_near(dish_at(&dishes[i], freq, 20.0), dish_at(&dishes[i], freq, -20.0), 1e-12);
  }
}

/* Axis az 90 el 2, direction az 93 el 0.5: 3.354 degrees off (spherical law of cosines). */
static void off_axis_both_ways(void **state) {
  (void)state;
  es_antenna a = es_antenna_dish(0.6, 0.55, 10.368), straight = a;
  a.azimuth = es_rad(90.0);
  a.tilt = es_rad(2.0);
  double got = es_antenna_gain(&a, 10.368, es_rad(93.0), es_rad(0.5), 0.0);
  assert_near(got, dish_at(&straight, 10.368, 3.354), 0.01);
}

static void tracking(void **state) {
  (void)state;
  es_antenna a = es_antenna_dish(0.6, 0.55, 10.368);
  double fixed = es_antenna_gain(&a, 10.368, es_rad(200.0), 0.0, es_rad(200.0));
  a.tracks = true;
  assert_near(es_antenna_gain(&a, 10.368, es_rad(200.0), 0.0, es_rad(200.0)), a.peak_dbi, 1e-9);
  assert_true(fixed < a.peak_dbi - 30.0);
  es_antenna omni = es_antenna_all_round(10.0);
  assert_near(es_antenna_gain(&omni, 10.368, 2.0, 0.5, 1.0), 10.0, 0.0);
}

/* The whole F.1245 column of the folder of check values, when there is one. */
static void computed_table(void **state) {
  (void)state;
  const char *folder = getenv("EARSHOT_CHECK_VALUES");
  if (folder == NULL) {
    print_message("EARSHOT_CHECK_VALUES is not set: only the values above were compared\n");
    skip();
  }
  es_error err = {0};
  es_faults faults = {0};
  char *path = es_format("%s/f699_f1245_antenna_computed.csv", folder);
  es_text_table *t = es_text_table_open(path, &err);
  if (t == NULL) fail_msg("%s", err.detail);
  double worst = 0.0;
  for (size_t r = 0; r < es_text_table_rows(t); r++) {
    double freq, dish, peak, phi, want;
    es_text_table_number(t, r, es_text_table_column(t, "f_GHz"), 0, 100, &freq, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "D_m"), 0, 100, &dish, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "Gmax_dBi"), 0, 100, &peak, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "phi_deg"), 0, 180, &phi, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "G_F1245_dBi"), -100, 100, &want, &faults);
    es_antenna a = es_antenna_dish(dish, 0.6, freq);
    a.peak_dbi = peak; /* the table takes 20 log10(D/lambda) + 7.7 */
    assert_near(dish_at(&a, freq, phi), want, 1e-6);
    worst = fmax(worst, fabs(dish_at(&a, freq, phi) - want));
  }
  print_message("F.1245: %zu rows, largest difference %.2g dB\n", es_text_table_rows(t), worst);
  assert_int_equal(faults.n, 0);
  assert_true(es_text_table_rows(t) > 0);
  es_text_table_close(t);
  free(path);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(dish_peak),     cmocka_unit_test(dish_pattern),
                                     cmocka_unit_test(dish_is_whole), cmocka_unit_test(off_axis_both_ways),
                                     cmocka_unit_test(tracking),      cmocka_unit_test(computed_table)};
  return cmocka_run_group_tests_name("antenna", tests, NULL, NULL);
}
