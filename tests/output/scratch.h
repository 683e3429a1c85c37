/* scratch.h - a folder of its own for each test, and whole files compared. */
#ifndef EARSHOT_TESTS_OUTPUT_SCRATCH_H
#define EARSHOT_TESTS_OUTPUT_SCRATCH_H

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "near.h"

static inline int scratch_make(void **state) {
  char *folder = strdup("/tmp/earshot-test-XXXXXX");
  *state = folder;
  return folder == NULL || mkdtemp(folder) == NULL;
}

static inline size_t scratch_count(const char *folder) {
  DIR *list = opendir(folder);
  assert_non_null(list);
  size_t n = 0;
  for (struct dirent *entry; (entry = readdir(list)) != NULL;)
    n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
  closedir(list);
  return n;
}

static inline int scratch_remove(void **state) {
  DIR *list = opendir(*state);
  for (struct dirent *entry; list != NULL && (entry = readdir(list)) != NULL;)
    if (entry->d_name[0] != '.' || entry->d_name[1] == 'p') unlinkat(dirfd(list), entry->d_name, 0);
  if (list != NULL) closedir(list);
  rmdir(*state);
  free(*state);
  return 0;
}

/* "FOLDER/name"; caller frees. */
static inline char *scratch_path(void **state, const char *name) {
  char *path = es_format("%s/%s", (const char *)*state, name);
  assert_non_null(path);
  return path;
}

/* The whole file and a zero behind it; caller frees. */
static inline char *scratch_read(const char *path, size_t *n) {
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  fseek(file, 0, SEEK_END);
  *n = (size_t)ftell(file);
  rewind(file);
  char *bytes = calloc(*n + 1, 1);
  assert_non_null(bytes);
  assert_int_equal(fread(bytes, 1, *n, file), *n);
  fclose(file);
  return bytes;
}

static inline void assert_same_files(const char *a, const char *b) {
  size_t n, m;
  char *x = scratch_read(a, &n), *y = scratch_read(b, &m);
  assert_int_equal(n, m);
  assert_memory_equal(x, y, n);
  free(x);
  free(y);
}

#endif
