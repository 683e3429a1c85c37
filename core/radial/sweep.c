/* sweep.c - the walk along a radial with many receivers; see kernel.h, and crest.h for what they ask. Compiled once for each
 * set of instructions (kernel.c).                                                                                         */
#include <math.h>

#include "radial/crest.h"
#include "radial/kernel.h"
#include "radial/smooth.h"

#ifndef ES_KERNEL
#define ES_KERNEL es_kernel_portable
#endif

/* A hull with its running maximum, on its way along the line, and what its receivers ask. */
typedef struct sweep {
  es_crest crest;
  const double *x, *g; /* distance and parabolic height of every sample */
  double *seen;        /* slope from the beacon to every sample */
  double h_tx;
  double *g_rx, *sight; /* [receiver] parabolic height; slope of the line to it */
  es_rise rise;         /* the largest slope so far */
} sweep;

/* Parabolic heights of all samples: at curvature 0 the heights themselves. NULL: out of memory. */
static const double *bend(es_arena *arena, const es_line *line, const double *height, double k) {
  if (k == 0.0) return height;
  const double *x = line->dist_m;
  double *g = ES_NEW(arena, double, line->n);
  for (size_t i = 0; g != NULL && i < line->n; i++) g[i] = height[i] - k * x[i] * x[i];
  return g;
}

/* Cost: 1 ns a sample, 1 ns a receiver. Keeps height. False: out of memory. */
static bool sweep_begin(sweep *s, es_arena *arena, const es_walk *w, const double *height, double k) {
  size_t n = w->line->n;
  const double *x = w->line->dist_m;
  const double *g = bend(arena, w->line, height, k);
  double *seen = ES_NEW(arena, double, n), h_tx = w->h_tx;
  *s = (sweep){.crest = {.line = w->line, .height = height, .k = k},
               .x = x,
               .g = g,
               .seen = seen,
               .h_tx = h_tx,
               .g_rx = ES_NEW(arena, double, w->n_rx),
               .sight = ES_NEW(arena, double, w->n_rx),
               .rise = {-INFINITY, SIZE_MAX}};
  if (g == NULL || seen == NULL || s->g_rx == NULL || s->sight == NULL || !es_hull_init(&s->crest.hull, arena, n))
    return false;
  for (size_t i = 1; i < n; i++) seen[i] = (g[i] - h_tx) / x[i];
  for (size_t r = 0; r < w->n_rx; r++) {
    double dist = w->dist_m[r], g_rx = w->at[r].antenna_m - k * dist * dist;
    s->g_rx[r] = g_rx;
    s->sight[r] = (g_rx - h_tx) / dist;
  }
  return true;
}

/* Puts the next sample, i, on the hull. Cost: 10 ns by itself, 2 to 3 ns when several hulls take turns. */
static inline void sweep_push(sweep *s, size_t i) {
  if (s->seen[i] >= s->rise.slope)
    s->rise = (es_rise){s->seen[i], i}; /* of equal ones the last, as P.2001's examples */
  es_hull_push(&s->crest.hull, s->x[i], s->g[i], i);
}

static inline es_sight sweep_sight(const sweep *s, const es_walk *w, size_t r) {
  return (es_sight){s->h_tx, s->sight[r], w->dist_m[r]};
}

/* Where the tangents of receiver r touch. */
static inline void sweep_touch(sweep *s, const es_walk *w, size_t r, es_hull *hulls) {
  es_sight l = sweep_sight(s, w, r);
  es_crest_touch(&s->crest, s->rise, &l, s->g_rx[r], w->enough_m, &hulls[r]);
}

/* All divisions at once, when all is known that they need. Cost: 1 ns a receiver. */
static void sweep_finish(const sweep *s, const es_walk *w, es_hull *hulls) {
  const double *x = w->line->dist_m;
  for (size_t r = 0; r < w->n_rx; r++) {
    size_t at = hulls[r].rx_at;
    if (at != SIZE_MAX) hulls[r].rx_slope = (s->g[at] - s->g_rx[r]) / (w->dist_m[r] - x[at]);
  }
}

/* --- walks -------------------------------------------------------------------------------------------------------------- */

/* A radial on its way: the curved ground, the flat one, the fit. */
typedef struct lane {
  sweep curved, flat;
  size_t asked, next;      /* the receiver that asks next, and the last sample before it; SIZE_MAX: all have asked */
  uint32_t *summit, *edge; /* [receiver] as in es_above */
  double *flat_seen;       /* [receiver] the steepest sight of the flat ground before it */
  double *v1, *v2;         /* [sample] sums of the fit up to it */
} lane;

/* Cost: 1 ns a sample. */
static void fit_sums(const es_line *line, double *restrict v1, double *restrict v2) {
  const double *x = line->dist_m, *y = line->ground_m;
  v1[0] = v2[0] = 0.0;
  for (size_t i = 1; i < line->n; i++) {
    v1[i] = v2[i] = 0.0;
    es_fit_segment(&v1[i], &v2[i], x[i - 1], y[i - 1], x[i], y[i]);
  }
  for (size_t i = 1; i < line->n; i++) {
    v1[i] += v1[i - 1];
    v2[i] += v2[i - 1];
  }
}

/* The last sample before a receiver; SIZE_MAX: there is no such receiver. */
static inline size_t needed_by(const es_walk *w, size_t r) { return r < w->n_rx ? w->last[r] : SIZE_MAX; }

