#include "ground/zone.h"

#include <math.h>
#include <stdlib.h>

#include "earshot/model.h" /* ES_ZONE_... */

static const double CELL_M = 250.0;
static const double SMALLEST_SEA_M2 = 4e6;

void es_zones_plan(es_zones *zones, es_window window, double along_row_m, double along_col_m) {
  *zones = (es_zones){.col = window.col, .row = window.row};
  zones->across = along_row_m >= CELL_M ? 1 : (int)ceil(CELL_M / along_row_m);
  zones->down = along_col_m >= CELL_M ? 1 : (int)ceil(CELL_M / along_col_m);
  zones->cols = (window.cols + zones->across - 1) / zones->across;
  zones->rows = (window.rows + zones->down - 1) / zones->down;
}

static size_t count(const es_zones *zones) { return (size_t)zones->cols * (size_t)zones->rows; }

bool es_zones_start(es_zones *zones) {
  zones->zone = malloc(count(zones));
  zones->tally = calloc(count(zones), sizeof *zones->tally);
  return zones->zone != NULL && zones->tally != NULL;
}

/* n pixels of one cell. */
static void add_to_cell(es_zone_tally *t, size_t n, const float *height_m, const uint8_t *pixel) {
  es_zone_tally sum = *t;
  for (size_t i = 0; i < n; i++) {
    bool high = pixel[i] == ES_PIXEL_LAND && height_m[i] == height_m[i];
    sum.known += pixel[i] != ES_PIXEL_UNKNOWN;
    sum.sea += pixel[i] == ES_PIXEL_SEA;
    sum.heights += high;
    sum.height_sum += high ? height_m[i] : 0.0f;
  }
  *t = sum;
}

void es_zones_add(es_zones *zones, long col, long row, size_t n, const float *height_m, const uint8_t *pixel) {
  size_t across = (size_t)zones->across, first = (size_t)(col - zones->col), end = first + n;
  es_zone_tally *tally = zones->tally + (size_t)((row - zones->row) / zones->down) * (size_t)zones->cols;
  for (size_t from = first, to; from < end; from = to) {
    to = (from / across + 1) * across;
    to = to < end ? to : end;
    add_to_cell(&tally[from / across], to - from, height_m + (from - first), pixel + (from - first));
  }
}

void es_zones_fini(es_zones *zones) {
  free(zones->zone);
  free(zones->tally);
  *zones = (es_zones){0};
}

es_byte_cells es_zones_cells(const es_zones *zones, long col, long row) {
  return (es_byte_cells){.value = zones->zone,
                         .col = (double)(zones->col - col),
                         .row = (double)(zones->row - row),
                         .across = zones->across,
                         .down = zones->down,
                         .cols = zones->cols,
                         .rows = zones->rows,
                         .outside = ES_ZONE_INLAND};
}

uint8_t es_zones_at(const es_zones *zones, double col, double row) {
  if (zones->zone == NULL) return ES_ZONE_INLAND;
  es_byte_cells cells = es_zones_cells(zones, 0, 0);
  uint8_t zone;
  es_sampling_best()->bytes(&cells, &col, &row, 1, &zone);
  return zone;
}

/* --- work over all cells ------------------------------------------------------------------------------------------ */

enum { UNKNOWN = 0 }; /* while working: neither sea nor land */

/* What the passes share. */
typedef struct work {
  es_zones *zones;
  size_t *queue;
  double *width_m, *along_m; /* of a row's cells; from the first row to each row's middle */
  float *coast_m;            /* distance to the sea */
} work;

static bool work_init(work *w, es_zones *zones, const es_lattice *lattice) {
  size_t rows = (size_t)zones->rows;
  *w = (work){.zones = zones,
              .queue = malloc(count(zones) * sizeof *w->queue),
              .width_m = malloc(rows * sizeof *w->width_m),
              .along_m = malloc(rows * sizeof *w->along_m),
              .coast_m = malloc(count(zones) * sizeof *w->coast_m)};
  if (w->queue == NULL || w->width_m == NULL || w->along_m == NULL || w->coast_m == NULL) return false;
  double middle = (double)zones->col + 0.5 * zones->cols * zones->across, at_m = 0.0, height_m = 0.0;
  for (size_t r = 0; r < rows; r++) {
    double pixel_w_m, pixel_h_m;
    es_lattice_pixel_size(lattice, middle, (double)zones->row + ((double)r + 0.5) * zones->down, &pixel_w_m,
                          &pixel_h_m);
    w->width_m[r] = pixel_w_m * zones->across;
    at_m += 0.5 * (height_m + pixel_h_m * zones->down);
    height_m = pixel_h_m * zones->down;
    if (r == 0) at_m = 0.0;
    w->along_m[r] = at_m;
  }
  return true;
}

