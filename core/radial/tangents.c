/* tangents.c - horizons and clearances of all receivers at curvatures other than the median one, side by side. */
#include <math.h>

#include "radial/sweep.h"

static const double ROUNDING_M =
    1e-6; /* a sample at just keep_bare_m carries the canopy, however its distance was made */

/* Parabolic heights; the canopy stands on the ground except near the ends. Its rule depends on the receiver only within
 * keep_bare_m of it, which callers that need it handle by placing one receiver a line. */
static void parabolic(const es_radial *radial, double k, int32_t canopy, double keep_bare_m, double *g) {
  const es_line *line = &radial->line;
  if (!canopy || line->top_m == NULL) {
    for (size_t i = 0; i < line->n; i++) g[i] = line->ground_m[i] - k * line->dist_m[i] * line->dist_m[i];
    return;
  }
  size_t n_rx = radial->rx.n;
  double end = n_rx > 0 ? radial->rx.dist_m[n_rx - 1] - keep_bare_m : 0.0;
  for (size_t i = 0; i < line->n; i++) {
    double x = line->dist_m[i];
    bool bare = x < keep_bare_m - ROUNDING_M || x > end + ROUNDING_M;
    g[i] = (bare ? line->ground_m[i] : line->top_m[i]) - k * x * x;
  }
}

enum { SIDE_BY_SIDE = 4 };

/* Up to SIDE_BY_SIDE curvatures in one walk. */
static bool walk(es_arena *arena, const es_radial *radial, const es_view *view, const double *curvature_per_km,
                 size_t n, es_hull *out) {
  es_sweep sweep[SIDE_BY_SIDE];
  double k[SIDE_BY_SIDE];
  size_t n_rx = radial->rx.n;
  for (size_t c = 0; c < n; c++) {
    double *g = ES_NEW(arena, double, radial->line.n);
    if (g == NULL) return false;
    k[c] = 0.5e-3 * curvature_per_km[c]; /* 500 C d^2 with d in km is this times d^2 in metres */
    parabolic(radial, k[c], view->canopy, view->keep_bare_m, g);
    if (!es_sweep_begin(&sweep[c], arena, &radial->line, g, radial->beacon.antenna_m)) return false;
  }
  for (size_t r = 0; r < n_rx; r++) {
    double dist = radial->rx.dist_m[r], height = radial->rx.at[r].antenna_m;
    for (size_t c = 0; c < n; c++) {
      es_sweep_to(&sweep[c], radial->rx.last[r]);
      out[c * n_rx + r] = es_sweep_ask(&sweep[c], dist, height - k[c] * dist * dist, view->enough_m);
    }
  }
  return true;
}

int32_t es_tangents_many(es_arena *arena, const es_radial *radial, const es_view *view, const double *curvature_per_km,
                         size_t n, es_hull *out) {
  bool ok = true;
  for (size_t c = 0; ok && c < n; c += SIDE_BY_SIDE) {
    es_arena_mark mark = es_arena_now(arena);
    size_t some = n - c < SIDE_BY_SIDE ? n - c : SIDE_BY_SIDE;
    ok = walk(arena, radial, view, curvature_per_km + c, some, out + c * radial->rx.n);
    es_arena_back_to(arena, mark);
  }
  return ok ? 0 : -1;
}

int32_t es_tangents(es_arena *arena, const es_radial *radial, double curvature_per_km, int32_t canopy,
                    double keep_bare_m, es_hull *out) {
  es_view view = {canopy, keep_bare_m, INFINITY};
  return es_tangents_many(arena, radial, &view, &curvature_per_km, 1, out);
}
