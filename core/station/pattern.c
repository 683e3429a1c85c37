/* pattern.c - reads the table of a measured antenna: CSV with angle_deg, gain_db or gain_dbi, and cut.
 *
 * cut is azimuth or elevation; without that column all rows are of the azimuth cut. gain_db is relative to the
 * peak, so the largest value of a cut is 0; gain_dbi is the gain itself, and the largest of all becomes the peak.
 * Azimuth angles go once round in steps of at most 30 degrees; elevation angles lie within -90..90 and the ends
 * hold beyond the last. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "station/antenna.h"

static const double WIDEST_STEP_DEG = 30.0, PEAK_SLACK_DB = 1.0, SAME_DB = 0.05;

typedef struct point {
  double angle_deg, gain;
  long line;
} point;

typedef struct points {
  point *items;
  size_t n;
} points;

typedef struct pattern {
  const char *path;
  const es_text_table *table;
  size_t angle, gain, cut; /* columns */
  bool in_dbi;
  points az, el;
  es_faults *faults;
} pattern;

static int by_angle(const void *a, const void *b) {
  double left = ((const point *)a)->angle_deg, right = ((const point *)b)->angle_deg;
  return (left > right) - (left < right);
}

static bool find_columns(pattern *p) {
  p->angle = es_text_table_column(p->table, "angle_deg");
  p->cut = es_text_table_column(p->table, "cut");
  size_t relative = es_text_table_column(p->table, "gain_db"), dbi = es_text_table_column(p->table, "gain_dbi");
  p->in_dbi = dbi != SIZE_MAX;
  p->gain = p->in_dbi ? dbi : relative;
  if (p->angle == SIZE_MAX || (relative == SIZE_MAX) == (dbi == SIZE_MAX)) {
    es_fault_add(p->faults, p->path, 1, "header: want the columns angle_deg and either gain_db or gain_dbi");
    return false;
  }
  return true;
}

/* The cut a row belongs to; NULL and a fault when it names none. */
static points *cut_of_row(pattern *p, size_t row) {
  const char *name = p->cut == SIZE_MAX ? "azimuth" : es_text_table_cell(p->table, row, p->cut);
  if (strcmp(name, "azimuth") == 0) return &p->az;
  if (strcmp(name, "elevation") == 0) return &p->el;
  es_fault_add(p->faults, p->path, es_text_table_line(p->table, row), "cut=%s: want azimuth or elevation", name);
  return NULL;
}

static void read_row(pattern *p, size_t row) {
  long line = es_text_table_line(p->table, row);
  points *cut = cut_of_row(p, row);
  if (cut == NULL) return;
  double limit = cut == &p->el ? 90.0 : 360.0, angle, gain;
  bool ok = es_text_table_number(p->table, row, p->angle, -limit, limit, &angle, p->faults);
  ok = es_text_table_number(p->table, row, p->gain, -100.0, p->in_dbi ? 80.0 : 0.0, &gain, p->faults) && ok;
  if (!ok) return;
  if (isnan(angle) || isnan(gain))
    es_fault_add(p->faults, p->path, line, "an empty cell: want an angle in degrees and a gain in dB");
  else
    cut->items[cut->n++] = (point){angle, gain, line};
}

static double largest(const points *cut) {
  double peak = -INFINITY;
  for (size_t i = 0; i < cut->n; i++) peak = fmax(peak, cut->items[i].gain);
  return peak;
}

static void check_order(pattern *p, points *cut, const char *name) {
  qsort(cut->items, cut->n, sizeof *cut->items, by_angle);
  for (size_t i = 1; i < cut->n; i++)
    if (!(cut->items[i].angle_deg > cut->items[i - 1].angle_deg))
      es_fault_add(p->faults, p->path, cut->items[i].line, "angle_deg=%g: repeated in the %s cut, want it once",
                   cut->items[i].angle_deg, name);
  if (cut->n == 1)
    es_fault_add(p->faults, p->path, cut->items[0].line, "the %s cut has one row: want at least 2", name);
}