size_t es_zones_work_bytes(const es_zones *zones) {
  const work *w = NULL;
  return count(zones) * (sizeof *zones->tally + sizeof *w->queue + sizeof *w->coast_m);
}

static void work_fini(work *w) {
  free(w->queue);
  free(w->width_m);
  free(w->along_m);
  free(w->coast_m);
}

static void tell_sea_from_land(es_zones *zones) {
  for (size_t i = 0; i < count(zones); i++) {
    const es_zone_tally *t = &zones->tally[i];
    zones->zone[i] = t->known == 0 ? UNKNOWN : 2 * t->sea >= t->known ? ES_ZONE_SEA : ES_ZONE_INLAND;
  }
}

/* Puts into the queue all neighbours (8) of cell i for which `wanted` holds and marks them; returns the new end. */
typedef bool neighbour_test(const work *w, size_t i, double limit);
static size_t spread(work *w, size_t i, size_t end, neighbour_test *wanted, double limit, uint8_t mark) {
  const es_zones *z = w->zones;
  long col = (long)(i % (size_t)z->cols), row = (long)(i / (size_t)z->cols);
  for (long r = row - 1; r <= row + 1; r++)
    for (long c = col - 1; c <= col + 1; c++) {
      if (r < 0 || c < 0 || r >= z->rows || c >= z->cols) continue;
      size_t k = (size_t)r * (size_t)z->cols + (size_t)c;
      if (!wanted(w, k, limit)) continue;
      z->zone[k] = mark;
      w->queue[end++] = k;
    }
  return end;
}

static bool is_sea(const work *w, size_t i, double limit) {
  (void)limit;
  return w->zones->zone[i] == ES_ZONE_SEA;
}

static double cell_area_m2(const work *w, size_t i) {
  size_t r = i / (size_t)w->zones->cols, last = (size_t)w->zones->rows - 1;
  size_t above = r > 0 ? r - 1 : r, below = r < last ? r + 1 : r;
  if (above == below) return w->width_m[r] * w->width_m[r]; /* a single row */
  return w->width_m[r] * (w->along_m[below] - w->along_m[above]) / (double)(below - above);
}

/* Ponds and low ground at or below 0 m are no sea. */
static void drop_small_seas(work *w) {
  enum { KEPT = 255 };
  es_zones *z = w->zones;
  for (size_t i = 0; i < count(z); i++) {
    if (z->zone[i] != ES_ZONE_SEA) continue;
    size_t begin = 0, end = 1;
    double area_m2 = 0.0;
    w->queue[0] = i;
    z->zone[i] = KEPT;
    for (; begin < end; begin++) {
      area_m2 += cell_area_m2(w, w->queue[begin]);
      end = spread(w, w->queue[begin], end, is_sea, 0.0, KEPT);
    }
    if (area_m2 >= SMALLEST_SEA_M2) continue;
    for (size_t k = 0; k < end; k++) z->zone[w->queue[k]] = ES_ZONE_INLAND;
  }
  for (size_t i = 0; i < count(z); i++)
    if (z->zone[i] == KEPT) z->zone[i] = ES_ZONE_SEA;
}

/* --- distance to the sea ------------------------------------------------------------------------------------------ */

/* First pass: along each row, in its own metres. */
static void distance_along_rows(work *w) {
  const es_zones *z = w->zones;
  for (int r = 0; r < z->rows; r++) {
    float *out = w->coast_m + (size_t)r * (size_t)z->cols, step = (float)w->width_m[r];
    const uint8_t *zone = z->zone + (size_t)r * (size_t)z->cols;
    float since = INFINITY;
    for (int c = 0; c < z->cols; c++) out[c] = since = zone[c] == ES_ZONE_SEA ? 0.0f : since + step;
    since = INFINITY;
    for (int c = z->cols - 1; c >= 0; c--) {
      since = zone[c] == ES_ZONE_SEA ? 0.0f : since + step;
      out[c] = fminf(out[c], since);
    }
  }
}

