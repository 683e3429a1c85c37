/* mode.c - reads tables of modes: CSV with id, snr_2500_db and, if wanted, name and source. The built-in one is
 * modes.csv. */
#include "station/mode.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

extern const char es_modes_csv[]; /* modes.csv, put into the library by the build */

static const double LOWEST_SNR_DB = -60.0, HIGHEST_SNR_DB = 60.0;

typedef struct columns {
  size_t id, name, snr, source;
} columns;

const es_mode *es_mode_find(const es_modes *modes, const char *id) {
  for (size_t i = 0; i < modes->n; i++)
    if (strcmp(modes->items[i].id, id) == 0) return &modes->items[i];
  return NULL;
}

/* The mode's own place when its id is known already, else a new one; NULL out of memory. */
static es_mode *place_for(es_modes *modes, const char *id) {
  for (size_t i = 0; i < modes->n; i++)
    if (strcmp(modes->items[i].id, id) == 0) return &modes->items[i];
  es_mode *items = realloc(modes->items, (modes->n + 1) * sizeof *items);
  if (items == NULL) return NULL;
  modes->items = items;
  return &items[modes->n++];
}

static const char *cell_or(const es_text_table *t, size_t row, size_t column, const char *other) {
  const char *text = column == SIZE_MAX ? "" : es_text_table_cell(t, row, column);
  return text[0] != '\0' ? text : other;
}

/* True when the text fits a field of `room` bytes; a fault otherwise. */
static bool fits(const char *path, long line, const char *key, const char *text, size_t room, es_faults *faults) {
  if (strlen(text) < room) return true;
  es_fault_add(faults, path, line, "%s=%s: want at most %zu bytes", key, text, room - 1);
  return false;
}

static void read_row(const char *path, const es_text_table *t, size_t row, const columns *at, es_modes *modes,
                     es_faults *faults) {
  es_mode mode = {.snr_2500_db = NAN};
  long line = es_text_table_line(t, row);
  const char *id = es_text_table_cell(t, row, at->id), *name = cell_or(t, row, at->name, id);
  const char *source = cell_or(t, row, at->source, "");
  bool ok = es_text_table_number(t, row, at->snr, LOWEST_SNR_DB, HIGHEST_SNR_DB, &mode.snr_2500_db, faults);
  if (id[0] == '\0') es_fault_add(faults, path, line, "id is empty: want the name of a mode");
  if (ok && isnan(mode.snr_2500_db)) es_fault_add(faults, path, line, "snr_2500_db is empty: want dB in 2500 Hz");
  ok = fits(path, line, "id", id, sizeof mode.id, faults) && ok;
  ok = fits(path, line, "name", name, sizeof mode.name, faults) && ok;
  ok = fits(path, line, "source", source, sizeof mode.source, faults) && ok;
  if (!ok || id[0] == '\0' || isnan(mode.snr_2500_db)) return;
  snprintf(mode.id, sizeof mode.id, "%s", id);
  snprintf(mode.name, sizeof mode.name, "%s", name);
  snprintf(mode.source, sizeof mode.source, "%s", source);
  es_mode *place = place_for(modes, id);
  if (place != NULL)
    *place = mode;
  else
    es_fault_add(faults, path, line, "out of memory");
}

static bool read_table(const char *path, const es_text_table *t, es_modes *modes, es_faults *faults) {
  size_t before = faults->n_faults;
  columns at = {es_text_table_column(t, "id"), es_text_table_column(t, "name"), es_text_table_column(t, "snr_2500_db"),
                es_text_table_column(t, "source")};
  if (at.id == SIZE_MAX || at.snr == SIZE_MAX)
    es_fault_add(faults, path, 1, "header: want the columns id and snr_2500_db (dB in 2500 Hz)");
  else
    for (size_t r = 0; r < es_text_table_rows(t); r++) read_row(path, t, r, &at, modes, faults);
  return faults->n_faults == before;
}

bool es_modes_builtin(es_modes *out, es_faults *faults) {
  static const char name[] = "modes.csv (built in)";
  es_error err = {0};
  *out = (es_modes){0};
  es_text_table *t = es_text_table_parse(name, es_modes_csv, strlen(es_modes_csv), &err);
  if (t == NULL) {
    es_fault_add(faults, NULL, 0, "%s", err.detail);
    return false;
  }
  bool ok = read_table(name, t, out, faults);
  es_text_table_close(t);
  return ok;
}

bool es_modes_read(const char *path, es_modes *modes, es_faults *faults) {
  es_error err = {0};
  es_text_table *t = es_text_table_open(path, &err);
  if (t == NULL) {
    es_fault_add(faults, NULL, 0, "%s", err.detail);
    return false;
  }
  bool ok = read_table(path, t, modes, faults);
  es_text_table_close(t);
  return ok;
}

void es_modes_free(es_modes *modes) {
  free(modes->items);
  *modes = (es_modes){0};
}
