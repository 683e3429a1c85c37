/* Faults are kept once, notes stop nothing, and where memory ran out nothing is told of what came of it. */
#include "base/faults.h"

#include <stdlib.h>

#include "near.h"

static void equal_ones_are_kept_once(void **state) {
  (void)state;
  es_faults faults = {0};
  es_fault_add(&faults, "a.csv", 3, "gain=%d: want 0 to 60", 70);
  es_fault_add(&faults, "a.csv", 3, "gain=70: want 0 to 60");
  es_fault_add(&faults, "b.csv", 3, "gain=70: want 0 to 60");
  es_fault_add(&faults, NULL, 3, "gain=70: want 0 to 60");
  es_fault_add(&faults, "a.csv", 4, "gain=70: want 0 to 60");
  assert_int_equal(faults.n_faults, 4);
  assert_int_equal(faults.n, 4);
  assert_string_equal(faults.items[0].file, "a.csv");
  assert_string_equal(faults.items[0].text, "gain=70: want 0 to 60");
  assert_null(faults.items[2].file);
  es_faults_free(&faults);
  assert_int_equal(faults.n_faults, 0);
}

static void notes_are_no_faults(void **state) {
  (void)state;
  es_faults faults = {0};
  for (int i = 0; i < 40; i++) es_note_add(&faults, "job.yaml", i, "left at its fallback");
  assert_int_equal(faults.n, 40);
  assert_int_equal(faults.n_faults, 0);
  es_fault_add(&faults, "job.yaml", 1, "left at its fallback"); /* the same words, but a fault */
  assert_int_equal(faults.n_faults, 1);
  assert_int_equal(faults.items[40].line, 1);
  es_faults_free(&faults);
}

static void without_memory_once(void **state) {
  (void)state;
  es_faults faults = {0};
  es_fault_add(&faults, "job.yaml", 2, "power_dbm=99: want -60 to 90");
  es_fault_memory(&faults, "list.csv");
  es_fault_memory(&faults, NULL);
  es_fault_add(&faults, "job.yaml", 8, "no CRS");
  es_note_add(&faults, "job.yaml", 9, "not stated");
  assert_true(faults.no_memory);
  assert_string_equal(faults.no_memory_in, "list.csv");
  assert_int_equal(faults.n_faults, 2);
  assert_int_equal(faults.n, 1);
  es_faults_free(&faults);
  assert_false(faults.no_memory);
  es_fault_add(&faults, NULL, 0, "as new");
  assert_int_equal(faults.n, 1);
  es_faults_free(&faults);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(equal_ones_are_kept_once),
      cmocka_unit_test(notes_are_no_faults),
      cmocka_unit_test(without_memory_once),
  };
  return cmocka_run_group_tests_name("faults", tests, NULL, NULL);
}
