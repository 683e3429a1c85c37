/* test_receiver.c - what a receiver's antenna picks up where the ground rises before it. */
#include "base/units.h"
#include "link/link.h"
#include "near.h"

/* A 0.6 m dish level on a flat horizon has 186 K, 3 degrees up 76 K (worked from a line-by-line sky); with a hill up to the
 * axis it is as on the flat horizon again, but for a sky 3 degrees higher. */
static void hill_in_the_beam(void **state) {
  (void)state;
  es_receiver rx = {.antenna = es_antenna_dish(0.6, 0.55, 10.368), .noise_figure_db = 1.0, .antenna_k = NAN};
  double up = es_rad(3.0);
  assert_near(es_receiver_noise(&rx, 10.368, 0.0).antenna_k, 186.0, 3.0);
  assert_near(es_receiver_noise_over(&rx, 10.368, up, 0.0).antenna_k, 76.0, 3.0);
  double hill = es_receiver_noise_over(&rx, 10.368, up, up).antenna_k;
  assert_true(hill > 150.0 && hill < 186.0);
  rx.antenna_k = 50.0; /* what the user gives stands */
  assert_near(es_receiver_noise_over(&rx, 10.368, up, up).antenna_k, 50.0, 0.0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(hill_in_the_beam)};
  return cmocka_run_group_tests_name("receiver", tests, NULL, NULL);
}
