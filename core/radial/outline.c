#include "radial/outline.h"

#include <stdlib.h>
#include <string.h>

#include "radial/crest.h"
#include "radial/smooth.h"

/* The ground as one view has it. */
typedef struct ground {
  struct ground *next;
  es_view view; /* enough_m aside */
  const double *height;
} ground;

/* A hull of it. */
typedef struct outline {
  struct outline *next;
  const ground *of;
  es_crest crest;
} outline;

struct es_outlines {
  es_arena *keep, *scratch;
  es_line line; /* samples up to `last` lie before the receiver */
  size_t last;
  double dist_m; /* of the receiver */
  ground *grounds;
  outline *first;
  es_fit fit;
};

es_outlines *es_outlines_create(void) {
  es_outlines *o = calloc(1, sizeof *o);
  if (o == NULL) return NULL;
  o->keep = es_arena_create();
  o->scratch = es_arena_create();
  if (o->keep != NULL && o->scratch != NULL) return o;
  es_outlines_destroy(o);
  return NULL;
}

void es_outlines_destroy(es_outlines *o) {
  if (o == NULL) return;
  es_arena_destroy(o->keep);
  es_arena_destroy(o->scratch);
  free(o);
}

void es_outlines_forget(es_outlines *o) {
  if (o == NULL) return;
  es_arena_back_to(o->keep, (es_arena_mark){0});
  *o = (es_outlines){.keep = o->keep, .scratch = o->scratch};
}

/* --- finding and making ----------------------------------------------------------------------------------------------- */

/* Another receiver on the same line is another path. */
static void go_to(es_outlines *o, const es_line *line, size_t last, double dist_m) {
  if (o->line.ground_m == line->ground_m && o->last == last && o->dist_m == dist_m) return;
  es_outlines_forget(o);
  o->line = *line;
  o->last = last;
  o->dist_m = dist_m;
}

static const ground *ground_for(es_outlines *o, const es_view *view) {
  bool canopy = view->canopy && o->line.top_m != NULL;
  for (ground *g = o->grounds; g != NULL; g = g->next)
    if (g->view.canopy == canopy && (!canopy || g->view.keep_bare_m == view->keep_bare_m)) return g;
  ground *g = ES_NEW(o->keep, ground, 1);
  if (g == NULL) return NULL;
  *g = (ground){o->grounds, {canopy, view->keep_bare_m, 0.0}, es_view_heights(o->keep, &o->line, view, o->dist_m)};
  if (g->height == NULL) return NULL;
  return o->grounds = g;
}

static outline *find(const es_outlines *o, const ground *of, double k) {
  for (outline *is = o->first; is != NULL; is = is->next)
    if (is->of == of && is->crest.k == k) return is;
  return NULL;
}

/* Of the outlines that bend more than k the one that bends least: its vertices hold all that k can need. */
static const outline *nearest_above(const es_outlines *o, const ground *of, double k) {
  const outline *best = NULL;
  for (const outline *is = o->first; is != NULL; is = is->next)
    if (is->of == of && is->crest.k >= k && (best == NULL || is->crest.k < best->crest.k)) best = is;
  return best;
}

/* A copy that takes no more room than it needs. */
static bool keep_hull(es_arena *keep, const es_hull_stack *hull, es_hull_stack *out) {
  if (hull->n == 0) return *out = (es_hull_stack){0}, true;
  if (!es_hull_init(out, keep, hull->n)) return false;
  memcpy(out->x, hull->x, hull->n * sizeof *out->x);
  memcpy(out->y, hull->y, hull->n * sizeof *out->y);
  memcpy(out->at, hull->at, hull->n * sizeof *out->at);
  out->n = hull->n;
  return true;
}

static bool add(es_outlines *o, const ground *of, double k, const es_hull_stack *hull) {
  outline *is = ES_NEW(o->keep, outline, 1);
  if (is == NULL) return false;
  *is = (outline){o->first, of, {.line = &o->line, .height = of->height, .k = k}};
  if (!keep_hull(o->keep, hull, &is->crest.hull)) return false;
  o->first = is;
  return true;
}

/* Outlines at n half curvatures, none above `most`. */
static bool make_some(es_outlines *o, const ground *of, double most, const double *k, size_t n) {
  es_arena_mark mark = es_arena_now(o->scratch);
  es_hull_stack hulls[ES_SIDE_BY_SIDE];
  const outline *from = nearest_above(o, of, most);
  es_points points = {&o->line, of->height, from != NULL ? from->crest.hull.at : NULL,
                      from != NULL ? from->crest.hull.n : o->last};
  bool ok = es_kernel_best()->hulls(o->scratch, &points, k, n, hulls);
  for (size_t i = 0; ok && i < n; i++) ok = add(o, of, k[i], &hulls[i]);
  es_arena_back_to(o->scratch, mark);
  return ok;
}

