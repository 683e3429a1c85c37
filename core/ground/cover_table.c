#include "ground/cover_table.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "earshot/model.h"

extern const char es_worldcover_2021_csv[], es_corine_2018_csv[]; /* put into the library by the build */

static const double TALLEST_M = 200.0;

int es_leaf_of_word(const char *word) {
  static const char *const words[] = {"none", "broadleaf", "conifer", "mixed", "opaque"}; /* as ES_NO_LEAF ... */
  for (int i = 0; i < 5; i++)
    if (strcmp(words[i], word) == 0) return i;
  return -1;
}

typedef struct reader {
  const char *path;
  const es_text_table *table;
  size_t class_, height, base, density, leaf; /* columns; SIZE_MAX: none */
  bool seen[ES_COVER_CLASSES];
  es_faults *faults;
} reader;

/* A number that may be absent; false after a fault. */
static bool number(const reader *r, size_t row, size_t column, double min, double max, double absent, double *out) {
  *out = absent;
  if (column == SIZE_MAX) return true;
  if (!es_text_table_number(r->table, row, column, min, max, out, r->faults)) return false;
  if (isnan(*out)) *out = absent;
  return true;
}

static bool class_of(reader *r, size_t row, int *out) {
  double value;
  long line = es_text_table_line(r->table, row);
  if (!number(r, row, r->class_, 0.0, ES_COVER_CLASSES - 1.0, NAN, &value)) return false;
  if (isnan(value) || value != floor(value)) {
    es_fault_add(r->faults, r->path, line, "class=%s: want a whole number from 0 to 255",
                 es_text_table_cell(r->table, row, r->class_));
    return false;
  }
  *out = (int)value;
  if (r->seen[*out]) es_fault_add(r->faults, r->path, line, "class %d is there twice, want it once", *out);
  bool fresh = !r->seen[*out];
  r->seen[*out] = true;
  return fresh;
}

static bool leaf_of(const reader *r, size_t row, double height_m, uint8_t *out) {
  const char *word = r->leaf != SIZE_MAX ? es_text_table_cell(r->table, row, r->leaf) : "";
  int leaf = word[0] == '\0' ? (height_m > 0.0 ? ES_MIXED_LEAF : ES_NO_LEAF) : es_leaf_of_word(word);
  *out = (uint8_t)leaf;
  if (leaf >= 0) return true;
  es_fault_add(r->faults, r->path, es_text_table_line(r->table, row),
               "leaf=%s: want broadleaf, conifer, mixed, opaque or none", word);
  return false;
}

static void read_row(reader *r, size_t row, es_cover_table *out) {
  long line = es_text_table_line(r->table, row);
  es_cover_class c;
  int index = -1;
  bool ok = class_of(r, row, &index);
  ok = number(r, row, r->height, 0.0, TALLEST_M, NAN, &c.height_m) && ok;
  ok = number(r, row, r->base, 0.0, TALLEST_M, 0.0, &c.base_m) && ok;
  ok = number(r, row, r->density, 0.0, 1.0, 1.0, &c.density) && ok;
  ok = leaf_of(r, row, c.height_m, &c.leaf) && ok;
  if (!ok) return;
  if (isnan(c.height_m))
    es_fault_add(r->faults, r->path, line, "class %d has no height_m: want 0 to 200 m", index);
  else if (c.base_m > c.height_m)
    es_fault_add(r->faults, r->path, line, "class %d: base_m=%g is above its top, height_m=%g", index, c.base_m,
                 c.height_m);
  else
    out->of[index] = c;
}

static bool read_table(const char *path, const es_text_table *table, es_cover_table *out, es_faults *faults) {
  size_t before = faults->n_faults;
  reader r = {.path = path, .table = table, .faults = faults};
  *out = (es_cover_table){.given = true};
  r.class_ = es_text_table_column(table, "class");
  r.height = es_text_table_column(table, "height_m");
  r.base = es_text_table_column(table, "base_m");
  r.density = es_text_table_column(table, "density");
  r.leaf = es_text_table_column(table, "leaf");
  if (r.class_ == SIZE_MAX || r.height == SIZE_MAX)
    es_fault_add(faults, path, 1, "header: want the columns class and height_m, and if wanted base_m, density, leaf");
  else if (es_text_table_rows(table) == 0)
    es_fault_add(faults, path, 1, "the table is empty: want at least one class");
  else
    for (size_t row = 0; row < es_text_table_rows(table); row++) read_row(&r, row, out);
  return faults->n_faults == before;
}

bool es_cover_table_read(const char *path, es_cover_table *out, es_faults *faults) {
  es_error err = {0};
  es_text_table *table = es_text_table_open(path, &err);
  *out = (es_cover_table){0};
  if (table == NULL) {
    es_fault_error(faults, NULL, &err);
    return false;
  }
  bool ok = read_table(path, table, out, faults);
  es_text_table_close(table);
  return ok;
}

bool es_cover_table_builtin(es_cover_legend legend, es_cover_table *out, es_faults *faults) {
  static const char *const names[] = {"worldcover-2021.csv (built in)", "corine-2018.csv (built in)"};
  const char *text = legend == ES_CORINE_2018 ? es_corine_2018_csv : es_worldcover_2021_csv;
  es_error err = {0};
  es_text_table *table = es_text_table_parse(names[legend], text, strlen(text), &err);
  if (table == NULL) {
    es_fault_error(faults, NULL, &err);
    return false;
  }
  bool ok = read_table(names[legend], table, out, faults);
  es_text_table_close(table);
  return ok;
}
