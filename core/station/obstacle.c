#include "station/obstacle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "earshot/model.h"
#include "ground/cover_table.h"

static bool set_kind(const char *file, es_obstacle *o, const char *kind, const char *leaf, es_faults *faults) {
  bool tree = kind[0] == '\0' || strcmp(kind, "tree") == 0;
  if (!tree && strcmp(kind, "building") != 0 && strcmp(kind, "ridge") != 0) {
    es_fault_add(faults, file, o->line, "kind=%s: want tree, building or ridge", kind);
    return false;
  }
  int word = leaf[0] == '\0' ? ES_MIXED_LEAF : es_leaf_of_word(leaf);
  if (word < ES_BROADLEAF || word > ES_MIXED_LEAF) {
    es_fault_add(faults, file, o->line, "leaf=%s: want broadleaf, conifer or mixed", leaf);
    return false;
  }
  o->leaf = (uint8_t)(tree ? word : ES_OPAQUE);
  if (!tree) o->density = 1.0;
  return true;
}

bool es_obstacle_add(es_obstacles *list, const char *file, es_obstacle item, const char *kind, const char *leaf,
                     es_faults *faults) {
  bool ok = set_kind(file, &item, kind, leaf, faults);
  if (item.base_m > item.top_m) {
    es_fault_add(faults, file, item.line, "base_m=%g is above top_m=%g", item.base_m, item.top_m);
    ok = false;
  }
  es_obstacle *items = ok && item.station != NULL ? realloc(list->items, (list->n + 1) * sizeof *items) : NULL;
  if (items == NULL) {
    if (ok) es_fault_memory(faults, file);
    free(item.station);
    return false;
  }
  list->items = items;
  list->items[list->n++] = item;
  return true;
}

typedef struct column {
  const char *name;
  double min, max, absent; /* absent NaN: it must be there */
  size_t offset;
} column;

#define COLUMN(field, min, max, absent)                                                                                \
  { #field, min, max, absent, offsetof(es_obstacle, field) }
static const column columns[] = {COLUMN(azimuth_from_deg, -360, 720, NAN),
                                 COLUMN(azimuth_to_deg, -360, 720, NAN),
                                 COLUMN(distance_m, 0, 50000, NAN),
                                 COLUMN(depth_m, 0.1, 50000, NAN),
                                 COLUMN(top_m, 0, 1000, NAN),
                                 COLUMN(base_m, 0, 1000, 0),
                                 COLUMN(density, 0, 1, 1)};
enum { COLUMNS = sizeof columns / sizeof *columns };

static const char *cell(const es_text_table *t, size_t row, const char *name) {
  size_t c = es_text_table_column(t, name);
  return c != SIZE_MAX ? es_text_table_cell(t, row, c) : "";
}

static bool read_numbers(const char *path, const es_text_table *t, size_t row, es_obstacle *o, es_faults *faults) {
  bool ok = true;
  for (int i = 0; i < COLUMNS; i++) {
    double *value = (double *)(void *)((char *)o + columns[i].offset);
    size_t c = es_text_table_column(t, columns[i].name);
    *value = NAN;
    if (c != SIZE_MAX && !es_text_table_number(t, row, c, columns[i].min, columns[i].max, value, faults))
      ok = false;
    else if (isnan(*value) && isnan(columns[i].absent)) {
      es_fault_add(faults, path, o->line, "%s is empty: want %g to %g", columns[i].name, columns[i].min,
                   columns[i].max);
      ok = false;
    } else if (isnan(*value))
      *value = columns[i].absent;
  }
  return ok;
}

static void read_row(const char *path, const es_text_table *t, size_t row, es_obstacles *out, es_faults *faults) {
  es_obstacle o = {.line = es_text_table_line(t, row)};
  const char *station = cell(t, row, "station");
  bool ok = read_numbers(path, t, row, &o, faults);
  if (station[0] == '\0') es_fault_add(faults, path, o.line, "station is empty: want beacon or a listener's name");
  if (!ok || station[0] == '\0') return;
  o.station = strdup(station);
  es_obstacle_add(out, path, o, cell(t, row, "kind"), cell(t, row, "leaf"), faults);
}

static bool has_columns(const char *path, const es_text_table *t, es_faults *faults) {
  bool ok = es_text_table_column(t, "station") != SIZE_MAX;
  for (int i = 0; i < COLUMNS; i++)
    ok &= !isnan(columns[i].absent) || es_text_table_column(t, columns[i].name) != SIZE_MAX;
  if (!ok)
    es_fault_add(faults, path, 1,
                 "header: want the columns station, azimuth_from_deg, azimuth_to_deg, distance_m, depth_m and top_m");
  return ok;
}

bool es_obstacles_read(const char *path, es_obstacles *out, es_faults *faults) {
  size_t before = faults->n_faults;
  es_error err = {0};
  es_text_table *t = es_text_table_open(path, &err);
  if (t == NULL) {
    es_fault_error(faults, NULL, &err);
    return false;
  }
  if (has_columns(path, t, faults))
    for (size_t row = 0; row < es_text_table_rows(t); row++) read_row(path, t, row, out, faults);
  es_text_table_close(t);
  return faults->n_faults == before;
}

void es_obstacles_free(es_obstacles *list) {
  for (size_t i = 0; i < list->n; i++) free(list->items[i].station);
  free(list->items);
  *list = (es_obstacles){0};
}

static double turn(double deg) {
  double t = fmod(deg, 360.0);
  return t < 0.0 ? t + 360.0 : t;
}

bool es_obstacle_crossed(const es_obstacle *o, double bearing_deg) {
  if (fabs(o->azimuth_to_deg - o->azimuth_from_deg) >= 360.0) return true;
  return turn(bearing_deg - o->azimuth_from_deg) <= turn(o->azimuth_to_deg - o->azimuth_from_deg);
}
