/* folder.h - a folder of its own for a test's files, and what the faults say. */
#ifndef EARSHOT_TESTS_STATION_FOLDER_H
#define EARSHOT_TESTS_STATION_FOLDER_H

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/faults.h"
#include "base/text.h"
#include "near.h"

typedef struct test_folder {
  char path[64];
  char at[512]; /* of the file spoken of last */
} test_folder;

static inline void folder_open(test_folder *f) {
  snprintf(f->path, sizeof f->path, "/tmp/earshot-test-XXXXXX");
  assert_non_null(mkdtemp(f->path));
}

static inline const char *folder_file(test_folder *f, const char *name) {
  snprintf(f->at, sizeof f->at, "%s/%s", f->path, name);
  return f->at;
}

static inline const char *folder_write(test_folder *f, const char *name, const char *text) {
  FILE *file = fopen(folder_file(f, name), "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
  assert_int_equal(fclose(file), 0);
  return f->at;
}

static inline void folder_close(test_folder *f) {
  DIR *dir = opendir(f->path);
  for (struct dirent *e; dir != NULL && (e = readdir(dir)) != NULL;)
    if (e->d_name[0] != '.') unlink(folder_file(f, e->d_name));
  if (dir != NULL) closedir(dir);
  rmdir(f->path);
}

/* The list holds a fault (or note) at that line whose text contains `words`. */
static inline bool faults_hold(const es_faults *faults, long line, const char *words) {
  for (size_t i = 0; i < faults->n; i++)
    if (faults->items[i].line == line && strstr(faults->items[i].text, words) != NULL) return true;
  return false;
}

static inline void faults_print(const es_faults *faults) {
  for (size_t i = 0; i < faults->n; i++)
    print_message("  %s:%ld: %s%s\n", faults->items[i].file != NULL ? faults->items[i].file : "-",
                  faults->items[i].line, faults->items[i].note ? "note: " : "", faults->items[i].text);
}

#define assert_fault(faults, line, words)                                                                              \
  do {                                                                                                                 \
    if (!faults_hold((faults), (line), (words))) {                                                                     \
      faults_print(faults);                                                                                            \
      fail_msg("%s:%d: no fault at line %ld that says '%s'", __FILE__, __LINE__, (long)(line), (words));               \
    }                                                                                                                  \
  } while (0)

#endif