/* Makes the outlines that are missing: the one that bends most from the ground, the others from it. */
static bool make_missing(es_outlines *o, const ground *of, const double *k, size_t n) {
  double most = -INFINITY, some[ES_SIDE_BY_SIDE];
  size_t n_some = 0;
  for (size_t i = 0; i < n; i++)
    if (k[i] > most && find(o, of, k[i]) == NULL) most = k[i];
  if (most == -INFINITY) return true;
  bool ok = make_some(o, of, most, &most, 1);
  for (size_t i = 0; ok && i < n; i++) {
    if (find(o, of, k[i]) != NULL) continue;
    some[n_some++] = k[i];
    if (n_some < ES_SIDE_BY_SIDE) continue;
    ok = make_some(o, of, most, some, n_some);
    n_some = 0;
  }
  return ok && (n_some == 0 || make_some(o, of, most, some, n_some));
}

/* --- asking ----------------------------------------------------------------------------------------------------------- */

static bool set_tops(es_outlines *o, es_crest *c) {
  es_arena_mark mark = es_arena_now(o->scratch);
  double *g = ES_NEW(o->scratch, double, o->line.n);
  for (size_t i = 0; g != NULL && i < o->line.n; i++) g[i] = es_crest_g(c, i);
  bool ok = g != NULL && es_crest_set_tops(c, o->keep, g);
  es_arena_back_to(o->scratch, mark);
  return ok;
}

/* Searches begin where nothing but the question says: an answer must not hang on the one before. */
static bool ask(es_outlines *o, es_crest *c, double h_tx, double h_rx, double enough_m, es_hull *out) {
  double g_rx = h_rx - c->k * o->dist_m * o->dist_m;
  es_rise rise = es_crest_rise(c, h_tx);
  es_sight sight = es_crest_sight(h_tx, o->dist_m, g_rx);
  bool open = c->hull.n > 0 && rise.slope < sight.slope;
  if (open && c->top == NULL && !set_tops(o, c)) return false;
  c->edge = 0;
  c->valley = open ? es_hull_support(&c->hull, sight.slope, 0) : 0;
  *out = es_crest_ask(c, rise, &sight, g_rx, enough_m);
  return true;
}

bool es_outlines_median(es_outlines *o, const es_median_walk *w) {
  const es_walk *along = &w->along;
  const es_view bare = {0, 0.0, 0.0};
  const double k[2] = {w->k, 0.0}, hn = along->at[0].ground_m, h_rx = along->at[0].antenna_m;
  go_to(o, along->line, along->last[0], along->dist_m[0]);
  const ground *of = ground_for(o, &bare);
  if (of == NULL || !make_missing(o, of, k, 2)) return false;
  if (!ask(o, &find(o, of, w->k)->crest, along->h_tx, h_rx, along->enough_m, w->hulls)) return false;
  es_crest *flat = &find(o, of, 0.0)->crest;
  flat->edge = flat->summit = 0;
  double h0 = along->line->ground_m[0], seen = es_crest_rise(flat, along->h_tx).slope;
  es_sight straight = es_crest_sight(along->h_tx, o->dist_m, h_rx);
  es_obstruction above =
      es_crest_obstruction(along->line, es_crest_above(flat, seen, &straight, h_rx), seen, &straight, h_rx);
  es_ends fit = es_fit_to(&o->fit, along->line, o->last, o->dist_m, hn);
  es_ends held = es_smooth_held(fit, h0, hn), lowered = es_smooth_held(es_smooth_lowered(fit, &above), h0, hn);
  w->smooth.fit_tx[0] = held.tx;
  w->smooth.fit_rx[0] = held.rx;
  w->smooth.smooth_tx[0] = lowered.tx;
  w->smooth.smooth_rx[0] = lowered.rx;
  return true;
}

int32_t es_outlines_tangents(es_outlines *o, const es_radial *radial, const es_view *view,
                             const double *curvature_per_km, size_t n, es_hull *out) {
  const es_receivers *rx = &radial->rx;
  es_arena_mark mark = es_arena_now(o->scratch);
  go_to(o, &radial->line, rx->last[0], rx->dist_m[0]);
  const ground *of = ground_for(o, view);
  double *k = ES_NEW(o->scratch, double, n);
  for (size_t i = 0; k != NULL && i < n; i++) k[i] = 0.5e-3 * curvature_per_km[i]; /* as es_tangents_many() has it */
  bool ok = of != NULL && k != NULL && make_missing(o, of, k, n);
  for (size_t i = 0; ok && i < n; i++)
    ok = ask(o, &find(o, of, k[i])->crest, radial->beacon.antenna_m, rx->at[0].antenna_m, view->enough_m, &out[i]);
  es_arena_back_to(o->scratch, mark);
  return ok ? 0 : -1;
}
