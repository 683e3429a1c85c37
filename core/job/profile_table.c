#include "job/profile_table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "earshot/model.h"

enum { TOLD_ROWS = 20 };

static const double LONGEST_KM = 20100.0;                    /* half way round the Earth */
static const double LOWEST_M = -12000.0, HIGHEST_M = 9000.0; /* sea floor to summit */
static const double TALLEST_COVER_M = 500.0;

typedef struct source {
  const char *path;
  const es_text_table *table;
  size_t dist, ground, cover, zone; /* columns; SIZE_MAX: none */
  bool zone_in_words;
  es_faults *faults;
} source;

static bool find_columns(source *s) {
  s->dist = es_text_table_column(s->table, "d_km");
  s->ground = es_text_table_column(s->table, "h_m");
  s->cover = es_text_table_column(s->table, "cover_m");
  s->zone = es_text_table_column(s->table, "zone_p2001");
  if (s->zone == SIZE_MAX) {
    s->zone = es_text_table_column(s->table, "zone");
    s->zone_in_words = true;
  }
  if (s->dist != SIZE_MAX && s->ground != SIZE_MAX) return true;
  es_fault_add(s->faults, s->path, 1, "header: want the columns d_km and h_m");
  return false;
}

static bool number(const source *s, size_t row, size_t column, double min, double max, double *out) {
  if (!es_text_table_number(s->table, row, column, min, max, out, s->faults)) return false;
  if (!isnan(*out)) return true;
  es_fault_add(s->faults, s->path, es_text_table_line(s->table, row), "%s is empty: want a number from %g to %g",
               es_text_table_header(s->table, column), min, max);
  return false;
}

static bool zone(const source *s, size_t row, uint8_t *out) {
  static const struct {
    const char *number, *word;
    uint8_t zone;
  } zones[] = {{"1", "sea", ES_ZONE_SEA}, {"3", "coastal", ES_ZONE_COAST}, {"4", "inland", ES_ZONE_INLAND}};
  const char *text = es_text_table_cell(s->table, row, s->zone);
  for (size_t i = 0; i < 3; i++)
    if (strcmp(text, s->zone_in_words ? zones[i].word : zones[i].number) == 0) {
      *out = zones[i].zone;
      return true;
    }
  es_fault_add(s->faults, s->path, es_text_table_line(s->table, row), "%s=%s: want %s",
               es_text_table_header(s->table, s->zone), text,
               s->zone_in_words ? "sea, coastal or inland" : "1 (sea), 3 (coastal) or 4 (inland)");
  return false;
}

static bool read_row(const source *s, size_t row, es_profile_table *out) {
  bool ok = number(s, row, s->dist, 0.0, LONGEST_KM, &out->dist_km[row]);
  ok = number(s, row, s->ground, LOWEST_M, HIGHEST_M, &out->ground_m[row]) && ok;
  if (s->cover != SIZE_MAX) ok = number(s, row, s->cover, 0.0, TALLEST_COVER_M, &out->cover_m[row]) && ok;
  out->zone[row] = ES_ZONE_INLAND;
  if (s->zone != SIZE_MAX) ok = zone(s, row, &out->zone[row]) && ok;
  return ok;
}

/* The first distance is 0, and each is longer than the one before. */
static bool in_order(const source *s, size_t row, const es_profile_table *out) {
  double d = out->dist_km[row];
  bool ok = row == 0 ? d == 0.0 : !(d <= out->dist_km[row - 1]); /* a faulty neighbour was told already */
  if (ok || isnan(d)) return true;
  long line = es_text_table_line(s->table, row);
  if (row == 0)
    es_fault_add(s->faults, s->path, line, "d_km=%g: want 0 in the first row", d);
  else
    es_fault_add(s->faults, s->path, line, "d_km=%g: want more than %g, the distance before", d, out->dist_km[row - 1]);
  return false;
}

static bool make_room(const source *s, size_t rows, es_profile_table *out) {
  out->dist_km = calloc(rows + 1, sizeof *out->dist_km);
  out->ground_m = calloc(rows + 1, sizeof *out->ground_m);
  out->zone = calloc(rows + 1, sizeof *out->zone);
  if (s->cover != SIZE_MAX) out->cover_m = calloc(rows + 1, sizeof *out->cover_m);
  bool ok = out->dist_km != NULL && out->ground_m != NULL && out->zone != NULL &&
            (s->cover == SIZE_MAX || out->cover_m != NULL);
  if (!ok) es_fault_memory(s->faults, s->path);
  return ok;
}

static void read_rows(const source *s, es_profile_table *out) {
  size_t rows = es_text_table_rows(s->table), bad = 0;
  for (size_t r = 0; r < rows; r++) {
    bool ok = read_row(s, r, out);
    ok = in_order(s, r, out) && ok;
    if (!ok && ++bad == TOLD_ROWS && r + 1 < rows) {
      es_fault_add(s->faults, s->path, 0, "%d faulty rows so far: the rest was not read", TOLD_ROWS);
      return;
    }
  }
  if (rows < 2) es_fault_add(s->faults, s->path, 1, "%zu rows: want at least 2 points", rows);
  out->n = rows;
}

bool es_profile_table_read(const char *path, es_profile_table *out, es_faults *faults) {
  size_t before = faults->n_faults;
  es_error err = {0};
  *out = (es_profile_table){0};
  es_text_table *table = es_text_table_open(path, &err);
  if (table == NULL) {
    es_fault_error(faults, NULL, &err);
    return false;
  }
  source s = {.path = path, .table = table, .faults = faults};
  if (find_columns(&s) && make_room(&s, es_text_table_rows(table), out)) read_rows(&s, out);
  es_text_table_close(table);
  return faults->n_faults == before;
}

void es_profile_table_free(es_profile_table *t) {
  free(t->dist_km);
  free(t->ground_m);
  free(t->cover_m);
  free(t->zone);
  *t = (es_profile_table){0};
}
