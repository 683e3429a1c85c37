#include "station/list_lines.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>

static bool append(es_list_lines *lines, long line) {
  if ((lines->n & (lines->n - 1)) == 0) { /* room doubles at 0, 1, 2, 4, ... */
    long *grown = realloc(lines->line, (lines->n == 0 ? 1 : 2 * lines->n) * sizeof *grown);
    if (grown == NULL) return false;
    lines->line = grown;
  }
  lines->line[lines->n++] = line;
  return true;
}

es_list_lines es_list_lines_of(const char *path) {
  es_list_lines lines = {0};
  FILE *file = fopen(path, "rb");
  if (file == NULL) return lines;
  char *text = NULL;
  size_t room = 0;
  ssize_t got;
  bool in_quotes = false, ok = true;
  for (long line = 1; ok && (got = getline(&text, &room, file)) >= 0; line++) {
    bool empty = strspn(text, "\r\n") == (size_t)got;
    if (!in_quotes && !empty) ok = append(&lines, line);
    for (ssize_t i = 0; i < got; i++) in_quotes ^= text[i] == '"';
  }
  free(text);
  fclose(file);
  if (!ok) es_list_lines_free(&lines);
  return lines;
}

void es_list_lines_free(es_list_lines *lines) {
  free(lines->line);
  *lines = (es_list_lines){0};
}
