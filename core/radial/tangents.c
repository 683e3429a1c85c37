/* tangents.c - horizons and clearances of all receivers at curvatures other than the median one, side by side. */
#include <math.h>

#include "radial/kernel.h"
#include "radial/outline.h"

static const double ROUNDING_M =
    1e-6; /* a sample at just keep_bare_m carries the canopy, however its distance was made */

/* The canopy stands on the ground except near the ends. Its rule depends on the receiver only within keep_bare_m of it,
 * which callers that need it handle by placing one receiver a line. */
const double *es_view_heights(es_arena *arena, const es_line *line, const es_view *view, double end_m) {
  if (!view->canopy || line->top_m == NULL) return line->ground_m;
  double *height = ES_NEW(arena, double, line->n);
  for (size_t i = 0; height != NULL && i < line->n; i++) {
    double x = line->dist_m[i];
    bool bare = x < view->keep_bare_m - ROUNDING_M || x > end_m - view->keep_bare_m + ROUNDING_M;
    height[i] = bare ? line->ground_m[i] : line->top_m[i];
  }
  return height;
}

int32_t es_tangents_many(es_arena *arena, const es_radial *radial, const es_view *view, const double *curvature_per_km,
                         size_t n, es_hull *out) {
  const es_receivers *rx = &radial->rx;
  if (radial->outlines != NULL) return es_outlines_tangents(radial->outlines, radial, view, curvature_per_km, n, out);
  es_arena_mark mark = es_arena_now(arena);
  double end_m = rx->n > 0 ? rx->dist_m[rx->n - 1] : 0.0;
  const double *height = es_view_heights(arena, &radial->line, view, end_m);
  es_walk walk = {&radial->line, rx->n, rx->last, rx->dist_m, rx->at, radial->beacon.antenna_m, view->enough_m};
  bool ok = height != NULL;
  for (size_t c = 0; ok && c < n; c += ES_SIDE_BY_SIDE) {
    size_t some = n - c < ES_SIDE_BY_SIDE ? n - c : ES_SIDE_BY_SIDE;
    double k[ES_SIDE_BY_SIDE]; /* 500 C d^2 with d in km is this times d^2 in metres */
    for (size_t i = 0; i < some; i++) k[i] = 0.5e-3 * curvature_per_km[c + i];
    ok = es_kernel_best()->tangents(arena, &walk, height, k, some, out + c * rx->n);
  }
  es_arena_back_to(arena, mark);
  return ok ? 0 : -1;
}

int32_t es_tangents(es_arena *arena, const es_radial *radial, double curvature_per_km, int32_t canopy,
                    double keep_bare_m, es_hull *out) {
  es_view view = {canopy, keep_bare_m, INFINITY};
  return es_tangents_many(arena, radial, &view, &curvature_per_km, 1, out);
}
