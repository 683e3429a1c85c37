/* mode.c - reads tables of modes: CSV with id and a threshold; if wanted name, spread_db, bin_hz and source. The
 * threshold is one of snr_2500_db; cn0_dbhz; snr_db with bandwidth_hz. The built-in table is modes.csv.
 *
 * Source of the conversions: C/N0 = SNR + 10 log10(bandwidth), by definition. */
#include "station/mode.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

extern const char es_modes_csv[]; /* modes.csv, put into the library by the build */

static const double LOWEST_SNR_DB = -60.0, HIGHEST_SNR_DB = 60.0;

static const double REFERENCE_HZ = 2500.0;
static const double HIGHEST_CN0_DBHZ = 100.0, WIDEST_HZ = 1e6, WIDEST_SPREAD_DB = 20.0;

typedef struct columns {
  size_t id, name, snr, source, spread, bin, cn0, any, bandwidth;
} columns;

double es_mode_needed_db(const es_mode *mode, double width_hz) {
  bool wider = mode->bin_hz > 0.0 && width_hz > mode->bin_hz;
  return mode->snr_2500_db + (wider ? 10.0 * log10(width_hz / mode->bin_hz) : 0.0);
}

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

/* A number of the row; NaN without column or text. */
static bool optional(const es_text_table *t, size_t row, size_t column, double min, double max, double *out,
                     es_faults *faults) {
  *out = NAN;
  return column == SIZE_MAX || es_text_table_number(t, row, column, min, max, out, faults);
}

/* The threshold in one of its three forms, as SNR in 2500 Hz; false and a fault for none or more than one. */
static bool read_threshold(const char *path, const es_text_table *t, size_t row, const columns *at, double *snr_db,
                           es_faults *faults) {
  double own, cn0, any, bandwidth;
  bool ok = optional(t, row, at->snr, LOWEST_SNR_DB, HIGHEST_SNR_DB, &own, faults);
  ok = optional(t, row, at->cn0, LOWEST_SNR_DB, HIGHEST_CN0_DBHZ, &cn0, faults) && ok;
  ok = optional(t, row, at->any, LOWEST_SNR_DB, HIGHEST_SNR_DB, &any, faults) && ok;
  ok = optional(t, row, at->bandwidth, 0.001, WIDEST_HZ, &bandwidth, faults) && ok;
  if (!ok) return false;
  int given = !isnan(own) + !isnan(cn0) + !isnan(any);
  if (given != 1 || isnan(any) != isnan(bandwidth)) {
    es_fault_add(faults, path, es_text_table_line(t, row),
                 "%s: want one threshold: snr_2500_db, or cn0_dbhz, or snr_db with bandwidth_hz",
                 given == 0 ? (at->cn0 == SIZE_MAX && at->any == SIZE_MAX ? "snr_2500_db is empty" : "no threshold")
                            : "more than one threshold, or a bandwidth alone");
    return false;
  }
  if (!isnan(own)) *snr_db = own;
  if (!isnan(cn0)) *snr_db = cn0 - 10.0 * log10(REFERENCE_HZ);
  if (!isnan(any)) *snr_db = any + 10.0 * log10(bandwidth / REFERENCE_HZ);
  return true;
}

static void read_row(const char *path, const es_text_table *t, size_t row, const columns *at, es_modes *modes,
                     es_faults *faults) {
  es_mode mode = {.snr_2500_db = NAN};
  long line = es_text_table_line(t, row);
  const char *id = es_text_table_cell(t, row, at->id), *name = cell_or(t, row, at->name, id);
  const char *source = cell_or(t, row, at->source, "");
  bool ok = read_threshold(path, t, row, at, &mode.snr_2500_db, faults);
  ok = optional(t, row, at->spread, 0.0, WIDEST_SPREAD_DB, &mode.spread_db, faults) && ok;
  ok = optional(t, row, at->bin, 0.0, WIDEST_HZ, &mode.bin_hz, faults) && ok;
  if (isnan(mode.spread_db)) mode.spread_db = 0.0;
  if (isnan(mode.bin_hz)) mode.bin_hz = 0.0;
  if (id[0] == '\0') es_fault_add(faults, path, line, "id is empty: want the name of a mode");
  ok = fits(path, line, "id", id, sizeof mode.id, faults) && ok;
  ok = fits(path, line, "name", name, sizeof mode.name, faults) && ok;
  ok = fits(path, line, "source", source, sizeof mode.source, faults) && ok;
  if (!ok || id[0] == '\0') return;
  snprintf(mode.id, sizeof mode.id, "%s", id);
  snprintf(mode.name, sizeof mode.name, "%s", name);
  snprintf(mode.source, sizeof mode.source, "%s", source);
  es_mode *place = place_for(modes, id);
  if (place != NULL)
    *place = mode;
  else
    es_fault_memory(faults, path);
}

static bool read_table(const char *path, const es_text_table *t, es_modes *modes, es_faults *faults) {
  size_t before = faults->n_faults;
  columns at = {.id = es_text_table_column(t, "id"),
                .name = es_text_table_column(t, "name"),
                .snr = es_text_table_column(t, "snr_2500_db"),
                .source = es_text_table_column(t, "source"),
                .spread = es_text_table_column(t, "spread_db"),
                .bin = es_text_table_column(t, "bin_hz"),
                .cn0 = es_text_table_column(t, "cn0_dbhz"),
                .any = es_text_table_column(t, "snr_db"),
                .bandwidth = es_text_table_column(t, "bandwidth_hz")};
  if (at.id == SIZE_MAX || (at.snr == SIZE_MAX && at.cn0 == SIZE_MAX && at.any == SIZE_MAX))
    es_fault_add(faults, path, 1,
                 "header: want the columns id and snr_2500_db (dB in 2500 Hz), cn0_dbhz, or snr_db with bandwidth_hz");
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
    es_fault_error(faults, NULL, &err);
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
    es_fault_error(faults, NULL, &err);
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
