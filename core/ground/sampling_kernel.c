/* sampling_kernel.c - see sampling.h. Plain loops of selects: a position outside is moved inside and its value not taken. */
#include <math.h>

#include "ground/sampling.h"

#ifndef ES_SAMPLING
#define ES_SAMPLING es_sampling_portable
#endif

/* NaN becomes 0. */
static inline double within(double x, double last) {
  x = x > 0.0 ? x : 0.0;
  return x < last ? x : last;
}

/* All positions are between pixel centres, of n_pixels of them: there all neighbours are. NaN is not. */
static int all_inside(const double *position, size_t n, int n_pixels) {
  double high = n_pixels - 0.5;
  int out = 0;
  for (size_t i = 0; i < n; i++) out |= !((position[i] >= 0.5) & (position[i] < high));
  return !out;
}

/* Nothing to hold back, and indices that fit an int, which processors can gather by. The sums are those of bilinear_edges(). */
static void bilinear_inside(const es_pixels *p, const double *col, const double *row, size_t n,
                            double *restrict value) {
  const float *v = p->value;
  int pitch = (int)p->pitch;
  for (size_t i = 0; i < n; i++) {
    double c = col[i] - 0.5, r = row[i] - 0.5;
    int left = (int)c, top = (int)r, at = top * pitch + left;
    double x = c - left, y = r - top;
    double upper = (1.0 - x) * (double)v[at] + x * (double)v[at + 1];
    double lower = (1.0 - x) * (double)v[at + pitch] + x * (double)v[at + pitch + 1];
    value[i] = (1.0 - y) * upper + y * lower;
  }
}

static void bilinear_edges(const es_pixels *p, const double *col, const double *row, size_t n, double *value) {
  const float *v = p->value;
  int last_col = p->cols - 1, last_row = p->rows - 1;
  double cols = p->cols, rows = p->rows;
  uint32_t pitch = (uint32_t)p->pitch;
  for (size_t i = 0; i < n; i++) {
    double c = within(col[i] - 0.5, last_col), r = within(row[i] - 0.5, last_row);
    int left = (int)c, top = (int)r;
    double x = c - left, y = r - top;
    uint64_t at = (uint64_t)(uint32_t)top * pitch + (uint32_t)left;
    uint64_t right = at + (left < last_col ? 1u : 0u), down = top < last_row ? pitch : 0u;
    double upper = (1.0 - x) * (double)v[at] + x * (double)v[right];
    double lower = (1.0 - x) * (double)v[at + down] + x * (double)v[right + down];
    double between = (1.0 - y) * upper + y * lower;
    int inside = (col[i] >= 0.0) & (col[i] <= cols) & (row[i] >= 0.0) & (row[i] <= rows);
    value[i] = inside ? between : NAN;
  }
}

/* A radial on the raster's own grid crosses column after column (or row after row) at pixel centres: whole numbers there. */
static const double ON_CENTRE = 1e-6;

static int on_centres(const double *position, size_t n) {
  int off = 0;
  for (size_t i = 0; i < n; i++) {
    double p = position[i], from_centre = p - 0.5 - (double)(int)p; /* NaN is off */
    off |= !((from_centre < ON_CENTRE) & (from_centre > -ON_CENTRE));
  }
  return !off;
}

/* Columns (or rows) of pixels seen as an axis. */
typedef struct axis {
  int n;
  uint32_t stride;
} axis;

/* As bilinear_inside(). */
static void between_inside(const float *v, axis on, const double *on_at, axis across, const double *across_at, size_t n,
                           double *restrict value) {
  int on_stride = (int)on.stride, across_stride = (int)across.stride;
  for (size_t i = 0; i < n; i++) {
    double a = across_at[i] - 0.5;
    int k = (int)on_at[i], before = (int)a, at = k * on_stride + before * across_stride;
    double x = a - before;
    value[i] = (1.0 - x) * (double)v[at] + x * (double)v[at + across_stride];
  }
}

static void between_edges(const float *v, axis on, const double *on_at, axis across, const double *across_at, size_t n,
                          double *value) {
  int last_on = on.n - 1, last_across = across.n - 1;
  for (size_t i = 0; i < n; i++) {
    int k = (int)within(on_at[i], last_on);
    double a = within(across_at[i] - 0.5, last_across);
    int before = (int)a;
    double x = a - before;
    uint64_t at = (uint64_t)(uint32_t)k * on.stride + (uint64_t)(uint32_t)before * across.stride;
    uint64_t after = at + (before < last_across ? across.stride : 0u);
    double mixed = (1.0 - x) * (double)v[at] + x * (double)v[after];
    int inside = (on_at[i] >= 0.0) & (on_at[i] <= on.n) & (across_at[i] >= 0.0) & (across_at[i] <= across.n);
    value[i] = inside ? mixed : NAN;
  }
}

static size_t missing(const double *value, size_t n) {
  size_t count = 0;
  for (size_t i = 0; i < n; i++) count += value[i] != value[i];
  return count;
}

static size_t heights(const es_pixels *p, const double *col, const double *row, size_t n, double *value) {
  axis cols = {p->cols, 1}, rows = {p->rows, (uint32_t)p->pitch};
  int plain =
      (uint64_t)p->pitch * (uint64_t)p->rows < INT32_MAX && all_inside(col, n, p->cols) && all_inside(row, n, p->rows);
  if (on_centres(col, n))
    (plain ? between_inside : between_edges)(p->value, cols, col, rows, row, n, value);
  else if (on_centres(row, n))
    (plain ? between_inside : between_edges)(p->value, rows, row, cols, col, n, value);
  else
    (plain ? bilinear_inside : bilinear_edges)(p, col, row, n, value);
  return missing(value, n);
}

static void bytes(const es_byte_cells *cells, const double *col, const double *row, size_t n, uint8_t *value) {
  enum { BLOCK = 256 };
  double per_across = 1.0 / cells->across, per_down = 1.0 / cells->down;
  for (size_t from = 0; from < n; from += BLOCK) {
    size_t some = n - from < BLOCK ? n - from : BLOCK;
    int32_t at_col[BLOCK], at_row[BLOCK];
    for (size_t i = 0; i < some; i++) {
      double c = (col[from + i] - cells->col) * per_across, r = (row[from + i] - cells->row) * per_down;
      int inside = (c >= 0.0) & (r >= 0.0) & (c < cells->cols) & (r < cells->rows);
      at_col[i] = inside ? (int32_t)c : -1;
      at_row[i] = inside ? (int32_t)r : 0;
    }
    for (size_t i = 0; i < some; i++)
      value[from + i] =
          at_col[i] < 0 ? cells->outside : cells->value[(size_t)at_row[i] * (size_t)cells->cols + (size_t)at_col[i]];
  }
}

const es_sampling ES_SAMPLING = {heights, bytes};
