/* bench_task.h - a task built by hand: one profile, one receiver at its end, a host of constants.
 *
 * All geometry here is the plain O(n) reading of ITU-R P.2001-6 sections 3.7 to 3.9 (the same quantities as in ITU-R
 * P.452-18 attachment 2), with no thought for speed: a second opinion beside the program's own. Climate is one value for
 * each key at every place; antennas are isotropic with a gain of their own.                                              */
#ifndef EARSHOT_TESTS_BENCH_TASK_H
#define EARSHOT_TESTS_BENCH_TASK_H

#include "base/arena.h"
#include "base/text.h"
#include "base/units.h"
#include "earshot/model.h"
#include "near.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BENCH_NOTES = 4096, BENCH_PERCENTS = 64 };

typedef struct bench_note {
  const char *symbol;
  size_t k;
  double value;
} bench_note;

/* The receiver's arrays, each of length one. */
typedef struct bench_receiver {
  size_t last;
  double dist_m, slant_m, el_tx, el_rx, d_tx_m, d_rx_m, horizon_tx_m, horizon_rx_m, smooth_tx_m, smooth_rx_m, fit_tx_m,
      fit_rx_m, rough_m, mid_ground_m, mid_lat_deg, cv_tx_m, cv_height_m, land_m, inland_m, sea_tx_m, sea_rx_m,
      sea_share;
  uint8_t los;
} bench_receiver;

typedef struct bench {
  size_t n;
  double *dist_m, *ground_m, *top_m;
  uint8_t *zone, *known;
  bool covered;
  es_place beacon, listener;
  bench_receiver r;
  double climate[ES_CLIMATE_KEYS], gain_dbi[2];
  es_line line;
  es_receivers rx;
  es_host host;
  es_task task;
  es_answer answer;
  double value[BENCH_PERCENTS], vapour[BENCH_PERCENTS], share, rain_extra, way_el_tx, way_el_rx;
  uint8_t status[BENCH_PERCENTS], winner[BENCH_PERCENTS], legs;
  bench_note notes[BENCH_NOTES];
  size_t n_notes;
  es_arena *arena;
} bench;

/* ---- the host ---- */

static inline double bench_climate(const void *ctx, es_climate_key key, es_climate_place place, size_t r) {
  (void)place, (void)r;
  return ((const bench *)ctx)->climate[key];
}

static inline double bench_gain(const void *ctx, int32_t end, size_t r, double az, double el, int32_t cross) {
  (void)r, (void)az, (void)el, (void)cross;
  return ((const bench *)ctx)->gain_dbi[end];
}

static inline void *bench_scratch(const void *ctx, size_t bytes) {
  return es_arena_get(((const bench *)ctx)->arena, bytes);
}

static inline void bench_take_note(const void *ctx, size_t k, size_t r, const char *symbol, double value) {
  bench *b = (bench *)ctx; /* the test owns it and runs one thread */
  (void)r;
  if (b->n_notes < BENCH_NOTES) b->notes[b->n_notes++] = (bench_note){symbol, k, value};
}

/* Value last told under a symbol, NaN when there is none. */
static inline double bench_noted(const bench *b, size_t k, const char *symbol) {
  for (size_t i = b->n_notes; i-- > 0;)
    if (b->notes[i].k == k && strcmp(b->notes[i].symbol, symbol) == 0) return b->notes[i].value;
  return NAN;
}

