/* feeder.c - reads tables of lines, and gives their loss. See feeder.h.
 *
 * Source of the guide's loss: field theory of the rectangular guide, TE10 wall loss
 *   alpha = Rs (2 b pi^2 + a^3 k^2) / (a^3 b beta k eta) neper/m, Rs = sqrt(pi f mu0 / sigma).
 * 1 neper = 8.685889638 dB. The other forms and their numbers: the table's own column. */
#include "station/feeder.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"

extern const char es_feeders_csv[]; /* feeders.csv, put into the library by the build */

static const double NEPER_DB = 8.685889638065037;
static const double MU0 = 4e-7 * ES_PI; /* H/m */
static const char *const forms[] = {"coax", "guide", "point", "each"};
enum { FORMS = sizeof forms / sizeof *forms };

/* --- loss ---------------------------------------------------------------------------------------------------------- */

double es_line_cutoff_ghz(const es_line_kind *line) {
  return line->form == ES_LINE_GUIDE ? 1e-9 * ES_LIGHT_M_S / (2e-3 * line->a) : NAN;
}

static double guide_db_m(const es_line_kind *line, double freq_ghz) {
  double a = 1e-3 * line->a, b = 1e-3 * line->b, freq = 1e9 * freq_ghz;
  double k = 2.0 * ES_PI * freq / ES_LIGHT_M_S, beta = sqrt(k * k - (ES_PI / a) * (ES_PI / a));
  double rs = sqrt(ES_PI * freq * MU0 / line->c), eta = MU0 * ES_LIGHT_M_S;
  double cube = a * a * a;
  return NEPER_DB * rs * (2.0 * b * ES_PI * ES_PI + cube * k * k) / (cube * b * beta * k * eta);
}

es_line_fit es_line_fit_at(const es_line_kind *line, double freq_ghz) {
  double mhz = 1e3 * freq_ghz;
  if (line->form == ES_LINE_EACH) return ES_LINE_AT_HOME;
  if (mhz > line->refuse_mhz || freq_ghz <= es_line_cutoff_ghz(line)) return ES_LINE_REFUSED;
  return mhz < line->min_mhz || mhz > line->max_mhz ? ES_LINE_OUT_OF_BAND : ES_LINE_AT_HOME;
}

double es_line_loss_db_m(const es_line_kind *line, double freq_ghz) {
  double mhz = 1e3 * freq_ghz;
  if (es_line_fit_at(line, freq_ghz) == ES_LINE_REFUSED) return NAN;
  switch (line->form) {
  case ES_LINE_COAX: return line->a * sqrt(mhz) + line->b * mhz;
  case ES_LINE_GUIDE: return guide_db_m(line, freq_ghz);
  case ES_LINE_POINT: return line->a * sqrt(mhz / line->b);
  case ES_LINE_EACH:
  default: return NAN;
  }
}

/* --- tables -------------------------------------------------------------------------------------------------------- */

const es_line_kind *es_line_find(const es_line_kinds *lines, const char *id) {
  for (size_t i = 0; i < lines->n; i++)
    if (strcmp(lines->items[i].id, id) == 0) return &lines->items[i];
  return NULL;
}

static es_line_kind *place_for(es_line_kinds *lines, const char *id) {
  es_line_kind *known = (es_line_kind *)es_line_find(lines, id);
  if (known != NULL) return known;
  es_line_kind *items = realloc(lines->items, (lines->n + 1) * sizeof *items);
  if (items == NULL) return NULL;
  lines->items = items;
  return &items[lines->n++];
}

typedef struct table {
  const char *path;
  const es_text_table *text;
  es_line_kinds *lines;
  es_faults *faults;
} table;

/* A number of the row; NaN when the column or the cell is not there. */
static bool number(const table *t, size_t row, const char *name, double min, double max, double *out) {
  size_t column = es_text_table_column(t->text, name);
  *out = NAN;
  return column == SIZE_MAX || es_text_table_number(t->text, row, column, min, max, out, t->faults);
}

