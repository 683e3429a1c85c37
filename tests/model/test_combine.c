/* test_combine.c - losses of several ways into one, ITU-R P.2001-6 (5.1.1), (5.2.1). */
#include "near.h"

#include "model/combine.h"

static double combined(double surface_db, double duct_db, double scatter_db, bool correlated) {
  double sum;
  es_combine_ways(&(es_ways_db){&surface_db, &duct_db, &scatter_db, correlated}, 1, &sum);
  return sum;
}

static double correlated(double a_db, double b_db) { return combined(a_db, b_db, NAN, true); }
static double uncorrelated(double a_db, double b_db) { return combined(a_db, b_db, NAN, false); }

static void two_equal_ways(void **state) {
  (void)state;
  assert_near(correlated(140.0, 140.0), 140.0 - 3.0102999566, 1e-9);   /* 10 log 2 */
  assert_near(uncorrelated(140.0, 140.0), 140.0 - 1.5051499783, 1e-9); /* 5 log 2 */
}

static void order_does_not_matter(void **state) {
  (void)state;
  for (double gap = 0.0; gap < 60.0; gap += 0.7) {
    double a = 130.0, b = 130.0 + gap;
    assert_true(correlated(a, b) == correlated(b, a));
    assert_true(uncorrelated(a, b) == uncorrelated(b, a));
    assert_true(correlated(a, b) <= a && uncorrelated(a, b) <= a);
    assert_near(correlated(a, b), -10.0 * log10(pow(10.0, -0.1 * a) + pow(10.0, -0.1 * b)), 1e-10);
    assert_near(uncorrelated(a, b), -5.0 * log10(pow(10.0, -0.2 * a) + pow(10.0, -0.2 * b)), 1e-10);
  }
}

/* Uncorrelated ways may be joined two by two: three equal ones gain 5 log 3, in any order. */
static void three_ways_join_in_any_order(void **state) {
  (void)state;
  double ab = uncorrelated(uncorrelated(150.0, 150.0), 150.0);
  assert_near(ab, 150.0 - 2.3856062736, 1e-9);
  double one = uncorrelated(uncorrelated(150.0, 152.0), 149.0);
  assert_near(uncorrelated(150.0, uncorrelated(152.0, 149.0)), one, 1e-10);
}

static void a_way_that_is_not_there_changes_nothing(void **state) {
  (void)state;
  assert_true(correlated(NAN, 150.0) == 150.0 && correlated(150.0, NAN) == 150.0);
  assert_true(uncorrelated(NAN, 150.0) == 150.0 && uncorrelated(150.0, NAN) == 150.0);
  assert_true(isnan(correlated(NAN, NAN)) && isnan(uncorrelated(NAN, NAN)));
}

/* Ducting at 99.999 % loses 50 000 dB: no power of ten of it may be formed. */
static void thousands_of_decibels_are_no_trouble(void **state) {
  (void)state;
  assert_true(correlated(49832.1, 325.5) == 325.5);
  assert_near(correlated(49832.1, 49832.1), 49832.1 - 3.0102999566, 1e-8);
  assert_near(uncorrelated(50000.0, 50001.0), 50001.0 - 5.0 * log10(1.0 + pow(10.0, 0.2)), 1e-8);
  assert_true(uncorrelated(1e7, 200.0) == 200.0);
}

/* In columns, of which vector instructions take several values at once, each comes out as it does alone, to the last bit. */
static void columns_are_as_each_alone(void **state) {
  (void)state;
  enum { N = 37 };
  double surface[N], duct[N], scatter[N], sum[N];
  for (int i = 0; i < N; i++) {
    surface[i] = i % 7 == 3 ? NAN : 150.0 + 3.7 * i;
    duct[i] = i % 5 == 1 ? NAN : 260.0 - 2.9 * i;
    scatter[i] = i % 11 == 4 ? 49832.1 : 190.0 + 0.3 * i;
  }
  for (int with = 0; with < 2; with++) {
    es_combine_ways(&(es_ways_db){surface, duct, scatter, with == 1}, N, sum);
    for (int i = 0; i < N; i++) assert_true(sum[i] == combined(surface[i], duct[i], scatter[i], with == 1));
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(two_equal_ways),
      cmocka_unit_test(order_does_not_matter),
      cmocka_unit_test(three_ways_join_in_any_order),
      cmocka_unit_test(a_way_that_is_not_there_changes_nothing),
      cmocka_unit_test(thousands_of_decibels_are_no_trouble),
      cmocka_unit_test(columns_are_as_each_alone),
  };
  return cmocka_run_group_tests_name("combine", tests, NULL, NULL);
}