/* Every tangent looked at one by one. */
static inline void bench_tangents(const bench *b, double curvature_per_km, int32_t canopy, double keep_bare_m,
                                  es_hull *out) {
  double c = 0.5e-3 * curvature_per_km, dist = b->r.dist_m;
  double tx = b->beacon.antenna_m, rx = b->listener.antenna_m - c * dist * dist;
  *out = (es_hull){-INFINITY, -INFINITY, INFINITY, SIZE_MAX, SIZE_MAX, SIZE_MAX};
  for (size_t i = 1; i <= b->r.last; i++) {
    double d = b->dist_m[i], rest = dist - d;
    bool high = canopy && d >= keep_bare_m && d <= dist - keep_bare_m;
    double g = (high ? b->top_m[i] : b->ground_m[i]) - c * d * d;
    double up_tx = (g - tx) / d, up_rx = (g - rx) / rest, clear = tx + (rx - tx) * d / dist - g;
    if (up_tx >= out->tx_slope) out->tx_slope = up_tx, out->tx_at = i;
    if (up_rx >= out->rx_slope) out->rx_slope = up_rx, out->rx_at = i;
    if (clear * clear / (d * rest) < out->clear_v2) out->clear_v2 = clear * clear / (d * rest), out->clear_at = i;
  }
  if (out->tx_slope >= (rx - tx) / dist) out->clear_v2 = NAN;
}

static inline int32_t bench_hulls(const void *ctx, const double *curvature_per_km, size_t n, int32_t canopy,
                                  double keep_bare_m, double enough_m, const es_hull **out) {
  (void)enough_m;
  const bench *b = ctx;
  for (size_t i = 0; i < n; i++) {
    es_hull *hull = b->host.scratch(ctx, sizeof *hull);
    if (hull == NULL) return -1;
    bench_tangents(b, curvature_per_km[i], canopy, keep_bare_m, hull);
    out[i] = hull;
  }
  return 0;
}

/* ---- geometry ---- */

/* Horizons for median refraction, (3.7.1) to (3.7.10). */
static inline void bench_horizons(bench *b, double radius_km) {
  es_hull hull;
  bench_tangents(b, 1.0 / radius_km, 0, 0.0, &hull);
  double dist = b->r.dist_m, bulge = dist / (2e3 * radius_km),
         rise = (b->listener.antenna_m - b->beacon.antenna_m) / dist;
  b->r.los = hull.tx_slope < rise - bulge;
  size_t tx_at = b->r.los ? hull.clear_at : hull.tx_at, rx_at = b->r.los ? hull.clear_at : hull.rx_at;
  b->r.el_tx = b->r.los ? rise - bulge : hull.tx_slope;
  b->r.el_rx = b->r.los ? -rise - bulge : hull.rx_slope - 2.0 * bulge; /* from parabolic heights to the local level */
  b->r.d_tx_m = b->dist_m[tx_at];
  b->r.d_rx_m = dist - b->dist_m[rx_at];
  b->r.horizon_tx_m = b->ground_m[tx_at];
  b->r.horizon_rx_m = b->ground_m[rx_at];
}

/* Least-squares line over the ground, (3.8.1) to (3.8.4). */
static inline void bench_fit(bench *b, double fit[2]) {
  double v1 = 0.0, v2 = 0.0, dist = b->r.dist_m;
  for (size_t i = 1; i < b->n; i++) {
    double d0 = b->dist_m[i - 1], d1 = b->dist_m[i], h0 = b->ground_m[i - 1], h1 = b->ground_m[i];
    v1 += (d1 - d0) * (h1 + h0);
    v2 += (d1 - d0) * (h1 * (2.0 * d1 + d0) + h0 * (d1 + 2.0 * d0));
  }
  fit[0] = (2.0 * v1 * dist - v2) / (dist * dist);
  fit[1] = (v2 - v1 * dist) / (dist * dist);
  b->r.fit_tx_m = fmin(fit[0], b->ground_m[0]);
  b->r.fit_rx_m = fmin(fit[1], b->ground_m[b->n - 1]);
}

