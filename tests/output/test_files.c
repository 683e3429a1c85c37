/* test_files.c - whole or not at all. */
#include "output/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

#include "scratch.h"

static void writes_and_replaces(void **state) {
  char *path = scratch_path(state, "a.txt");
  size_t n;
  assert_int_equal(es_file_write(path, "first\n", 6, NULL), ES_OK);
  assert_int_equal(es_file_write(path, "2\n", 2, NULL), ES_OK);
  char *bytes = scratch_read(path, &n);
  assert_string_equal(bytes, "2\n");
  assert_int_equal(scratch_count(*state), 1);
  free(bytes);
  free(path);
}

static void missing_folder_is_an_error(void **state) {
  char *path = scratch_path(state, "none/a.txt");
  es_error err = {0};
  assert_int_equal(es_file_write(path, "x", 1, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "none/a.txt"));
  assert_int_equal(scratch_count(*state), 0);
  free(path);
}

/* A folder stands where the file should go: the rename fails and nothing is left beside it. */
static void failed_rename_leaves_nothing(void **state) {
  char *path = scratch_path(state, "taken");
  es_error err = {0};
  assert_int_equal(mkdir(path, 0777), 0);
  assert_int_equal(es_file_write(path, "x", 1, &err), ES_E_FILE);
  assert_int_equal(scratch_count(*state), 1);
  rmdir(path);
  free(path);
}

static void temporary_keeps_folder_and_ending(void **state) {
  char *path = scratch_path(state, "map.tif"), *one = es_file_begin(path), *two = es_file_begin(path);
  assert_non_null(one);
  assert_non_null(two);
  assert_string_not_equal(one, two);
  assert_memory_equal(one, path, strlen(*state) + 1);
  assert_string_equal(one + strlen(one) - 4, ".tif");
  es_file_abandon(one);
  es_file_abandon(two);
  assert_int_equal(scratch_count(*state), 0);
  free(one);
  free(two);
  free(path);
}

static void json_keeps_order_and_ends_a_line(void **state) {
  char *path = scratch_path(state, "run.json");
  size_t n;
  json_t *json = json_pack("{s:s, s:f, s:[i,i]}", "name", "Skárn", "loss_db", 132.4477832219, "a", 1, 2);
  assert_int_equal(es_json_write(path, json, NULL), ES_OK);
  json_decref(json);
  char *bytes = scratch_read(path, &n);
  assert_string_equal(bytes,
                      "{\n  \"name\": \"Skárn\",\n  \"loss_db\": 132.4477832,\n  \"a\": [\n    1,\n    2\n  ]\n}\n");
  free(bytes);
  free(path);
}

static struct timespec changed_at(const char *path) {
  struct stat s;
  assert_int_equal(stat(path, &s), 0);
  return s.st_mtim;
}

/* The same bytes again: the file is left alone, and nothing lies beside it. */
static void the_same_again_is_left_as_it_is(void **state) {
  char *path = scratch_path(state, "a.txt");
  const struct timespec old[2] = {{1, 0}, {1, 0}};
  assert_int_equal(es_file_write(path, "first\n", 6, NULL), ES_OK);
  assert_int_equal(utimensat(AT_FDCWD, path, old, 0), 0);
  assert_int_equal(es_file_write(path, "first\n", 6, NULL), ES_OK);
  assert_int_equal(changed_at(path).tv_sec, 1);
  assert_int_equal(es_file_write(path, "other\n", 6, NULL), ES_OK);
  assert_true(changed_at(path).tv_sec > 1);
  assert_int_equal(scratch_count(*state), 1);
  free(path);
}

/* What a driver puts beside a temporary file goes with it; what a dead program has left goes; what a live one writes stays. */
static void remains_are_removed(void **state) {
  char *path = scratch_path(state, "map.tif"), *temporary = es_file_begin(path);
  char *beside = es_format("%s.ovr.tmp", temporary), *dead = scratch_path(state, ".part-999999999-0-map.png");
  char *alive = scratch_path(state, ".part-1-0-map.png"), *foreign = scratch_path(state, ".part-x");
  assert_int_equal(es_file_write(beside, "x", 1, NULL), ES_OK);
  es_file_abandon(temporary);
  assert_int_equal(scratch_count(*state), 0);
  char *all[] = {dead, alive, foreign};
  for (int i = 0; i < 3; i++) assert_int_equal(es_file_write(all[i], "x", 1, NULL), ES_OK);
  es_files_clean(*state);
  assert_int_not_equal(access(dead, F_OK), 0);
  assert_int_equal(access(alive, F_OK), 0);
  assert_int_equal(access(foreign, F_OK), 0);
  for (int i = 0; i < 3; i++) unlink(all[i]), free(all[i]);
  free(beside);
  free(temporary);
  free(path);
}

#define IN_SCRATCH(test) cmocka_unit_test_setup_teardown(test, scratch_make, scratch_remove)
int main(void) {
  const struct CMUnitTest tests[] = {IN_SCRATCH(writes_and_replaces),
                                     IN_SCRATCH(missing_folder_is_an_error),
                                     IN_SCRATCH(failed_rename_leaves_nothing),
                                     IN_SCRATCH(temporary_keeps_folder_and_ending),
                                     IN_SCRATCH(json_keeps_order_and_ends_a_line),
                                     IN_SCRATCH(the_same_again_is_left_as_it_is),
                                     IN_SCRATCH(remains_are_removed)};
  return cmocka_run_group_tests_name("files", tests, NULL, NULL);
}