static bool lane_begin(lane *l, es_arena *arena, const es_median_walk *w) {
  const es_walk *along = &w->along;
  const es_line *line = along->line;
  l->asked = 0;
  l->next = needed_by(along, 0);
  l->summit = ES_NEW(arena, uint32_t, along->n_rx);
  l->edge = ES_NEW(arena, uint32_t, along->n_rx);
  l->flat_seen = ES_NEW(arena, double, along->n_rx);
  l->v1 = ES_NEW(arena, double, line->n);
  l->v2 = ES_NEW(arena, double, line->n);
  if (l->summit == NULL || l->edge == NULL || l->flat_seen == NULL || l->v1 == NULL || l->v2 == NULL) return false;
  fit_sums(line, l->v1, l->v2);
  return sweep_begin(&l->curved, arena, along, line->ground_m, w->k) &&
         es_crest_set_tops(&l->curved.crest, arena, l->curved.g) &&
         sweep_begin(&l->flat, arena, along, line->ground_m, 0.0);
}

static inline void lane_ask(lane *l, const es_median_walk *w, size_t r) {
  sweep *flat = &l->flat;
  es_sight straight = sweep_sight(flat, &w->along, r);
  sweep_touch(&l->curved, &w->along, r, w->hulls);
  es_above above = es_crest_above(&flat->crest, flat->rise.slope, &straight, flat->g_rx[r]);
  l->summit[r] = above.summit;
  l->edge[r] = above.edge;
  l->flat_seen[r] = flat->rise.slope;
}

/* Cost: 1 ns a receiver. Not inlined, so that compilers know the four columns for separate ones. */
static __attribute__((noinline)) void lane_smooth(const lane *l, const es_walk *w, double *restrict fit_tx,
                                                  double *restrict fit_rx, double *restrict smooth_tx,
                                                  double *restrict smooth_rx) {
  const es_line *line = w->line;
  double h0 = line->ground_m[0];
  for (size_t r = 0; r < w->n_rx; r++) {
    size_t last = w->last[r];
    double hn = w->at[r].ground_m;
    es_sight straight = sweep_sight(&l->flat, w, r);
    es_obstruction o =
        es_crest_obstruction(line, (es_above){l->summit[r], l->edge[r]}, l->flat_seen[r], &straight, l->flat.g_rx[r]);
    es_ends fit = es_fit_ended(l->v1[last], l->v2[last], line, last, w->dist_m[r], hn);
    es_ends held = es_smooth_held(fit, h0, hn), lowered = es_smooth_held(es_smooth_lowered(fit, &o), h0, hn);
    fit_tx[r] = held.tx;
    fit_rx[r] = held.rx;
    smooth_tx[r] = lowered.tx;
    smooth_rx[r] = lowered.rx;
  }
}

static void lane_finish(const lane *l, const es_median_walk *w) {
  const es_smooth *out = &w->smooth;
  sweep_finish(&l->curved, &w->along, w->hulls);
  lane_smooth(l, &w->along, out->fit_tx, out->fit_rx, out->smooth_tx, out->smooth_rx);
}

/* The receivers that have sample i, and no later one, before them. */
static inline void lane_ask_at(lane *l, const es_median_walk *w, size_t i) {
  for (; l->next <= i; l->next = needed_by(&w->along, ++l->asked)) lane_ask(l, w, l->asked);
}

/* Sample by sample, one of each hull in turn. First all pushes, then all questions: a wrong guess about a question then upsets
 * no push. */
static void lanes_walk(lane *lanes, const es_median_walk *w, size_t n) {
  size_t end[ES_SIDE_BY_SIDE], farthest = 0;
  for (size_t k = 0; k < n; k++) {
    end[k] = w[k].along.n_rx > 0 ? w[k].along.last[w[k].along.n_rx - 1] : 0;
    farthest = end[k] > farthest ? end[k] : farthest;
    lane_ask_at(&lanes[k], &w[k], 0);
  }
  for (size_t i = 1; i <= farthest; i++) {
    for (size_t k = 0; k < n; k++) {
      if (i > end[k]) continue;
      sweep_push(&lanes[k].curved, i);
      sweep_push(&lanes[k].flat, i);
    }
    for (size_t k = 0; k < n; k++) lane_ask_at(&lanes[k], &w[k], i);
  }
}

static bool walk_median(es_arena *arena, const es_median_walk *w, size_t n) {
  es_arena_mark mark = es_arena_now(arena);
  lane lanes[ES_SIDE_BY_SIDE];
  bool ok = true;
  for (size_t k = 0; ok && k < n; k++) ok = lane_begin(&lanes[k], arena, &w[k]);
  if (ok) lanes_walk(lanes, w, n);
  for (size_t k = 0; ok && k < n; k++) lane_finish(&lanes[k], &w[k]);
  es_arena_back_to(arena, mark);
  return ok;
}

static bool walk_tangents(es_arena *arena, const es_walk *w, const double *height, const double *k, size_t n,
                          es_hull *out) {
  es_arena_mark mark = es_arena_now(arena);
  sweep all[ES_SIDE_BY_SIDE] = {0};
  bool ok = true;
  for (size_t c = 0; ok && c < n; c++)
    ok = sweep_begin(&all[c], arena, w, height, k[c]) && es_crest_set_tops(&all[c].crest, arena, all[c].g);
  for (size_t r = 0, i = 0; ok && r < w->n_rx; r++) {
    while (i < w->last[r]) {
      i++;
      for (size_t c = 0; c < n; c++) sweep_push(&all[c], i);
    }
    for (size_t c = 0; c < n; c++) sweep_touch(&all[c], w, r, out + c * w->n_rx);
  }
  for (size_t c = 0; ok && c < n; c++) sweep_finish(&all[c], w, out + c * w->n_rx);
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
