/* sample.c - values under places, [any thread]: pixel positions from the charts, then the pixels. */
#include <math.h>

#include "base/units.h"
#include "earshot/model.h" /* ES_ZONE_... */
#include "ground/parts.h"

enum { BLOCK = 256, NO_DATA = 0, MEASURED = 1, BY_MASK = 3 };

/* Missing neighbours may carry this much weight in all: a sample on a pixel's centre must not fail by the chart's
 * error. */
static const double NEGLIGIBLE_WEIGHT = 0.02;

/* --- one value ---------------------------------------------------------------------------------------------------- */

/* With a missing neighbour: the others when it hardly counts, else NaN. */
static double patched(const float v[4], const double w[4]) {
  double sum = 0.0, weight = 0.0;
  for (int k = 0; k < 4; k++)
    if (!isnan(v[k])) sum += w[k] * (double)v[k], weight += w[k];
  return weight >= 1.0 - NEGLIGIBLE_WEIGHT ? sum / weight : NAN;
}

/* Bilinear between pixel centres; in the outer half of an edge pixel its own value holds. */
static inline double bilinear(const es_grid *g, double col, double row) {
  int cols = g->window.cols, rows = g->window.rows;
  if (!(col >= 0.0 && row >= 0.0 && col <= cols && row <= rows)) return NAN;
  double c = es_clamp(col - 0.5, 0.0, cols - 1.0), r = es_clamp(row - 0.5, 0.0, rows - 1.0);
  int left = (int)c, top = (int)r;
  int right = left + (left < cols - 1), below = top + (top < rows - 1);
  double x = c - left, y = r - top;
  const float *upper = g->value + (size_t)top * (size_t)cols, *lower = g->value + (size_t)below * (size_t)cols;
  const float v[4] = {upper[left], upper[right], lower[left], lower[right]};
  const double w[4] = {(1.0 - x) * (1.0 - y), x * (1.0 - y), (1.0 - x) * y, x * y};
  double value = w[0] * (double)v[0] + w[1] * (double)v[1] + w[2] * (double)v[2] + w[3] * (double)v[3];
  return value == value ? value : patched(v, w);
}

/* Index of the pixel a position is in, SIZE_MAX outside. */
static inline size_t nearest(const es_grid *g, double col, double row) {
  int cols = g->window.cols, rows = g->window.rows;
  if (!(col >= 0.0 && row >= 0.0 && col <= cols && row <= rows)) return SIZE_MAX;
  int c = col < cols ? (int)col : cols - 1, r = row < rows ? (int)row : rows - 1;
  return (size_t)r * (size_t)cols + (size_t)c;
}

/* --- a block of them ---------------------------------------------------------------------------------------------- */

typedef struct positions {
  double col[BLOCK], row[BLOCK];
} positions;

static uint8_t source_at(const es_ground *g, double col, double row) {
  if (g->by_mask == NULL) return MEASURED;
  size_t i = nearest(&g->elevation, col, row);
  return i != SIZE_MAX && g->by_mask[i] != 0 ? BY_MASK : MEASURED;
}

static void take_elevation(const es_ground *g, const positions *p, size_t n, size_t at, es_ground_samples *out) {
  for (size_t i = 0; i < n; i++) {
    double height_m = bilinear(&g->elevation, p->col[i], p->row[i]);
    bool missing = isnan(height_m);
    if (out->ground_m != NULL) out->ground_m[at + i] = missing ? 0.0 : height_m;
    if (out->known != NULL) out->known[at + i] = missing ? NO_DATA : source_at(g, p->col[i], p->row[i]);
  }
  if (out->zone == NULL) return;
  double col = (double)g->elevation.window.col, row = (double)g->elevation.window.row;
  for (size_t i = 0; i < n; i++) out->zone[at + i] = es_zones_at(&g->zones, p->col[i] + col, p->row[i] + row);
}

static void take_canopy(const es_ground *g, const positions *p, size_t n, size_t at, es_ground_samples *out) {
  for (size_t i = 0; i < n; i++) {
    double height_m = bilinear(&g->canopy, p->col[i], p->row[i]);
    out->canopy_m[at + i] = isnan(height_m) ? 0.0 : height_m;
  }
}

static void take_cover(const es_ground *g, const positions *p, size_t n, size_t at, es_ground_samples *out) {
  for (size_t i = 0; i < n; i++) {
    size_t k = nearest(&g->cover, p->col[i], p->row[i]);
    out->cover[at + i] = k != SIZE_MAX ? g->cover.class_[k] : 0;
  }
}

static void no_canopy_or_cover(const es_ground *g, size_t n, es_ground_samples *out) {
  for (size_t i = 0; i < n && out->canopy_m != NULL && !g->has_canopy; i++) out->canopy_m[i] = 0.0;
  for (size_t i = 0; i < n && out->cover != NULL && !g->has_cover; i++) out->cover[i] = 0;
}