/* Smooth-earth heights for diffraction, (3.8.8) to (3.8.10). */
static inline void bench_smooth(bench *b, const double fit[2]) {
  double highest = -INFINITY, to_tx = -INFINITY, to_rx = -INFINITY, dist = b->r.dist_m;
  for (size_t i = 1; i <= b->r.last; i++) {
    double d = b->dist_m[i];
    double above = b->ground_m[i] - (b->beacon.antenna_m * (dist - d) + b->listener.antenna_m * d) / dist;
    highest = fmax(highest, above);
    to_tx = fmax(to_tx, above / d);
    to_rx = fmax(to_rx, above / (dist - d));
  }
  double lower = fmax(highest, 0.0);
  b->r.smooth_tx_m = fmin(fit[0] - (lower > 0.0 ? lower * to_tx / (to_tx + to_rx) : 0.0), b->ground_m[0]);
  b->r.smooth_rx_m = fmin(fit[1] - (lower > 0.0 ? lower * to_rx / (to_tx + to_rx) : 0.0), b->ground_m[b->n - 1]);
}

/* Roughness between the horizons, (3.8.5), (3.8.7). */
static inline void bench_roughness(bench *b) {
  double slope = (b->r.fit_rx_m - b->r.fit_tx_m) / b->r.dist_m, first = b->r.d_tx_m, last = b->r.dist_m - b->r.d_rx_m;
  double from = fmin(first, last) - 1e-6, to = fmax(first, last) + 1e-6;
  b->r.rough_m = -INFINITY;
  for (size_t i = 0; i < b->n; i++)
    if (b->dist_m[i] >= from && b->dist_m[i] <= to)
      b->r.rough_m = fmax(b->r.rough_m, b->ground_m[i] - (b->r.fit_tx_m + slope * b->dist_m[i]));
}

/* Each sample owns half the step on either side. */
static inline double bench_owns_from(const bench *b, size_t i) {
  return i == 0 ? 0.0 : 0.5 * (b->dist_m[i - 1] + b->dist_m[i]);
}
static inline double bench_owns_to(const bench *b, size_t i) {
  return i + 1 == b->n ? b->dist_m[i] : 0.5 * (b->dist_m[i] + b->dist_m[i + 1]);
}

/* Longest run of zones from `least` on (3: any land, 4: inland). */
static inline double bench_longest(const bench *b, uint8_t least) {
  double longest = 0.0, start = 0.0;
  for (size_t i = 0; i < b->n; i++) {
    if (b->zone[i] < least) start = bench_owns_to(b, i);
    longest = fmax(longest, bench_owns_to(b, i) - start);
  }
  return longest;
}

static inline void bench_zones(bench *b) {
  double sea = 0.0, first = INFINITY, last = -INFINITY, dist = b->r.dist_m;
  for (size_t i = 0; i < b->n; i++) {
    if (b->zone[i] != ES_ZONE_SEA) continue;
    sea += bench_owns_to(b, i) - bench_owns_from(b, i);
    first = fmin(first, bench_owns_from(b, i));
    last = fmax(last, bench_owns_to(b, i));
  }
  b->r.land_m = bench_longest(b, ES_ZONE_COAST);
  b->r.inland_m = bench_longest(b, ES_ZONE_INLAND);
  b->r.sea_share = sea / dist;
  b->r.sea_tx_m = sea > 0.0 ? first : dist;
  b->r.sea_rx_m = sea > 0.0 ? dist - last : dist;
}

/* Ground at half the path, between samples. */
static inline void bench_middle(bench *b) {
  double half = 0.5 * b->r.dist_m;
  size_t i = 1;
  while (i + 1 < b->n && b->dist_m[i] < half) i++;
  double part = (half - b->dist_m[i - 1]) / (b->dist_m[i] - b->dist_m[i - 1]);
  b->r.mid_ground_m = b->ground_m[i - 1] + part * (b->ground_m[i] - b->ground_m[i - 1]);
}

/* Latitude of the path's centre: half its length along the bearing, P.2001 attachment H. */
static inline void bench_centre(bench *b) {
  double lat1 = es_rad(b->beacon.lat_deg), lat2 = es_rad(b->listener.lat_deg);
  double turn = es_rad(b->listener.lon_deg - b->beacon.lon_deg);
  double r = sin(lat1) * sin(lat2) + cos(lat1) * cos(lat2) * cos(turn);
  double bearing = atan2(cos(lat1) * cos(lat2) * sin(turn), sin(lat2) - r * sin(lat1));
  double arc = 0.5e-3 * b->r.dist_m / ES_EARTH_KM;
  b->r.mid_lat_deg = es_deg(asin(sin(lat1) * cos(arc) + cos(lat1) * sin(arc) * cos(bearing)));
  b->task.azimuth = bearing;
}