static const char *cell(const table *t, size_t row, const char *name) {
  size_t column = es_text_table_column(t->text, name);
  return column == SIZE_MAX ? "" : es_text_table_cell(t->text, row, column);
}

static bool find_form(const table *t, size_t row, es_line_form *out) {
  const char *name = cell(t, row, "form");
  for (int i = 0; i < FORMS; i++)
    if (strcmp(name, forms[i]) == 0) {
      *out = (es_line_form)i;
      return true;
    }
  es_fault_add(t->faults, t->path, es_text_table_line(t->text, row), "form=%s: want coax, guide, point or each", name);
  return false;
}

/* The numbers a form cannot do without. */
static bool complete(const table *t, size_t row, const es_line_kind *line) {
  bool b = line->form == ES_LINE_EACH || line->b > 0.0 || (line->form == ES_LINE_COAX && line->b == 0.0);
  bool c = line->form != ES_LINE_GUIDE || line->c > 0.0;
  bool all = line->id[0] != '\0' && line->a >= 0.0 && b && c && (line->form == ES_LINE_EACH || line->a > 0.0);
  if (!all)
    es_fault_add(t->faults, t->path, es_text_table_line(t->text, row),
                 "line=%s: want a name, and the numbers a, b and c that form %s needs", line->id, forms[line->form]);
  return all;
}

static void read_row(const table *t, size_t row) {
  es_line_kind line = {.id = ""};
  const char *id = cell(t, row, "line");
  if (strlen(id) >= sizeof line.id || strlen(cell(t, row, "source")) >= sizeof line.source) {
    es_fault_add(t->faults, t->path, es_text_table_line(t->text, row), "line=%s: name or source is too long", id);
    return;
  }
  snprintf(line.id, sizeof line.id, "%s", id);
  snprintf(line.source, sizeof line.source, "%s", cell(t, row, "source"));
  bool ok = find_form(t, row, &line.form);
  ok = number(t, row, "a", 0.0, 1e4, &line.a) && ok;
  ok = number(t, row, "b", 0.0, 1e6, &line.b) && ok;
  ok = number(t, row, "c", 1.0, 1e9, &line.c) && ok;
  ok = number(t, row, "min_mhz", 0.0, 1e6, &line.min_mhz) && ok;
  ok = number(t, row, "max_mhz", 0.0, 1e6, &line.max_mhz) && ok;
  ok = number(t, row, "refuse_mhz", 0.0, 1e6, &line.refuse_mhz) && ok;
  if (!ok || !complete(t, row, &line)) return;
  es_line_kind *place = place_for(t->lines, line.id);
  if (place != NULL)
    *place = line;
  else
    es_fault_memory(t->faults, t->path);
}

static bool read_table(const char *path, es_text_table *text, es_error *err, es_line_kinds *lines, es_faults *faults) {
  size_t before = faults->n_faults;
  table t = {path, text, lines, faults};
  if (text == NULL)
    es_fault_error(faults, NULL, err);
  else if (es_text_table_column(text, "line") == SIZE_MAX || es_text_table_column(text, "form") == SIZE_MAX ||
           es_text_table_column(text, "a") == SIZE_MAX)
    es_fault_add(faults, path, 1, "header: want the columns line, form and a");
  else
    for (size_t r = 0; r < es_text_table_rows(text); r++) read_row(&t, r);
  es_text_table_close(text);
  return faults->n_faults == before;
}

bool es_lines_builtin(es_line_kinds *out, es_faults *faults) {
  static const char name[] = "feeders.csv (built in)";
  es_error err = {0};
  *out = (es_line_kinds){0};
  return read_table(name, es_text_table_parse(name, es_feeders_csv, strlen(es_feeders_csv), &err), &err, out, faults);
}

bool es_lines_read(const char *path, es_line_kinds *lines, es_faults *faults) {
  es_error err = {0};
  return read_table(path, es_text_table_open(path, &err), &err, lines, faults);
}

void es_lines_free(es_line_kinds *lines) {
  free(lines->items);
  *lines = (es_line_kinds){0};
}
