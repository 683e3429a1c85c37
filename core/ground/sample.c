/* sample.c - values under places, [any thread]: pixel positions from the charts, then the pixels. */
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "earshot/model.h" /* ES_ZONE_... */
#include "ground/parts.h"

enum { BLOCK = 256, NO_DATA = 0, MEASURED = 1, BY_MASK = 3 };

/* Missing neighbours may carry this much weight in all: a sample on a pixel's centre must not fail by the chart's
 * error. */
static const double NEGLIGIBLE_WEIGHT = 0.02;

typedef struct positions {
  double col[BLOCK], row[BLOCK];
} positions;

/* --- values ---------------------------------------------------------------------------------------------------- */

/* Where a neighbour is missing: the others when it hardly counts, else NaN. The rule between pixels is that of sampling.h. */
static double patched(const es_grid *g, double col, double row) {
  int cols = g->window.cols, rows = g->window.rows;
  if (!(col >= 0.0 && row >= 0.0 && col <= cols && row <= rows)) return NAN;
  double c = es_clamp(col - 0.5, 0.0, cols - 1.0), r = es_clamp(row - 0.5, 0.0, rows - 1.0), sum = 0.0, weight = 0.0;
  int left = (int)c, top = (int)r;
  for (int k = 0; k < 4; k++) {
    bool right = k % 2 == 1, below = k >= 2;
    int x = right && left < cols - 1 ? left + 1 : left, y = below && top < rows - 1 ? top + 1 : top;
    double value = g->value[(size_t)y * g->pitch + (size_t)x];
    double w = (right ? c - left : 1.0 - c + left) * (below ? r - top : 1.0 - r + top);
    if (!isnan(value)) sum += w * value, weight += w;
  }
  return weight >= 1.0 - NEGLIGIBLE_WEIGHT ? sum / weight : NAN;
}

/* Returns how many are missing. */
static size_t heights(const es_grid *g, const positions *p, size_t n, double *height_m) {
  es_pixels pixels = {g->value, g->window.cols, g->window.rows, g->pitch};
  if (es_sampling_best()->heights(&pixels, p->col, p->row, n, height_m) == 0) return 0;
  size_t missing = 0;
  for (size_t i = 0; i < n; i++) {
    if (isnan(height_m[i])) height_m[i] = patched(g, p->col[i], p->row[i]);
    missing += isnan(height_m[i]) != 0;
  }
  return missing;
}

/* Missing becomes 0. */
static void put_heights(const double *height_m, size_t n, size_t missing, double *out) {
  if (missing == 0)
    memcpy(out, height_m, n * sizeof *out);
  else
    for (size_t i = 0; i < n; i++) out[i] = isnan(height_m[i]) ? 0.0 : height_m[i];
}

/* Index of the pixel a position is in, SIZE_MAX outside. */
static inline size_t nearest(const es_grid *g, double col, double row) {
  int cols = g->window.cols, rows = g->window.rows;
  if (!(col >= 0.0 && row >= 0.0 && col <= cols && row <= rows)) return SIZE_MAX;
  int c = col < cols ? (int)col : cols - 1, r = row < rows ? (int)row : rows - 1;
  return (size_t)r * (size_t)cols + (size_t)c;
}

/* --- a block of them ---------------------------------------------------------------------------------------------- */

static uint8_t source_at(const es_ground *g, double col, double row) {
  if (g->by_mask == NULL) return MEASURED;
  size_t i = nearest(&g->elevation, col, row);
  return i != SIZE_MAX && g->by_mask[i] != 0 ? BY_MASK : MEASURED;
}

static void take_known(const es_ground *g, const positions *p, const double *height_m, size_t n, size_t missing,
                       uint8_t *known) {
  if (missing == 0 && g->by_mask == NULL)
    memset(known, MEASURED, n);
  else
    for (size_t i = 0; i < n; i++) known[i] = isnan(height_m[i]) ? NO_DATA : source_at(g, p->col[i], p->row[i]);
}

static void take_zone(const es_ground *g, const positions *p, size_t n, uint8_t *zone) {
  if (g->zones.zone == NULL) {
    memset(zone, ES_ZONE_INLAND, n);
    return;
  }
  es_byte_cells zones = es_zones_cells(&g->zones, g->elevation.window.col, g->elevation.window.row);
  es_sampling_best()->bytes(&zones, p->col, p->row, n, zone);
}

static void take_elevation(const es_ground *g, const positions *p, size_t n, size_t at, es_ground_samples *out) {
  double height_m[BLOCK];
  bool wanted = out->ground_m != NULL || out->known != NULL;
  size_t missing = wanted ? heights(&g->elevation, p, n, height_m) : 0;
  if (out->ground_m != NULL) put_heights(height_m, n, missing, out->ground_m + at);
  if (out->known != NULL) take_known(g, p, height_m, n, missing, out->known + at);
  if (out->zone != NULL) take_zone(g, p, n, out->zone + at);
}

static void take_canopy(const es_ground *g, const positions *p, size_t n, size_t at, es_ground_samples *out) {
  double height_m[BLOCK];
  put_heights(height_m, n, heights(&g->canopy, p, n, height_m), out->canopy_m + at);
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

/* Samples at..at+n-1 of a line. */
static void sample_stretch(const es_ground *g, const line *l, const double *dist_m, size_t at, size_t n,
                           es_ground_samples *out) {
  positions p;
  if (wants_elevation(out)) {
    along(&g->elevation, l, dist_m + at, n, &p);
    take_elevation(g, &p, n, at, out);
  }
  if (out->canopy_m != NULL && g->has_canopy) {
    along(&g->canopy, l, dist_m + at, n, &p);
    take_canopy(g, &p, n, at, out);
  }
  if (out->cover != NULL && g->has_cover) {
    along(&g->cover, l, dist_m + at, n, &p);
    take_cover(g, &p, n, at, out);
  }
}

static size_t longest(const es_ground_line *lines, size_t n) {
  size_t most = 0;
  for (size_t i = 0; i < n; i++) most = lines[i].n > most ? lines[i].n : most;
  return most;
}

void es_ground_sample_lines(const es_ground *ground, bool own_plane, es_ground_line *lines, size_t n) {
  for (size_t i = 0; i < n; i++) no_canopy_or_cover(ground, lines[i].n, &lines[i].out);
  for (size_t at = 0, most = longest(lines, n); at < most; at += BLOCK)
    for (size_t i = 0; i < n; i++) {
      es_ground_line *of = &lines[i];
      line l = {of->x, of->y, of->ux, of->uy, own_plane};
      if (at < of->n) sample_stretch(ground, &l, of->dist_m, at, of->n - at < BLOCK ? of->n - at : BLOCK, &of->out);
    }
}

void es_ground_sample_plane(const es_ground *ground, double x, double y, double ux, double uy, const double *plane_m,
                            size_t n, es_ground_samples *out) {
  es_ground_line one = {x, y, ux, uy, plane_m, n, *out};
  es_ground_sample_lines(ground, true, &one, 1);
}

void es_ground_sample_centred(const es_ground *ground, double x, double y, double ux, double uy, const double *plane_m,
                              size_t n, es_ground_samples *out) {
  es_ground_line one = {x, y, ux, uy, plane_m, n, *out};
  es_ground_sample_lines(ground, false, &one, 1);
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
    es_ground_sample_centred(ground, 0.0, 0.0, sin(es_rad(azimuth_deg)), cos(es_rad(azimuth_deg)), dist_m, n, out);
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