/* Everything that follows from profile, heights above ground and positions. */
static inline void bench_geometry(bench *b, double radius_km, double tx_above_m, double rx_above_m) {
  b->r.last = b->n - 2;
  b->r.dist_m = b->dist_m[b->n - 1];
  b->beacon.ground_m = b->ground_m[0];
  b->listener.ground_m = b->ground_m[b->n - 1];
  b->beacon.antenna_m = b->beacon.ground_m + tx_above_m;
  b->listener.antenna_m = b->listener.ground_m + rx_above_m;
  b->r.slant_m = hypot(b->r.dist_m, b->beacon.antenna_m - b->listener.antenna_m);
  b->task.earth_radius_km = radius_km;
  double fit[2];
  bench_horizons(b, radius_km);
  bench_fit(b, fit);
  bench_smooth(b, fit);
  bench_roughness(b);
  bench_zones(b);
  bench_middle(b);
  bench_centre(b);
}

/* ---- a bench ---- */

static inline void bench_link_receiver(bench *b) {
  b->rx = (es_receivers){.n = 1, .last = &b->r.last, .at = &b->listener, .dist_m = &b->r.dist_m};
#define BENCH_LINK(field) b->rx.field = &b->r.field
  BENCH_LINK(slant_m), BENCH_LINK(el_tx), BENCH_LINK(el_rx), BENCH_LINK(d_tx_m), BENCH_LINK(d_rx_m);
  BENCH_LINK(horizon_tx_m), BENCH_LINK(horizon_rx_m), BENCH_LINK(smooth_tx_m), BENCH_LINK(smooth_rx_m);
  BENCH_LINK(fit_tx_m), BENCH_LINK(fit_rx_m), BENCH_LINK(rough_m), BENCH_LINK(mid_ground_m), BENCH_LINK(mid_lat_deg);
  BENCH_LINK(cv_tx_m), BENCH_LINK(cv_height_m), BENCH_LINK(land_m), BENCH_LINK(inland_m), BENCH_LINK(sea_tx_m);
  BENCH_LINK(sea_rx_m), BENCH_LINK(sea_share), BENCH_LINK(los);
#undef BENCH_LINK
}

static inline void bench_link(bench *b) {
  b->line = (es_line){.n = b->n, .dist_m = b->dist_m, .ground_m = b->ground_m, .zone = b->zone, .known = b->known};
  if (b->covered) b->line.top_m = b->top_m;
  bench_link_receiver(b);
  b->host = (es_host){sizeof b->host, bench_climate, bench_gain, bench_hulls, bench_scratch, bench_take_note};
  b->task = (es_task){.size = sizeof b->task,
                      .host = &b->host,
                      .ctx = b,
                      .beacon = &b->beacon,
                      .line = &b->line,
                      .rx = &b->rx,
                      .way = ES_SURFACE,
                      .el_tx = &b->r.el_tx,
                      .el_rx = &b->r.el_rx};
  b->answer = (es_answer){sizeof b->answer, b->value,      b->status,     &b->share, b->vapour,
                          &b->rain_extra,   &b->way_el_tx, &b->way_el_rx, &b->legs,  b->winner};
}

/* A bench of n samples, all zero: fill dist_m, ground_m, zone, then ask for the geometry. */
static inline bench *bench_create(size_t n) {
  bench *b = calloc(1, sizeof *b);
  assert_non_null(b);
  b->n = n;
  b->dist_m = calloc(n, sizeof *b->dist_m);
  b->ground_m = calloc(n, sizeof *b->ground_m);
  b->top_m = calloc(n, sizeof *b->top_m);
  b->zone = calloc(n, 1);
  b->known = calloc(n, 1);
  b->arena = es_arena_create();
  assert_true(b->dist_m && b->ground_m && b->top_m && b->zone && b->known && b->arena);
  memset(b->zone, ES_ZONE_INLAND, n);
  memset(b->known, 1, n);
  bench_link(b);
  return b;
}

