/* The folder for the answers: what can be one is told before anything is made; one run holds it, and clears up after the dead. */
#include "run/folder.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "near.h"

static char root[64];

static int make(void **state) {
  (void)state;
  snprintf(root, sizeof root, "/tmp/earshot-test-XXXXXX");
  return mkdtemp(root) == NULL;
}

static int drop(void **state) {
  (void)state;
  char *command = es_format("rm -rf %s", root);
  int status = command != NULL ? system(command) : -1;
  free(command);
  return status;
}

/* One of the last four. */
static const char *below(const char *name) {
  static char path[4][256];
  static int turn;
  char *out = path[turn++ % 4];
  snprintf(out, sizeof path[0], "%s/%s", root, name);
  return out;
}

static void touch(const char *name) {
  FILE *file = fopen(below(name), "wb");
  assert_non_null(file);
  fputs("x", file);
  assert_int_equal(fclose(file), 0);
}

static bool there(const char *name) { return access(below(name), F_OK) == 0; }

/* "" when the folder will do, else the words of the one fault. */
static const char *judged(const char *path) {
  static char words[512];
  es_faults faults = {0};
  bool ok = es_folder_check(path, &faults);
  assert_int_equal(ok, faults.n_faults == 0);
  assert_int_equal(faults.n_faults, ok ? 0 : 1);
  snprintf(words, sizeof words, "%s", ok ? "" : faults.items[0].text);
  es_faults_free(&faults);
  return words;
}

static void looked_at_before_it_is_made(void **state) {
  (void)state;
  assert_string_equal(judged(root), "");
  assert_string_equal(judged(below("new")), "");
  assert_string_equal(judged(below("a/b//c/")), "");
  assert_string_equal(judged("relative-and-new"), "");
  assert_false(there("new"));
  assert_false(there("a"));
  assert_non_null(strstr(judged(""), "no name"));
  touch("file");
  assert_non_null(strstr(judged(below("file")), strerror(ENOTDIR)));
  assert_non_null(strstr(judged(below("file/under/it")), strerror(ENOTDIR)));
}

static void made_with_all_above_it(void **state) {
  (void)state;
  es_error err = {0};
  assert_int_equal(es_folder_make(below("a/b//c/"), &err), 0);
  assert_true(there("a/b/c"));
  assert_int_equal(es_folder_make(below("a/b/c"), &err), 0); /* is there: as good as made */
  touch("file");
  assert_int_equal(es_folder_make(below("file"), &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, strerror(EEXIST)));
  assert_int_equal(es_folder_make(below("file/x/y"), &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "cannot be made"));
}

static void held_by_one(void **state) {
  (void)state;
  es_error err = {0};
  int held = es_folder_hold(root, &err);
  assert_true(held >= 0);
  assert_int_equal(es_folder_hold(root, &err), -1);
  assert_int_equal(err.status, ES_E_INPUT);
  assert_non_null(strstr(err.detail, "another run is writing there"));
  es_folder_release(held);
  held = es_folder_hold(root, &err);
  assert_true(held >= 0);
  es_folder_release(held);
  es_folder_release(-1);
  assert_int_equal(es_folder_hold(below("nowhere"), &err), -1);
  assert_int_equal(err.status, ES_E_FILE);
}

/* What a dead run left goes, in every folder a run writes to; what belongs to the living or to the user stays. */
static void cleared_of_the_dead(void **state) {
  (void)state;
  es_error err = {0};
  char living[64];
  snprintf(living, sizeof living, ".part-%ld-0-map.png", (long)getppid());
  static const char *const folders[] = {".", ES_HIDDEN_FOLDER, "paths", "cards", "mine"};
  static const char *const stays[] = {".part-", ".part-x-0-map.png", ".part-12", ".part-0-0-map.png",
                                      "part-999999999-0-map.png"};
  char name[128];
  for (size_t f = 0; f < 5; f++) {
    assert_int_equal(es_folder_make(below(folders[f]), &err), 0);
    snprintf(name, sizeof name, "%s/.part-999999999-0-map.png", folders[f]);
    touch(name);
    snprintf(name, sizeof name, "%s/%s", folders[f], living);
    touch(name);
    for (size_t i = 0; i < 5; i++) {
      snprintf(name, sizeof name, "%s/%s", folders[f], stays[i]);
      touch(name);
    }
  }
  int held = es_folder_hold(root, &err);
  assert_true(held >= 0);
  es_folder_release(held);
  for (size_t f = 0; f < 5; f++) {
    snprintf(name, sizeof name, "%s/.part-999999999-0-map.png", folders[f]);
    assert_int_equal(there(name), strcmp(folders[f], "mine") == 0);
    snprintf(name, sizeof name, "%s/%s", folders[f], living);
    assert_true(there(name));
    for (size_t i = 0; i < 5; i++) {
      snprintf(name, sizeof name, "%s/%s", folders[f], stays[i]);
      assert_true(there(name));
    }
  }
}

static void begins_without_the_old_record(void **state) {
  (void)state;
  es_error err = {0};
  touch("run.json");
  assert_int_equal(es_folder_begin(root, &err), 0);
  assert_false(there("run.json"));
  assert_int_equal(es_folder_begin(root, &err), 0);
  assert_int_equal(es_folder_make(below("run.json/in-the-way"), &err), 0);
  assert_int_equal(es_folder_begin(root, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "cannot be replaced"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(looked_at_before_it_is_made, make, drop),
      cmocka_unit_test_setup_teardown(made_with_all_above_it, make, drop),
      cmocka_unit_test_setup_teardown(held_by_one, make, drop),
      cmocka_unit_test_setup_teardown(cleared_of_the_dead, make, drop),
      cmocka_unit_test_setup_teardown(begins_without_the_old_record, make, drop),
  };
  return cmocka_run_group_tests_name("folder", tests, NULL, NULL);
}
