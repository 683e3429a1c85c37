#include "ground/chart.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#include "base/units.h"

enum { MARGIN_NODES = 3, RIM_POINTS = 720, MARGIN_PIXELS = 2 };
static const double WANTED_ERROR_PIXELS = 0.01;
static const double WIDEST_SPACING_M = 16e3, NARROWEST_SPACING_M = 250.0;
static const int MOST_NODES = 2048; /* along a side: 64 MB */

/* Weights of Lagrange's cubic through -1, 0, 1, 2 at t. */
static inline void cubic_weights(double t, double w[4]) {
  double before = t + 1.0, after = t - 1.0, beyond = t - 2.0;
  w[0] = t * after * beyond * (-1.0 / 6.0);
  w[1] = before * after * beyond * 0.5;
  w[2] = before * t * beyond * -0.5;
  w[3] = before * t * after * (1.0 / 6.0);
}

void es_chart_at(const es_chart *chart, double x, double y, double *col, double *row) {
  if (chart->nodes == 0) {
    *col = chart->col[0] + chart->col[1] * x + chart->col[2] * y;
    *row = chart->row[0] + chart->row[1] * x + chart->row[2] * y;
    return;
  }
  double i = (x - chart->west) / chart->spacing_m, j = (y - chart->south) / chart->spacing_m;
  *col = *row = NAN;
  if (!(i >= 1.0 && j >= 1.0 && i < chart->nodes - 2 && j < chart->nodes - 2)) return;
  int left = (int)i - 1, low = (int)j - 1;
  double wx[4], wy[4], c = 0.0, r = 0.0;
  cubic_weights(i - floor(i), wx);
  cubic_weights(j - floor(j), wy);
  for (int b = 0; b < 4; b++) {
    const double *node = chart->at + 2 * ((size_t)(low + b) * (size_t)chart->nodes + (size_t)left);
    c += wy[b] * (wx[0] * node[0] + wx[1] * node[2] + wx[2] * node[4] + wx[3] * node[6]);
    r += wy[b] * (wx[0] * node[1] + wx[1] * node[3] + wx[2] * node[5] + wx[3] * node[7]);
  }
  *col = c;
  *row = r;
}

/* Four positions on a line, for the piece of it that begins `piece` lengths from its start. */
typedef struct piece {
  double number, col[4], row[4];
} piece;

static void piece_fill(piece *p, const es_chart *chart, double number, double length, const double line[4]) {
  p->number = number;
  for (int k = 0; k < 4; k++) {
    double d = (number + k - 1) * length;
    es_chart_at(chart, line[0] + d * line[2], line[1] + d * line[3], &p->col[k], &p->row[k]);
  }
}

/* A chart is smooth along a line too: cubics over pieces of half the spacing, where the error is a sixteenth. */
void es_chart_along(const es_chart *chart, double x, double y, double ux, double uy, const double *dist_m, size_t n,
                    double *col, double *row) {
  if (chart->nodes == 0) {
    double c, r, per_m_col = chart->col[1] * ux + chart->col[2] * uy,
                 per_m_row = chart->row[1] * ux + chart->row[2] * uy;
    es_chart_at(chart, x, y, &c, &r);
    for (size_t i = 0; i < n; i++) {
      col[i] = c + dist_m[i] * per_m_col;
      row[i] = r + dist_m[i] * per_m_row;
    }
    return;
  }
  const double line[4] = {x, y, ux, uy}, length = 0.5 * chart->spacing_m, per_length = 1.0 / length;
  piece p = {.number = NAN};
  for (size_t i = 0; i < n; i++) {
    double along = dist_m[i] * per_length, number = (double)(long)along, w[4]; /* dist_m is not negative */
    if (!(number == p.number)) piece_fill(&p, chart, number, length, line);
    cubic_weights(along - number, w);
    col[i] = w[0] * p.col[0] + w[1] * p.col[1] + w[2] * p.col[2] + w[3] * p.col[3];
    row[i] = w[0] * p.row[0] + w[1] * p.row[1] + w[2] * p.row[2] + w[3] * p.row[3];
  }
}

void es_chart_init_linear(es_chart *chart, const double col[3], const double row[3], double reach_m) {
  *chart = (es_chart){.spacing_m = fmax(reach_m, 1.0)};
  for (int k = 0; k < 3; k++) chart->col[k] = col[k], chart->row[k] = row[k];
}

