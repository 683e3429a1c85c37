/* test_maths.c - earshot/maths.h against the C library. */
#include "near.h"

#include "earshot/maths.h"

static void powers_agree(void **state) {
  (void)state;
  for (double x = -1000.0; x < 1000.0; x += 0.37) assert_near(es_exp2(x) / exp2(x), 1.0, 1e-14);
  for (double x = -1.0; x < 1.0; x += 0.0013) assert_near(es_exp2(x) / exp2(x), 1.0, 1e-14);
  for (double x = -80.0; x < 80.0; x += 0.11) assert_near(es_exp(x) / exp(x), 1.0, 1e-13);
  for (double x = -30.0; x < 30.0; x += 0.07) assert_near(es_exp10(x) / pow(10.0, x), 1.0, 1e-13);
  for (double p = -3.0; p < 3.0; p += 0.3)
    for (double x = 1e-6; x < 1e6; x *= 3.1) assert_near(es_pow(x, p) / pow(x, p), 1.0, 1e-13);
  assert_true(es_exp2(0.0) == 1.0 && es_exp2(-3.0) == 0.125);
}

static void logarithms_agree(void **state) {
  (void)state;
  for (double x = 1e-300; x < 1e300; x *= 1.37) {
    assert_near(es_log2(x), log2(x), 2e-15 * fabs(log2(x)) + 1e-15);
    assert_near(es_ln(x), log(x), 2e-15 * fabs(log(x)) + 1e-15);
    assert_near(es_log10(x), log10(x), 2e-15 * fabs(log10(x)) + 1e-15);
  }
  for (double x = 0.5; x < 2.0; x += 0.0007) assert_near(es_log2(x), log2(x), 1e-15);
  assert_true(es_log2(1.0) == 0.0 && es_log2(8.0) == 3.0);
}

static void arc_sines_agree(void **state) {
  (void)state;
  for (double x = -1.0; x <= 1.0; x += 0.0009) assert_near(es_asin(x), asin(x), 5e-15);
  assert_near(es_asin(1.0), asin(1.0), 5e-15);
}

static void what_is_no_number_stays_none(void **state) {
  (void)state;
  assert_true(isnan(es_exp2(NAN)) && isnan(es_log2(NAN)) && isnan(es_asin(NAN)) && isnan(es_log2(-1.0)));
  assert_true(es_log2(0.0) == -INFINITY);
  assert_true(es_exp2(-1e9) < 1e-300 && es_exp2(1e9) > 1e300);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(powers_agree),
      cmocka_unit_test(logarithms_agree),
      cmocka_unit_test(arc_sines_agree),
      cmocka_unit_test(what_is_no_number_stays_none),
  };
  return cmocka_run_group_tests_name("maths", tests, NULL, NULL);
}
