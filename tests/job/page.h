/* page.h - the reference pages, read as they stand. */
#ifndef EARSHOT_TESTS_JOB_PAGE_H
#define EARSHOT_TESTS_JOB_PAGE_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "near.h"

/* The whole file; caller frees. Tests run in the project's own folder. */
static inline char *page_read(const char *path) {
  FILE *file = fopen(path, "rb");
  if (file == NULL) fail_msg("%s cannot be read", path);
  char *text = calloc(1, 1 << 18);
  assert_non_null(text);
  assert_true(fread(text, 1, (1 << 18) - 1, file) > 0);
  fclose(file);
  return text;
}

/* The page's first block of YAML; caller frees. */
static inline char *page_example(const char *path) {
  char *text = page_read(path), *from = strstr(text, "```yaml\n");
  assert_non_null(from);
  from += strlen("```yaml\n");
  char *end = strstr(from, "```\n");
  assert_non_null(end);
  char *example = strndup(from, (size_t)(end - from));
  free(text);
  assert_non_null(example);
  return example;
}

#endif
