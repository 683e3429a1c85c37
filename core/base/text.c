#include "base/text.h"

#include <csv.h>
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct row {
  size_t first, n; /* cells[first .. first+n) */
  long line;
} row;

struct es_text_table {
  char *name;
  char **cells;
  size_t n_cells, room_cells;
  row *rows; /* rows[0] is the header */
  size_t n_rows, room_rows;
  size_t row_first;
  long line;
  bool failed; /* out of memory */
};

static bool reserve(void **items, size_t *room, size_t n, size_t size) {
  if (n < *room) return true;
  size_t wanted = *room == 0 ? 64 : 2 * *room;
  void *grown = realloc(*items, wanted * size);
  if (grown == NULL) return false;
  *items = grown;
  *room = wanted;
  return true;
}

static void cell_end(void *bytes, size_t n, void *data) {
  es_text_table *t = data;
  char *text = strndup(bytes != NULL ? bytes : "", n);
  if (text == NULL || !reserve((void **)&t->cells, &t->room_cells, t->n_cells, sizeof *t->cells)) {
    free(text);
    t->failed = true;
    return;
  }
  t->cells[t->n_cells++] = text;
}

static void row_end(int last, void *data) {
  (void)last;
  es_text_table *t = data;
  if (!reserve((void **)&t->rows, &t->room_rows, t->n_rows, sizeof *t->rows)) {
    t->failed = true;
    return;
  }
  t->rows[t->n_rows++] = (row){t->row_first, t->n_cells - t->row_first, t->line};
  t->row_first = t->n_cells;
}

/* Feeds line by line, so that each row knows the line it began on; '#' lines outside quotes are passed over. */
static bool feed(es_text_table *t, const char *bytes, size_t n) {
  struct csv_parser parser;
  if (csv_init(&parser, CSV_APPEND_NULL) != 0) return false;
  bool ok = true, open_quotes = false;
  long line = 1;
  for (size_t at = 0; ok && at < n; line++) {
    const char *end = memchr(bytes + at, '\n', n - at);
    size_t length = end != NULL ? (size_t)(end - (bytes + at)) + 1 : n - at;
    bool comment = !open_quotes && bytes[at] == '#';
    if (!comment) {
      if (!open_quotes) t->line = line;
      ok = csv_parse(&parser, bytes + at, length, cell_end, row_end, t) == length;
      open_quotes = parser.quoted != 0; /* a quote inside an unquoted cell opens nothing */
    }
    at += length;
  }
  ok = ok && csv_parse(&parser, "\n", 1, cell_end, row_end, t) == 1 && parser.quoted == 0; /* still open: refused */
  ok = csv_fini(&parser, cell_end, row_end, t) == 0 && ok && !t->failed;
  t->failed |= csv_error(&parser) == CSV_ENOMEM;
  csv_free(&parser);
  return ok;
}

es_text_table *es_text_table_parse(const char *name, const char *bytes, size_t n, es_error *err) {
  es_text_table *t = calloc(1, sizeof *t);
  if (t != NULL) t->name = strdup(name);
  if (t == NULL || t->name == NULL) {
    free(t);
    es_fail(err, ES_E_MEMORY, "%s: out of memory", name);
    return NULL;
  }
  if (n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) { /* a byte order mark is no part of the first name */
    bytes += 3;
    n -= 3;
  }
  if (!feed(t, bytes, n)) {
    if (t->failed)
      es_fail(err, ES_E_MEMORY, "%s: out of memory", name);
    else
      es_fail(err, ES_E_INPUT, "%s:%ld: not a CSV table (RFC 4180): a quote is left open", name, t->line);
    es_text_table_close(t);
    return NULL;
  }
  if (t->n_rows == 0) {
    es_fail(err, ES_E_INPUT, "%s: empty, want a header row and rows of data", name);
    es_text_table_close(t);
    return NULL;
  }
  return t;
}

static char *read_whole(const char *path, size_t *n, es_error *err) {
  FILE *file = fopen(path, "rb");
  if (file == NULL) {
    es_fail(err, ES_E_FILE, "%s: cannot be read (%s)", path, strerror(errno));
    return NULL;
  }
  char *bytes = NULL;
  size_t room = 0, used = 0, got = 1;
  bool memory = true;
  while (got > 0) {
    if (room - used < 4096) {
      room = room == 0 ? 65536 : 2 * room;
      char *grown = realloc(bytes, room);
      memory = grown != NULL;
      if (!memory) break;
      bytes = grown;
    }
    got = fread(bytes + used, 1, room - used, file);
    used += got;
  }
  int32_t status = !memory             ? es_fail(err, ES_E_MEMORY, "%s: out of memory", path)
                   : ferror(file) != 0 ? es_fail(err, ES_E_FILE, "%s: cannot be read (%s)", path, strerror(errno))
                                       : 0;
  fclose(file);
  if (status == 0) {
    *n = used;
    return bytes;
  }
  free(bytes);
  return NULL;
}

es_text_table *es_text_table_open(const char *path, es_error *err) {
  size_t n = 0;
  char *bytes = read_whole(path, &n, err);
  if (bytes == NULL) return NULL;
  es_text_table *t = es_text_table_parse(path, bytes, n, err);
  free(bytes);
  return t;
}

void es_text_table_close(es_text_table *t) {
  if (t == NULL) return;
  for (size_t i = 0; i < t->n_cells; i++) free(t->cells[i]);
  free(t->cells);
  free(t->rows);
  free(t->name);
  free(t);
}

size_t es_text_table_rows(const es_text_table *t) { return t->n_rows - 1; }

const char *es_text_table_header(const es_text_table *t, size_t column) {
  return column < t->rows[0].n ? t->cells[t->rows[0].first + column] : NULL;
}

size_t es_text_table_column(const es_text_table *t, const char *name) {
  for (size_t i = 0; i < t->rows[0].n; i++)
    if (strcmp(t->cells[t->rows[0].first + i], name) == 0) return i;
  return SIZE_MAX;
}

const char *es_text_table_cell(const es_text_table *t, size_t r, size_t column) {
  const row *at = &t->rows[r + 1];
  return column < at->n ? t->cells[at->first + column] : "";
}

long es_text_table_line(const es_text_table *t, size_t r) { return t->rows[r + 1].line; }

bool es_parse_number(const char *text, double *out) {
  char *end;
  double value = strtod(text, &end);
  if (end == text || !isfinite(value)) return false;
  while (*end == ' ' || *end == '\t') end++;
  if (*end != '\0') return false;
  *out = value;
  return true;
}

bool es_text_table_number(const es_text_table *t, size_t r, size_t column, double min, double max, double *out,
                          es_faults *faults) {
  const char *text = es_text_table_cell(t, r, column);
  *out = NAN;
  if (text[0] == '\0') return true;
  double value;
  if (es_parse_number(text, &value) && value >= min && value <= max) {
    *out = value;
    return true;
  }
  const char *name = es_text_table_header(t, column);
  es_fault_add(faults, t->name, es_text_table_line(t, r), "%s=%s: want a number from %g to %g",
               name != NULL ? name : "?", text, min, max);
  return false;
}

char *es_format(const char *format, ...) {
  va_list args;
  va_start(args, format);
  char *text = NULL;
  if (vasprintf(&text, format, args) < 0) text = NULL;
  va_end(args);
  return text;
}

char *es_path_beside(const char *beside, const char *path) {
  const char *slash = strrchr(beside, '/');
  if (path[0] == '/' || slash == NULL) return strdup(path);
  return es_format("%.*s/%s", (int)(slash - beside), beside, path);
}
