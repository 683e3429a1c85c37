/* rows.c - see rows.h. */
#include "rows.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "published.h"
#include "station/folder.h"

enum { COLUMNS = 160, TOGETHER = 60, TOLD = 12 };

typedef struct column {
  char name[40], symbol[40];
  double tolerance, worst; /* in the column's own unit */
  size_t compared;
  long line;
} column;

typedef struct run {
  const pub_table *is;
  es_text_table *table, *more;
  char *folder; /* from the root: the page lies elsewhere */
  test_folder scratch;
  column columns[COLUMNS];
  size_t n_columns, n_asked, n_bad;
} run;

/* --- cells -------------------------------------------------------------------------------------------------------- */

const char *pub_cell(const pub_row *row, const char *name) {
  size_t c = es_text_table_column(row->table, name);
  if (c != SIZE_MAX) return es_text_table_cell(row->table, row->at, c);
  c = row->more != NULL ? es_text_table_column(row->more, name) : SIZE_MAX;
  return c != SIZE_MAX ? es_text_table_cell(row->more, row->more_at, c) : "";
}

double pub_number(const pub_row *row, const char *name) {
  double value;
  return es_parse_number(pub_cell(row, name), &value) ? value : NAN;
}

static pub_row row_of(const run *x, size_t at) {
  pub_row row = {x->table, x->more, at, 0};
  if (x->more == NULL) return row;
  const char *profile = pub_cell(&row, "profile");
  for (size_t n = es_text_table_rows(x->more); row.more_at < n; row.more_at++)
    if (strcmp(es_text_table_cell(x->more, row.more_at, es_text_table_column(x->more, "profile")), profile) == 0)
      return row;
  fail_msg("%s has no row of %s", x->is->more, profile);
  return row;
}

/* --- the profile file of a row ------------------------------------------------------------------------------------ */

/* The word of "a|b|c" at the number of the cell. */
static void put_choice(FILE *out, const char *words, double index) {
  for (int i = (int)index; i > 0 && words != NULL; i--) words = strchr(words, '|') + 1;
  fprintf(out, "%.*s", (int)strcspn(words, "|"), words);
}

static void put_cell(const run *x, const pub_row *row, char *name, FILE *out) {
  char *words = strchr(name, '?');
  double value;
  if (words != NULL) *words++ = '\0';
  if (strcmp(name, "folder") == 0)
    fputs(x->folder, out);
  else if (x->is->worked_out != NULL && x->is->worked_out(row, name, &value))
    fprintf(out, "%.17g", value);
  else if (pub_cell(row, name)[0] == '\0')
    fail_msg("%s:%ld: no %s", x->is->file, es_text_table_line(row->table, row->at), name);
  else if (words != NULL)
    put_choice(out, words, pub_number(row, name));
  else
    fputs(pub_cell(row, name), out);
}

/* The page without its percentages; caller frees. */
static char *page_of(const run *x, const pub_row *row) {
  char *text = NULL;
  size_t size;
  FILE *out = open_memstream(&text, &size);
  assert_non_null(out);
  for (const char *c = x->is->page; *c != '\0'; c++) {
    if (*c != '<') {
      fputc(*c, out);
      continue;
    }
    char name[64];
    size_t length = strcspn(c + 1, ">");
    assert_true(length < sizeof name);
    snprintf(name, sizeof name, "%.*s", (int)length, c + 1);
    put_cell(x, row, name, out);
    c += length + 1;
  }
  assert_int_equal(fclose(out), 0);
  return text;
}

/* --- comparing ---------------------------------------------------------------------------------------------------- */

