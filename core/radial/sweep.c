/* sweep.c - the walk along a radial with many receivers; see kernel.h, and crest.h for what they ask. Compiled once for each
 * set of instructions (kernel.c).                                                                                         */
#include <math.h>

#include "radial/crest.h"
#include "radial/kernel.h"
#include "radial/smooth.h"

#ifndef ES_KERNEL
#define ES_KERNEL es_kernel_portable
#endif

/* A hull with its running maximum, on its way along the line. */
typedef struct sweep {
  es_crest crest;
  const double *g; /* parabolic height of every sample */
  double *seen;    /* slope from the beacon to every sample */
  double h_tx;
  es_rise rise;  /* the largest slope so far */
  size_t pushed; /* samples up to this index are on the hull */
} sweep;

/* Parabolic heights of all samples: at curvature 0 the heights themselves. NULL: out of memory. */
static const double *bend(es_arena *arena, const es_line *line, const double *height, double k) {
  if (k == 0.0) return height;
  const double *x = line->dist_m;
  double *g = ES_NEW(arena, double, line->n);
  for (size_t i = 0; g != NULL && i < line->n; i++) g[i] = height[i] - k * x[i] * x[i];
  return g;
}

/* Cost: 1 ns a sample. Keeps height. False: out of memory. */
static bool sweep_begin(sweep *s, es_arena *arena, const es_line *line, const double *height, double k, double h_tx) {
  size_t n = line->n;
  const double *x = line->dist_m;
  const double *g = bend(arena, line, height, k);
  double *seen = ES_NEW(arena, double, n);
  *s = (sweep){.crest = {.line = line, .height = height, .k = k}, .h_tx = h_tx, .rise = {-INFINITY, SIZE_MAX}};
  if (g == NULL || seen == NULL || !es_hull_init(&s->crest.hull, arena, n)) return false;
  for (size_t i = 1; i < n; i++) seen[i] = (g[i] - h_tx) / x[i];
  s->g = g;
  s->seen = seen;
  return true;
}

/* Puts the next sample on the hull. Cost: 10 ns by itself, 2 to 3 ns when several hulls take turns. */
static inline void sweep_push(sweep *s) {
  size_t i = ++s->pushed;
  bool higher = s->seen[i] >= s->rise.slope; /* of equal ones the last, as in the reference examples of P.2001 */
  s->rise.slope = higher ? s->seen[i] : s->rise.slope;
  s->rise.at = higher ? i : s->rise.at;
  es_hull_push(&s->crest.hull, s->crest.line->dist_m[i], s->g[i], i);
}

static inline es_hull sweep_ask(sweep *s, double dist, double h_rx, double enough_m) {
  return es_crest_ask(&s->crest, s->rise, s->h_tx, dist, h_rx - s->crest.k * dist * dist, enough_m);
}

/* --- walks -------------------------------------------------------------------------------------------------------------- */

/* A radial on its way: the curved ground, the flat one, the fit. */
typedef struct lane {
  sweep curved, flat;
  es_fit fit;
} lane;

static bool lane_begin(lane *l, es_arena *arena, const es_median_walk *w) {
  const es_line *line = w->along.line;
  l->fit = (es_fit){0};
  return sweep_begin(&l->curved, arena, line, line->ground_m, w->k, w->along.h_tx) &&
         es_crest_set_tops(&l->curved.crest, arena, l->curved.g) &&
         sweep_begin(&l->flat, arena, line, line->ground_m, 0.0, w->along.h_tx);
}

static inline void lane_ask(lane *l, const es_median_walk *w, size_t r) {
  const es_walk *along = &w->along;
  double dist = along->dist_m[r], h_rx = along->at[r].antenna_m, hn = along->at[r].ground_m;
  es_ends fit = es_fit_to(&l->fit, along->line, along->last[r], dist, hn);
  w->hulls[r] = sweep_ask(&l->curved, dist, h_rx, along->enough_m);
  es_obstruction o = es_crest_obstruction(&l->flat.crest, l->flat.rise.slope, along->h_tx, dist, h_rx);
  es_smooth_set(&o, along->line->ground_m[0], hn, fit, r, &w->smooth);
}

static size_t most_receivers(const es_median_walk *w, size_t n) {
  size_t most = 0;
  for (size_t i = 0; i < n; i++) most = w[i].along.n_rx > most ? w[i].along.n_rx : most;
  return most;
}

/* Samples before receiver r, one of each hull in turn. */
static inline void lanes_to(lane *lanes, const es_median_walk *w, size_t n, size_t r) {
  for (bool more = true; more;) {
    more = false;
    for (size_t i = 0; i < n; i++) {
      if (r >= w[i].along.n_rx || lanes[i].curved.pushed >= w[i].along.last[r]) continue;
      sweep_push(&lanes[i].curved);
      sweep_push(&lanes[i].flat);
      more = true;
    }
  }
}

/* First all pushes, then all questions: a wrong guess about a question then upsets no push. */
static bool walk_median(es_arena *arena, const es_median_walk *w, size_t n) {
  es_arena_mark mark = es_arena_now(arena);
  lane lanes[ES_SIDE_BY_SIDE];
  bool ok = true;
  for (size_t i = 0; ok && i < n; i++) ok = lane_begin(&lanes[i], arena, &w[i]);
  size_t most = ok ? most_receivers(w, n) : 0;
  for (size_t r = 0; r < most; r++) {
    lanes_to(lanes, w, n, r);
    for (size_t i = 0; i < n; i++)
      if (r < w[i].along.n_rx) lane_ask(&lanes[i], &w[i], r);
  }
  es_arena_back_to(arena, mark);
  return ok;
}

static bool walk_tangents(es_arena *arena, const es_walk *w, const double *height, const double *k, size_t n,
                          es_hull *out) {
  es_arena_mark mark = es_arena_now(arena);
  sweep all[ES_SIDE_BY_SIDE];
  bool ok = true;
  for (size_t c = 0; ok && c < n; c++)
    ok = sweep_begin(&all[c], arena, w->line, height, k[c], w->h_tx) &&
         es_crest_set_tops(&all[c].crest, arena, all[c].g);
  for (size_t r = 0; ok && r < w->n_rx; r++) {
    while (n > 0 && all[0].pushed < w->last[r])
      for (size_t c = 0; c < n; c++) sweep_push(&all[c]);
    for (size_t c = 0; c < n; c++)
      out[c * w->n_rx + r] = sweep_ask(&all[c], w->dist_m[r], w->at[r].antenna_m, w->enough_m);
  }
  es_arena_back_to(arena, mark);
  return ok;
}

/* --- hulls by themselves ------------------------------------------------------------------------------------------------ */

static bool make_hulls(es_arena *arena, const es_points *p, const double *k, size_t n, es_hull_stack *out) {
  for (size_t c = 0; c < n; c++)
    if (!es_hull_init(&out[c], arena, p->n + 1)) return false;
  for (size_t i = 0; i < p->n; i++) {
    size_t at = p->at != NULL ? p->at[i] : i + 1;
    double x = p->line->dist_m[at], y = p->height[at];
    for (size_t c = 0; c < n; c++) es_hull_push(&out[c], x, y - k[c] * x * x, at);
  }
  return true;
}

const es_kernel ES_KERNEL = {walk_median, walk_tangents, make_hulls};
