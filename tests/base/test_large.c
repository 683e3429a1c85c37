/* Memory for rasters: zeroed, kept while it rests, and given back whole; on the disk without a file that stays. */
#include "base/large.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include "near.h"

enum { BYTES = 5 << 20 };

static int make(void **state) {
  static char folder[64];
  snprintf(folder, sizeof folder, "/tmp/earshot-test-XXXXXX");
  *state = folder;
  return mkdtemp(folder) == NULL;
}

static int drop(void **state) { return rmdir(*state); } /* fails when anything is left in it */

static size_t files_in(const char *folder) {
  DIR *list = opendir(folder);
  assert_non_null(list);
  size_t n = 0;
  while (readdir(list) != NULL) n++;
  closedir(list);
  return n - 2; /* . and .. */
}

static void check(unsigned char *memory) {
  assert_non_null(memory);
  assert_int_equal((uintptr_t)memory % 4096, 0);
  for (size_t i = 0; i < BYTES; i++) assert_int_equal(memory[i], 0);
  for (size_t i = 0; i < BYTES; i++) memory[i] = (unsigned char)(i % 251);
  es_large_rest(memory);
  for (size_t i = 0; i < BYTES; i++) assert_int_equal(memory[i], i % 251);
  es_large_free(memory);
}

static void in_memory(void **state) {
  (void)state;
  check(es_large_get(BYTES));
  assert_null(es_large_get(0));
  assert_null(es_large_get(SIZE_MAX));
  es_large_free(NULL);
  es_large_rest(NULL);
}

static void on_disk(void **state) {
  unsigned char *memory = es_large_on_disk(BYTES, *state);
  assert_int_equal(files_in(*state), 0); /* in use, and nameless already */
  check(memory);
  assert_int_equal(files_in(*state), 0);
}

/* At rest, its pages are not held by this program. */
static void leaves_memory(void **state) {
  unsigned char *memory = es_large_on_disk(BYTES, *state);
  assert_non_null(memory);
  for (size_t i = 0; i < BYTES; i++) memory[i] = 7;
  struct rusage before, after;
  getrusage(RUSAGE_SELF, &before);
  es_large_rest(memory);
  long sum = 0;
  for (size_t i = 0; i < BYTES; i += 4096) sum += memory[i];
  getrusage(RUSAGE_SELF, &after);
  assert_int_equal(sum, 7 * (BYTES / 4096));
  assert_true(after.ru_minflt + after.ru_majflt > before.ru_minflt + before.ru_majflt); /* they had to come back */
  es_large_free(memory);
}

static void where_there_is_no_room(void **state) {
  struct statvfs disk;
  assert_int_equal(statvfs(*state, &disk), 0);
  assert_null(es_large_on_disk((size_t)disk.f_bfree * disk.f_frsize + ((size_t)1 << 44), *state));
  assert_null(es_large_on_disk(SIZE_MAX, *state));
  assert_null(es_large_on_disk(BYTES, "/nowhere/at/all"));
  assert_int_equal(files_in(*state), 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(in_memory),
      cmocka_unit_test_setup_teardown(on_disk, make, drop),
      cmocka_unit_test_setup_teardown(leaves_memory, make, drop),
      cmocka_unit_test_setup_teardown(where_there_is_no_room, make, drop),
  };
  return cmocka_run_group_tests_name("large", tests, NULL, NULL);
}
