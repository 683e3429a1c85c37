/* test_pattern_plot.c - the plot of an antenna: the same bytes twice, other bytes when it is turned, no file for nonsense. */
#include "output/pattern_plot.h"

#include <stdlib.h>

#include "base/checksum.h"
#include "base/units.h"
#include "station/folder.h"

static uint64_t drawn(test_folder *f, const es_antenna *a, const char *name) {
  es_error err = {0};
  es_pattern_words words = {"SKARN HEAD", "Slotted guide", "10.1 dBi, 16 slots", "computed pattern", 1};
  uint64_t sum = 0, bytes = 0;
  if (es_pattern_plot_write(folder_file(f, name), a, 10.368, &words, &err) != 0) fail_msg("%s", err.detail);
  assert_int_equal(es_checksum_file(folder_file(f, name), &sum, &bytes, &err), 0);
  assert_true(bytes > 5000);
  const char *keep = getenv("EARSHOT_KEEP_PICTURES"); /* a folder: to look at them */
  if (keep != NULL) {
    char *path = es_format("%s/%s", keep, name);
    assert_int_equal(es_pattern_plot_write(path, a, 10.368, &words, &err), 0);
    free(path);
  }
  return sum;
}

static void plots(void **state) {
  (void)state;
  test_folder f;
  folder_open(&f);
  es_antenna a = es_antenna_slotted(16, 22.86e-3, 10.368);
  a.ripple_db = 2.0;
  uint64_t first = drawn(&f, &a, "one.png"), again = drawn(&f, &a, "two.png");
  assert_true(first == again);
  a.azimuth = es_rad(45.0);
  assert_true(drawn(&f, &a, "turned.png") != first);
  es_antenna dish = es_antenna_dish(0.6, 0.55, 10.368);
  dish.azimuth = es_rad(120.0);
  drawn(&f, &dish, "dish.png");
  es_error err = {0};
  es_pattern_words words = {"", "", "", "", 0};
  assert_int_equal(es_pattern_plot_write(folder_file(&f, "none.png"), &a, 10.368, &words, &err), ES_E_RANGE);
  assert_int_not_equal(access(folder_file(&f, "none.png"), F_OK), 0);
  folder_close(&f);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(plots)};
  return cmocka_run_group_tests_name("pattern_plot", tests, NULL, NULL);
}