void es_chart_fini(es_chart *chart) {
  free(chart->at);
  *chart = (es_chart){0};
}

void es_chart_move_origin(es_chart *chart, long col, long row) {
  size_t n = (size_t)chart->nodes * (size_t)chart->nodes;
  for (size_t i = 0; i < n; i++) {
    chart->at[2 * i] -= (double)col;
    chart->at[2 * i + 1] -= (double)row;
  }
  chart->col[0] -= (double)col;
  chart->row[0] -= (double)row;
}

static void position(const es_lattice *lattice, es_plane plane, double x, double y, double *col, double *row) {
  es_lonlat at = plane.place(plane.ctx, x, y);
  if (isnan(at.lat_deg) || !es_lattice_pixel(lattice, at, col, row)) *col = *row = NAN;
}

static bool fill_nodes(es_chart *chart, const es_lattice *lattice, es_plane plane, double spacing_m) {
  int half = (int)ceil(plane.reach_m / spacing_m) + MARGIN_NODES;
  *chart = (es_chart){.nodes = 2 * half + 1, .spacing_m = spacing_m};
  chart->west = plane.x - half * spacing_m;
  chart->south = plane.y - half * spacing_m;
  size_t n = (size_t)chart->nodes;
  chart->at = malloc(2 * n * n * sizeof *chart->at);
  if (chart->at == NULL) return false;
  for (size_t i = 0; i < n * n; i++)
    position(lattice, plane, chart->west + (double)(i % n) * spacing_m, chart->south + (double)(i / n) * spacing_m,
             &chart->at[2 * i], &chart->at[2 * i + 1]);
  return true;
}

/* The positions in the middle of all meshes that touch the disc are as good as wanted. */
static bool precise(const es_chart *chart, const es_lattice *lattice, es_plane plane) {
  double touch_m = plane.reach_m + chart->spacing_m;
  for (int j = 1; j < chart->nodes - 2; j++)
    for (int i = 1; i < chart->nodes - 2; i++) {
      double x = chart->west + (i + 0.5) * chart->spacing_m, y = chart->south + (j + 0.5) * chart->spacing_m;
      if (hypot(x - plane.x, y - plane.y) > touch_m) continue;
      double col, row, true_col, true_row;
      es_chart_at(chart, x, y, &col, &row);
      position(lattice, plane, x, y, &true_col, &true_row);
      double error = hypot(col - true_col, row - true_row);
      if (!(error <= WANTED_ERROR_PIXELS)) return false; /* NaN too */
    }
  return true;
}

es_chart_result es_chart_init(es_chart *chart, const es_lattice *lattice, es_plane plane) {
  double spacing_m = es_clamp(plane.reach_m / 8.0, NARROWEST_SPACING_M, WIDEST_SPACING_M);
  for (; spacing_m >= NARROWEST_SPACING_M; spacing_m *= 0.5) {
    if (2.0 * plane.reach_m / spacing_m > MOST_NODES) break;
    if (!fill_nodes(chart, lattice, plane, spacing_m)) return ES_CHART_MEMORY;
    if (precise(chart, lattice, plane)) return ES_CHART_OK;
    es_chart_fini(chart);
  }
  return ES_CHART_ROUGH;
}

/* A smooth map takes the rim of a disc to the rim of its image, so the rim alone bounds it. */
es_window es_chart_window(const es_chart *chart, double x, double y, double reach_m) {
  double left = INFINITY, right = -INFINITY, top = INFINITY, bottom = -INFINITY;
  for (int i = 0; i < RIM_POINTS; i++) {
    double turn = 2.0 * ES_PI * i / RIM_POINTS, col, row;
    es_chart_at(chart, x + reach_m * sin(turn), y + reach_m * cos(turn), &col, &row);
    left = fmin(left, col), right = fmax(right, col), top = fmin(top, row), bottom = fmax(bottom, row);
  }
  es_window w = {(long)floor(left) - MARGIN_PIXELS, (long)floor(top) - MARGIN_PIXELS, 0, 0};
  double cols = ceil(right) + MARGIN_PIXELS - (double)w.col, rows = ceil(bottom) + MARGIN_PIXELS - (double)w.row;
  if (cols < INT_MAX && rows < INT_MAX) w.cols = (int)cols, w.rows = (int)rows;
  return w;
}