double pub_value(const json_t *result, const char *symbol) {
  const json_t *way = json_object_get(json_object_get(result, "ways"), symbol);
  const json_t *value = strcmp(symbol, "basic") == 0 ? json_object_get(result, "basic_loss_db")
                        : way != NULL                ? json_object_get(way, "basic_loss_db")
                                                     : json_object_get(json_object_get(result, "symbols"), symbol);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

static void compare(run *x, const pub_row *row, const json_t *result, column *c) {
  double want = pub_number(row, c->name), got = pub_value(result, c->symbol);
  if (isnan(want) || (x->is->compared != NULL && !x->is->compared(row, c->name))) return;
  if (x->is->expected != NULL) want = x->is->expected(row, c->name, result, want);
  double off = fabs(got - want);
  c->compared++;
  if (!(off <= c->tolerance) && x->n_bad++ < TOLD)
    print_error("%s:%ld: %s = %.12g, want %.12g within %g\n", x->is->file, es_text_table_line(row->table, row->at),
                c->name, got, want, c->tolerance);
  if (c->line != 0 && off <= c->worst) return;
  c->worst = off;
  c->line = es_text_table_line(row->table, row->at);
}

/* --- the rows ----------------------------------------------------------------------------------------------------- */

/* Evaluates the page at the percentages of the rows, as the command does. */
static json_t *evaluate(run *x, const char *page, const size_t *rows, size_t n) {
  char *text = NULL;
  size_t size;
  FILE *out = open_memstream(&text, &size);
  assert_non_null(out);
  fprintf(out, "%stime_percent: [", page);
  for (size_t i = 0; i < n; i++) {
    pub_row row = {x->table, NULL, rows[i], 0};
    fprintf(out, "%s%s", i > 0 ? ", " : "", x->is->percent != NULL ? pub_cell(&row, x->is->percent) : "50");
  }
  fprintf(out, "]\n");
  assert_int_equal(fclose(out), 0);
  json_t *answer = published_evaluate(folder_write(&x->scratch, "row.yaml", text));
  if (answer == NULL) fail_msg("%s was refused:\n%s", x->is->file, text);
  free(text);
  return answer;
}

static void check_rows(run *x, const char *page, const size_t *rows, size_t n) {
  json_t *answer = evaluate(x, page, rows, n), *results = json_object_get(answer, "results");
  assert_int_equal(json_array_size(results), n);
  for (size_t i = 0; i < n; i++) {
    pub_row row = row_of(x, rows[i]);
    for (size_t c = 0; c < x->n_columns; c++) compare(x, &row, json_array_get(results, i), &x->columns[c]);
  }
  x->n_asked += n;
  json_decref(answer);
}

static void check_all(run *x) {
  size_t n = es_text_table_rows(x->table);
  char **pages = calloc(n + 1, sizeof *pages);
  assert_non_null(pages);
  for (size_t i = 0; i < n; i++) {
    pub_row row = row_of(x, i);
    if (x->is->asked == NULL || x->is->asked(&row)) pages[i] = page_of(x, &row);
  }
  for (size_t i = 0; i < n; i++) {
    size_t rows[TOGETHER], count = 0;
    for (size_t j = i; pages[i] != NULL && j < n && count < TOGETHER; j++)
      if (pages[j] != NULL && strcmp(pages[i], pages[j]) == 0) rows[count++] = j;
    if (count > 0) check_rows(x, pages[i], rows, count);
    for (size_t k = count; k-- > 0;) {
      free(pages[rows[k]]);
      pages[rows[k]] = NULL;
    }
  }
  free(pages);
}

/* --- a table ------------------------------------------------------------------------------------------------------ */

/* Columns the table has; a whole one must have them all. */
static void take_columns(run *x, bool whole) {
  for (const pub_columns *set = x->is->columns; set->names != NULL; set++) {
    char *names = strdup(set->names), *rest = names, *name;
    while ((name = strsep(&rest, " ")) != NULL) {
      column *c = &x->columns[x->n_columns];
      char *symbol = strchr(name, '=');
      if (symbol != NULL) *symbol++ = '\0';
      if (es_text_table_column(x->table, name) == SIZE_MAX) {
        if (whole) fail_msg("%s has no column %s", x->is->file, name);
        continue;
      }
      assert_true(++x->n_columns < COLUMNS);
      *c = (column){.tolerance = set->tolerance};
      snprintf(c->name, sizeof c->name, "%s", name);
      snprintf(c->symbol, sizeof c->symbol, "%s", symbol != NULL ? symbol : name);
    }
    free(names);
  }
}

static es_text_table *open_table(const char *folder, const char *file) {
  char *path = es_format("%s/%s", folder, file);
  es_error err = {0};
  es_text_table *table = es_text_table_open(path, &err);
  if (table == NULL) fail_msg("%s", err.detail);
  free(path);
  return table;
}

static void tell(const run *x) {
  const column *worst = &x->columns[0];
  print_message("%s: %zu rows, %zu columns\n", x->is->file, x->n_asked, x->n_columns);
  for (size_t c = 0; c < x->n_columns; c++) {
    const column *of = &x->columns[c];
    print_message("  %-14s %4zu compared, largest difference %8.2g (line %ld), want within %g\n", of->name,
                  of->compared, of->worst, of->line, of->tolerance);
    if (of->worst / of->tolerance > worst->worst / worst->tolerance) worst = of;
  }
  print_message("%s: nearest to its tolerance is %s\n", x->is->file, worst->name);
}

void pub_check(const pub_table *table, const char *folder, bool whole) {
  run *x = calloc(1, sizeof *x);
  assert_non_null(x);
  *x = (run){.is = table, .folder = realpath(folder, NULL), .table = open_table(folder, table->file)};
  if (table->more != NULL) x->more = open_table(folder, table->more);
  folder_open(&x->scratch);
  take_columns(x, whole);
  check_all(x);
  tell(x);
  if (whole) assert_int_equal(x->n_asked, table->rows);
  assert_true(x->n_asked > 0 && x->n_columns > 0);
  for (size_t c = 0; c < x->n_columns; c++) assert_true(x->columns[c].compared > 0);
  assert_int_equal(x->n_bad, 0);
  folder_close(&x->scratch);
  es_text_table_close(x->table);
  es_text_table_close(x->more);
  free(x->folder);
  free(x);
}