static bool wants_elevation(const es_ground_samples *out) {
  return out->ground_m != NULL || out->known != NULL || out->zone != NULL;
}

/* --- along a straight line of a chart's plane --------------------------------------------------------------------- */

typedef struct line {
  double x, y, ux, uy;
  bool own_plane; /* of the elevation's plane, not the beacon's */
} line;

static void along(const es_grid *grid, const line *l, const double *dist_m, size_t n, positions *p) {
  const es_chart *chart = l->own_plane ? &grid->plane_chart : &grid->chart;
  es_chart_along(chart, l->x, l->y, l->ux, l->uy, dist_m, n, p->col, p->row);
}

static void sample_line(const es_ground *g, const line *l, const double *dist_m, size_t n, es_ground_samples *out) {
  positions p;
  no_canopy_or_cover(g, n, out);
  for (size_t at = 0; at < n; at += BLOCK) {
    size_t m = n - at < BLOCK ? n - at : BLOCK;
    if (wants_elevation(out)) {
      along(&g->elevation, l, dist_m + at, m, &p);
      take_elevation(g, &p, m, at, out);
    }
    if (out->canopy_m != NULL && g->has_canopy) {
      along(&g->canopy, l, dist_m + at, m, &p);
      take_canopy(g, &p, m, at, out);
    }
    if (out->cover != NULL && g->has_cover) {
      along(&g->cover, l, dist_m + at, m, &p);
      take_cover(g, &p, m, at, out);
    }
  }
}

void es_ground_sample_plane(const es_ground *ground, double x, double y, double ux, double uy, const double *plane_m,
                            size_t n, es_ground_samples *out) {
  line l = {x, y, ux, uy, true};
  sample_line(ground, &l, plane_m, n, out);
}

void es_ground_sample_centred(const es_ground *ground, double x, double y, double ux, double uy, const double *plane_m,
                              size_t n, es_ground_samples *out) {
  line l = {x, y, ux, uy, false};
  sample_line(ground, &l, plane_m, n, out);
}

/* --- scattered ------------------------------------------------------------------------------------------------------- */

static void scattered(const es_grid *grid, const double *x, const double *y, size_t n, positions *p) {
  for (size_t i = 0; i < n; i++) es_chart_at(&grid->chart, x[i], y[i], &p->col[i], &p->row[i]);
}

static void sample_block(const es_ground *g, const es_lonlat *places, size_t n, size_t at, es_ground_samples *out) {
  positions p;
  double x[BLOCK], y[BLOCK];
  for (size_t i = 0; i < n; i++) {
    es_course c = es_geodesic_between(g->area.centre, places[i]);
    x[i] = c.dist_m * sin(es_rad(c.azimuth_deg));
    y[i] = c.dist_m * cos(es_rad(c.azimuth_deg));
  }
  if (wants_elevation(out)) {
    scattered(&g->elevation, x, y, n, &p);
    take_elevation(g, &p, n, at, out);
  }
  if (out->canopy_m != NULL && g->has_canopy) {
    scattered(&g->canopy, x, y, n, &p);
    take_canopy(g, &p, n, at, out);
  }
  if (out->cover != NULL && g->has_cover) {
    scattered(&g->cover, x, y, n, &p);
    take_cover(g, &p, n, at, out);
  }
}

void es_ground_sample_places(const es_ground *ground, const es_lonlat *at, size_t n, es_ground_samples *out) {
  no_canopy_or_cover(ground, n, out);
  for (size_t i = 0; i < n; i += BLOCK) sample_block(ground, at + i, n - i < BLOCK ? n - i : BLOCK, i, out);
}

/* From the area's centre a geodesic is a straight line of the beacon's plane; from elsewhere each sample is placed. */
void es_ground_sample(const es_ground *ground, es_lonlat from, double azimuth_deg, const double *dist_m, size_t n,
                      es_ground_samples *out) {
  if (from.lon_deg == ground->area.centre.lon_deg && from.lat_deg == ground->area.centre.lat_deg) {
    line l = {0.0, 0.0, sin(es_rad(azimuth_deg)), cos(es_rad(azimuth_deg)), false};
    sample_line(ground, &l, dist_m, n, out);
    return;
  }
  es_lonlat places[BLOCK];
  no_canopy_or_cover(ground, n, out);
  for (size_t i = 0; i < n; i += BLOCK) {
    size_t m = n - i < BLOCK ? n - i : BLOCK;
    es_geodesic_along(from, azimuth_deg, dist_m + i, m, places);
    sample_block(ground, places, m, i, out);
  }
}