static void check_circle(pattern *p) {
  const points *cut = &p->az;
  if (cut->n < 2) return;
  double span = cut->items[cut->n - 1].angle_deg - cut->items[0].angle_deg, widest = 360.0 - span;
  long line = cut->items[0].line;
  if (span > 360.0)
    es_fault_add(p->faults, p->path, line, "the azimuth cut spans %g degrees: want one turn, 360 at most", span);
  for (size_t i = 1; i < cut->n; i++) {
    double step = cut->items[i].angle_deg - cut->items[i - 1].angle_deg;
    if (step > widest) line = cut->items[i].line;
    widest = fmax(widest, step);
  }
  if (span == 360.0 && fabs(cut->items[0].gain - cut->items[cut->n - 1].gain) > SAME_DB)
    es_fault_add(p->faults, p->path, cut->items[cut->n - 1].line,
                 "angle_deg=%g and %g are one direction: want the same gain at both, or one of them",
                 cut->items[0].angle_deg, cut->items[cut->n - 1].angle_deg);
  if (widest > WIDEST_STEP_DEG)
    es_fault_add(p->faults, p->path, line,
                 "the azimuth cut has a gap of %g degrees: want all round in steps of %g at most", widest,
                 WIDEST_STEP_DEG);
}

static void check_peak(pattern *p, const points *cut, const char *name) {
  if (cut->n > 0 && !p->in_dbi && largest(cut) < -PEAK_SLACK_DB)
    es_fault_add(p->faults, p->path, cut->items[0].line,
                 "the largest gain_db of the %s cut is %g: want 0, as gains are relative to the peak", name,
                 largest(cut));
}

static bool fill_cut(const points *from, bool in_dbi, es_cut *to) {
  if (from->n == 0) return true;
  to->angle = malloc(from->n * sizeof *to->angle);
  to->rel_db = malloc(from->n * sizeof *to->rel_db);
  if (to->angle == NULL || to->rel_db == NULL) return false;
  double peak = in_dbi ? largest(from) : 0.0;
  to->n = from->n;
  for (size_t i = 0; i < from->n; i++) {
    to->angle[i] = es_rad(from->items[i].angle_deg);
    to->rel_db[i] = from->items[i].gain - peak;
  }
  return true;
}

static void check(pattern *p) {
  if (p->az.n + p->el.n == 0) es_fault_add(p->faults, p->path, 1, "no usable row: want a pattern cut");
  check_order(p, &p->az, "azimuth");
  check_order(p, &p->el, "elevation");
  check_circle(p);
  check_peak(p, &p->az, "azimuth");
  check_peak(p, &p->el, "elevation");
}

static void fill(pattern *p, es_antenna *out) {
  *out = (es_antenna){.shape = ES_SHAPE_TABLE, .peak_dbi = NAN};
  if (p->in_dbi) out->peak_dbi = fmax(largest(&p->az), largest(&p->el));
  if (!fill_cut(&p->az, p->in_dbi, &out->az) || !fill_cut(&p->el, p->in_dbi, &out->el)) {
    es_fault_memory(p->faults, p->path);
    es_antenna_fini(out);
  }
}

bool es_pattern_read(const char *path, es_antenna *out, es_faults *faults) {
  es_error err = {0};
  size_t before = faults->n_faults;
  *out = (es_antenna){0};
  es_text_table *table = es_text_table_open(path, &err);
  if (table == NULL) {
    es_fault_error(faults, NULL, &err);
    return false;
  }
  size_t rows = es_text_table_rows(table);
  pattern p = {.path = path, .table = table, .faults = faults};
  p.az.items = calloc(rows + 1, sizeof *p.az.items);
  p.el.items = calloc(rows + 1, sizeof *p.el.items);
  if (p.az.items == NULL || p.el.items == NULL)
    es_fault_memory(faults, path);
  else if (find_columns(&p)) {
    for (size_t r = 0; r < rows; r++) read_row(&p, r);
    check(&p);
    if (faults->n_faults == before) fill(&p, out);
  }
  free(p.az.items);
  free(p.el.items);
  es_text_table_close(table);
  return faults->n_faults == before;
}