/* Second pass: down one column the squared distance is the lower envelope of parabolas, one from each row with sea.
 * Source: Felzenszwalb and Huttenlocher, Distance transforms of sampled functions, Theory of Computing 8 (2012). */
static void distance_down_column(work *w, int col, int *rows, double *from_m) {
  const es_zones *z = w->zones;
  const double *y = w->along_m;
  size_t stride = (size_t)z->cols;
  float *out = w->coast_m + col;
  int n = 0;
  for (int r = 0; r < z->rows; r++) {
    double f = out[(size_t)r * stride], meet = -INFINITY;
    if (isinf(f)) continue;
    for (; n > 0; n--) {
      int q = rows[n - 1];
      double g = out[(size_t)q * stride];
      meet = 0.5 * ((f * f - g * g) / (y[r] - y[q]) + y[r] + y[q]);
      if (meet > from_m[n - 1]) break;
      meet = -INFINITY;
    }
    rows[n] = r;
    from_m[n++] = meet;
  }
  if (n == 0) return;
  double *reached = from_m + z->rows; /* kept apart: `out` is still read */
  for (int r = 0, k = 0; r < z->rows; r++) {
    while (k + 1 < n && from_m[k + 1] <= y[r]) k++;
    reached[r] = hypot(out[(size_t)rows[k] * stride], y[r] - y[rows[k]]);
  }
  for (int r = 0; r < z->rows; r++) out[(size_t)r * stride] = (float)reached[r];
}

static bool distance_to_sea(work *w) {
  const es_zones *z = w->zones;
  distance_along_rows(w);
  int *rows = malloc((size_t)z->rows * sizeof *rows);
  double *from_m = malloc(2 * (size_t)z->rows * sizeof *from_m);
  bool ok = rows != NULL && from_m != NULL;
  for (int c = 0; ok && c < z->cols; c++) distance_down_column(w, c, rows, from_m);
  free(rows);
  free(from_m);
  return ok;
}

/* --- coastal land ------------------------------------------------------------------------------------------------- */

/* Inland so far, near enough (coast_m was set to infinity where it is not) and low enough. */
static bool may_be_coast(const work *w, size_t i, double height_limit_m) {
  const es_zone_tally *t = &w->zones->tally[i];
  return w->zones->zone[i] == ES_ZONE_INLAND && isfinite(w->coast_m[i]) && t->heights > 0 &&
         t->height_sum / (float)t->heights < height_limit_m;
}

/* From the sea's edge over low land, cell by cell. */
static void flood_coast(work *w, double coast_m, double coast_height_m) {
  es_zones *z = w->zones;
  size_t end = 0;
  for (size_t i = 0; i < count(z); i++)
    if (w->coast_m[i] > coast_m) w->coast_m[i] = INFINITY;
  for (size_t i = 0; i < count(z); i++)
    if (z->zone[i] == ES_ZONE_SEA) end = spread(w, i, end, may_be_coast, coast_height_m, ES_ZONE_COAST);
  for (size_t begin = 0; begin < end; begin++)
    end = spread(w, w->queue[begin], end, may_be_coast, coast_height_m, ES_ZONE_COAST);
}

/* Neither sea nor coast anywhere: nothing is worth holding. */
static void let_go_inland(es_zones *zones) {
  for (size_t i = 0; i < count(zones); i++)
    if (zones->zone[i] != ES_ZONE_INLAND) return;
  free(zones->zone);
  zones->zone = NULL;
}

bool es_zones_finish(es_zones *zones, const es_lattice *lattice, double coast_m, double coast_height_m,
                     bool by_height) {
  work w;
  bool ok = work_init(&w, zones, lattice);
  if (ok) {
    tell_sea_from_land(zones);
    if (by_height) drop_small_seas(&w);
    ok = distance_to_sea(&w);
  }
  if (ok) flood_coast(&w, coast_m, coast_height_m);
  for (size_t i = 0; ok && i < count(zones); i++)
    if (zones->zone[i] == UNKNOWN) zones->zone[i] = ES_ZONE_INLAND;
  if (ok) let_go_inland(zones);
  work_fini(&w);
  free(zones->tally);
  zones->tally = NULL;
  return ok;
}
