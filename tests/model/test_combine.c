/* test_combine.c - losses of several ways into one, ITU-R P.2001-6 (5.1.1), (5.2.1). */
#include "near.h"

#include "model/combine.h"

static void two_equal_ways(void **state) {
  (void)state;
  assert_near(es_combine_correlated(140.0, 140.0), 140.0 - 3.0102999566, 1e-9);   /* 10 log 2 */
  assert_near(es_combine_uncorrelated(140.0, 140.0), 140.0 - 1.5051499783, 1e-9); /* 5 log 2 */
}

static void order_does_not_matter(void **state) {
  (void)state;
  for (double gap = 0.0; gap < 60.0; gap += 0.7) {
    double a = 130.0, b = 130.0 + gap;
    assert_true(es_combine_correlated(a, b) == es_combine_correlated(b, a));
    assert_true(es_combine_uncorrelated(a, b) == es_combine_uncorrelated(b, a));
    assert_true(es_combine_correlated(a, b) <= a && es_combine_uncorrelated(a, b) <= a);
    assert_near(es_combine_correlated(a, b), -10.0 * log10(pow(10.0, -0.1 * a) + pow(10.0, -0.1 * b)), 1e-10);
    assert_near(es_combine_uncorrelated(a, b), -5.0 * log10(pow(10.0, -0.2 * a) + pow(10.0, -0.2 * b)), 1e-10);
  }
}

/* Uncorrelated ways may be joined two by two: three equal ones gain 5 log 3, in any order. */
static void three_ways_join_in_any_order(void **state) {
  (void)state;
  double ab = es_combine_uncorrelated(es_combine_uncorrelated(150.0, 150.0), 150.0);
  assert_near(ab, 150.0 - 2.3856062736, 1e-9);
  double one = es_combine_uncorrelated(es_combine_uncorrelated(150.0, 152.0), 149.0);
  assert_near(es_combine_uncorrelated(150.0, es_combine_uncorrelated(152.0, 149.0)), one, 1e-10);
}

static void a_way_that_is_not_there_changes_nothing(void **state) {
  (void)state;
  assert_true(es_combine_correlated(NAN, 150.0) == 150.0 && es_combine_correlated(150.0, NAN) == 150.0);
  assert_true(es_combine_uncorrelated(NAN, 150.0) == 150.0 && es_combine_uncorrelated(150.0, NAN) == 150.0);
  assert_true(isnan(es_combine_correlated(NAN, NAN)) && isnan(es_combine_uncorrelated(NAN, NAN)));
}

/* Ducting at 99.999 % loses 50 000 dB: no power of ten of it may be formed. */
static void thousands_of_decibels_are_no_trouble(void **state) {
  (void)state;
  assert_true(es_combine_correlated(49832.1, 325.5) == 325.5);
  assert_near(es_combine_correlated(49832.1, 49832.1), 49832.1 - 3.0102999566, 1e-8);
  assert_near(es_combine_uncorrelated(50000.0, 50001.0), 50001.0 - 5.0 * log10(1.0 + pow(10.0, 0.2)), 1e-8);
  assert_true(es_combine_uncorrelated(1e7, 200.0) == 200.0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(two_equal_ways),
      cmocka_unit_test(order_does_not_matter),
      cmocka_unit_test(three_ways_join_in_any_order),
      cmocka_unit_test(a_way_that_is_not_there_changes_nothing),
      cmocka_unit_test(thousands_of_decibels_are_no_trouble),
  };
  return cmocka_run_group_tests_name("combine", tests, NULL, NULL);
}