static inline void bench_destroy(bench *b) {
  if (b == NULL) return;
  free(b->dist_m), free(b->ground_m), free(b->top_m), free(b->zone), free(b->known);
  es_arena_destroy(b->arena);
  free(b);
}

/* A profile by formula: samples every step_km to length_km. */
static inline bench *bench_formula(double length_km, double step_km, double (*ground_m)(double d_km), uint8_t zone) {
  bench *b = bench_create((size_t)lround(length_km / step_km) + 1);
  for (size_t i = 0; i < b->n; i++) {
    double d_km = (double)i * step_km;
    b->dist_m[i] = 1e3 * d_km;
    b->ground_m[i] = ground_m(d_km);
    b->zone[i] = zone;
  }
  return b;
}

/* Runs a model; the percentages are the caller's. 0 or the model's own failure. */
static inline int32_t bench_run(bench *b, const es_model *model, const double *settings, const double *percent,
                                size_t n_percent) {
  assert_true(n_percent <= BENCH_PERCENTS);
  void *self = NULL;
  es_error err = {0};
  b->task.percent = percent;
  b->task.n_percent = n_percent;
  b->n_notes = 0;
  b->rain_extra = 0.0;
  memset(b->status, ES_OK, sizeof b->status);
  memset(b->winner, ES_SURFACE, sizeof b->winner);
  if (model->create != NULL) assert_int_equal(model->create(settings, &self, &err), ES_OK);
  int32_t code = model->evaluate(self, &b->task, &b->answer, &err);
  if (model->destroy != NULL) model->destroy(self);
  return code;
}

/* ---- tables of check values ---- */

/* Opens a table of the folder named by EARSHOT_CHECK_VALUES; NULL when the variable is unset (the test then skips). */
static inline es_text_table *bench_table(const char *name) {
  const char *folder = getenv("EARSHOT_CHECK_VALUES");
  if (folder == NULL || *folder == '\0') return NULL;
  es_error err = {0};
  char path[4096];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  es_text_table *table = es_text_table_open(path, &err);
  if (table == NULL) fail_msg("%s", err.detail);
  return table;
}

static inline const char *bench_cell(const es_text_table *table, size_t row, const char *column) {
  size_t at = es_text_table_column(table, column);
  if (at == SIZE_MAX) fail_msg("no column %s", column);
  return es_text_table_cell(table, row, at);
}

static inline double bench_number(const es_text_table *table, size_t row, const char *column) {
  double value = NAN;
  const char *text = bench_cell(table, row, column);
  if (!es_parse_number(text, &value)) fail_msg("row %zu, %s: not a number: %s", row, column, text);
  return value;
}

static inline bool bench_has(const es_text_table *table, const char *column) {
  return es_text_table_column(table, column) != SIZE_MAX;
}

/* A profile of the check values: d_km, h_m, cover_m, zone_p2001. */
static inline bench *bench_profile(const char *name) {
  char path[512];
  snprintf(path, sizeof path, "profiles/%s", name);
  es_text_table *t = bench_table(path);
  assert_non_null(t);
  bench *b = bench_create(es_text_table_rows(t));
  for (size_t i = 0; i < b->n; i++) {
    double cover_m = bench_number(t, i, "cover_m");
    b->dist_m[i] = 1e3 * bench_number(t, i, "d_km");
    b->ground_m[i] = bench_number(t, i, "h_m");
    b->top_m[i] = b->ground_m[i] + cover_m;
    b->zone[i] = (uint8_t)bench_number(t, i, "zone_p2001");
    b->covered = b->covered || cover_m > 0.0;
  }
  es_text_table_close(t);
  bench_link(b);
  return b;
}

#endif
