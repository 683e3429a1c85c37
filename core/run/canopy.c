#include "run/canopy.h"

#include <math.h>
#include <string.h>

#include "base/status.h"

static const double SURVEY_M = 1000.0; /* obstacles outrank rasters this far */
static const double EDGE_M = 1e-3;     /* an upright edge is this wide */

/* --- rasters ------------------------------------------------------------------------------------------------------------ */

typedef struct column {
  double *canopy_m, *base_m, *density;
  uint8_t *leaf;
} column;

static bool column_create(es_arena *arena, size_t n, column *c) {
  c->canopy_m = es_arena_zeroed(arena, es_array_bytes(n, sizeof(double)));
  c->base_m = es_arena_zeroed(arena, es_array_bytes(n, sizeof(double)));
  c->density = es_arena_zeroed(arena, es_array_bytes(n, sizeof(double)));
  c->leaf = es_arena_zeroed(arena, n);
  return c->canopy_m != NULL && c->base_m != NULL && c->density != NULL && c->leaf != NULL;
}

static void clear(column *c, size_t i) {
  c->canopy_m[i] = c->base_m[i] = c->density[i] = 0.0;
  c->leaf[i] = ES_NO_LEAF;
}

/* What the rasters say of a sample, before season and growth. */
static es_cover_class raster_at(const es_setup *setup, const es_samples *s, size_t i) {
  const es_job *job = setup->job;
  es_cover_class none = {0}, c = none;
  if (job->cover_table.given && s->cover != NULL) c = job->cover_table.of[s->cover[i]];
  if (c.leaf == ES_NO_LEAF || !(c.height_m > 0.0)) c = none;
  if (!setup->facts.has_canopy) return c;
  double height_m = s->canopy_m[i];
  if (!(height_m > 0.0)) return none;
  if (c.leaf == ES_NO_LEAF) return (es_cover_class){height_m, 0.0, 1.0, job->trees.leaf};
  return (es_cover_class){height_m, fmin(c.base_m, height_m), c.density, c.leaf};
}

static void grow(const es_setup *setup, const es_canopy_view *view, es_cover_class *c) {
  if (c->leaf == ES_OPAQUE || c->leaf == ES_NO_LEAF) return;
  c->height_m = c->height_m * setup->job->trees.height_factor + setup->job->trees.growth_m;
  if (view->trim_m < c->height_m) c->height_m = view->trim_m;
  c->base_m = fmin(c->base_m, c->height_m);
}

static bool gone(int32_t season, uint8_t leaf) { return season == ES_NO_TREES && leaf != ES_OPAQUE; }

static void set(column *c, size_t i, const es_cover_class *what) {
  c->canopy_m[i] = what->height_m;
  c->base_m[i] = what->base_m;
  c->density[i] = what->density;
  c->leaf[i] = what->leaf;
}

static void set_rasters(const es_setup *setup, const es_canopy_view *view, const es_samples *s, column *c) {
  for (size_t i = 0; i < s->n; i++) {
    es_cover_class what = raster_at(setup, s, i);
    grow(setup, view, &what);
    if (what.leaf != ES_NO_LEAF && what.height_m > 0.0 && what.density > 0.0 && !gone(view->season, what.leaf))
      set(c, i, &what);
  }
}

/* --- obstacles ------------------------------------------------------------------------------------------------------------ */

static bool of_beacon(const es_job *job, const es_obstacle *o) {
  return strcmp(o->station, "beacon") == 0 || strcmp(o->station, job->beacon.name) == 0 ||
         (job->beacon.call[0] != '\0' && strcmp(o->station, job->beacon.call) == 0) ||
         (job->beacon.site != NULL && strcmp(o->station, job->beacon.site) == 0);
}

static void add_standing(es_standing item, size_t *n, es_standing *out) {
  size_t at = (*n)++;
  for (; at > 0 && out[at - 1].from_m > item.from_m; at--) out[at] = out[at - 1];
  out[at] = item;
}

size_t es_obstacles_on(const es_setup *setup, const es_listener *listener, const es_course *course, es_standing *out) {
  const es_obstacles *list = &setup->job->obstacles;
  size_t n = 0;
  for (size_t k = 0; k < list->n; k++) {
    const es_obstacle *o = &list->items[k];
    double near = o->distance_m, far = near + o->depth_m;
    es_standing s = {near, far, o, near < SURVEY_M};
    if (of_beacon(setup->job, o)) {
      if (!es_obstacle_crossed(o, course->azimuth_deg)) continue;
    } else {
      if (listener == NULL || strcmp(o->station, listener->name) != 0 ||
          !es_obstacle_crossed(o, course->back_azimuth_deg))
        continue;
      s.from_m = course->dist_m - far, s.to_m = course->dist_m - near;
    }
    if (s.to_m > 0.0 && s.from_m < course->dist_m) add_standing(s, &n, out);
  }
  return n;
}

/* Rasters end where a list has looked. */
static void clear_surveyed(const es_job *job, const es_standing *on, size_t n, const es_samples *s, double path_m,
                           column *c) {
  double tx_m = -1.0, rx_m = INFINITY;
  for (size_t k = 0; k < n; k++) {
    if (!on[k].surveyed) continue;
    if (of_beacon(job, on[k].is))
      tx_m = fmax(tx_m, fmin(on[k].to_m, SURVEY_M));
    else
      rx_m = fmin(rx_m, fmax(on[k].from_m, path_m - SURVEY_M));
  }
  for (size_t i = 0; i < s->n; i++)
    if (s->dist_m[i] <= tx_m || s->dist_m[i] >= rx_m) clear(c, i);
}

static void raise(const es_canopy_view *view, const es_standing *on, size_t i, column *c) {
  const es_obstacle *o = on->is;
  es_cover_class what = {o->top_m, o->base_m, o->density, o->leaf};
  if (what.leaf != ES_OPAQUE && view->trim_m < what.height_m) what.height_m = view->trim_m;
  what.base_m = fmin(what.base_m, what.height_m);
  if (gone(view->season, what.leaf) || !(what.height_m > c->canopy_m[i]) || !(what.density > 0.0)) return;
  set(c, i, &what);
}

static size_t nearest_sample(const es_samples *s, double x) {
  size_t best = 0;
  for (size_t i = 1; i < s->n; i++)
    if (fabs(s->dist_m[i] - x) < fabs(s->dist_m[best] - x)) best = i;
  return best;
}

static void set_obstacles(const es_canopy_view *view, const es_standing *on, size_t n, const es_samples *s, column *c) {
  for (size_t k = 0; k < n; k++) {
    bool any = false;
    for (size_t i = 0; i < s->n; i++)
      if (s->dist_m[i] >= on[k].from_m && s->dist_m[i] <= on[k].to_m) {
        raise(view, &on[k], i, c);
        any = true;
      }
    if (!any) raise(view, &on[k], nearest_sample(s, 0.5 * (on[k].from_m + on[k].to_m)), c);
  }
}

/* --- samples at upright edges ------------------------------------------------------------------------------------------------ */

/* Distances of the samples and of all edges, rising, none twice. */
static size_t merge_edges(const es_samples *s, const es_standing *on, size_t n, double *out) {
  size_t count = s->n;
  double end = s->dist_m[s->n - 1];
  memcpy(out, s->dist_m, s->n * sizeof *out);
  for (size_t k = 0; k < n; k++) {
    const double edges[] = {on[k].from_m - EDGE_M, on[k].from_m, on[k].to_m, on[k].to_m + EDGE_M};
    for (int e = 0; e < 4; e++) {
      if (!(edges[e] > 0.0 && edges[e] < end)) continue;
      size_t at = count;
      while (out[at - 1] > edges[e]) at--;
      if (out[at - 1] == edges[e]) continue;
      memmove(&out[at + 1], &out[at], (count - at) * sizeof *out);
      out[at] = edges[e];
      count++;
    }
  }
  return count;
}

/* One column of doubles on the new distances, linear in between. */
static const double *stretched(es_arena *arena, const es_samples *s, const double *column_, const double *dist,
                               size_t n) {
  double *out = column_ != NULL ? ES_NEW(arena, double, n) : NULL;
  for (size_t j = 0, i = 0; out != NULL && j < n; j++) {
    while (i + 2 < s->n && s->dist_m[i + 1] <= dist[j]) i++;
    double share = (dist[j] - s->dist_m[i]) / (s->dist_m[i + 1] - s->dist_m[i]);
    out[j] = share <= 0.0   ? column_[i]
             : share >= 1.0 ? column_[i + 1]
                            : column_[i] + share * (column_[i + 1] - column_[i]);
  }
  return out;
}

/* One column of classes: that of the nearer sample. `worst`: the lower of both, for known. */
static const uint8_t *spread(es_arena *arena, const es_samples *s, const uint8_t *column_, const double *dist, size_t n,
                             bool worst) {
  uint8_t *out = column_ != NULL ? es_arena_get(arena, n) : NULL;
  for (size_t j = 0, i = 0; out != NULL && j < n; j++) {
    while (i + 2 < s->n && s->dist_m[i + 1] <= dist[j]) i++;
    double share = (dist[j] - s->dist_m[i]) / (s->dist_m[i + 1] - s->dist_m[i]);
    out[j] = share < 0.5 ? column_[i] : column_[i + 1];
    if (worst && share > 0.0 && share < 1.0 && (column_[i] == 0 || column_[i + 1] == 0)) out[j] = 0;
  }
  return out;
}

static bool insert_edges(es_arena *arena, const es_standing *on, size_t n, es_samples *s) {
  double *dist = ES_NEW(arena, double, s->n + 4 * n);
  if (dist == NULL) return false;
  size_t count = merge_edges(s, on, n, dist);
  es_samples out = {.n = count, .dist_m = dist};
  out.ground_m = stretched(arena, s, s->ground_m, dist, count);
  out.canopy_m = stretched(arena, s, s->canopy_m, dist, count);
  out.cover = spread(arena, s, s->cover, dist, count, false);
  out.zone = spread(arena, s, s->zone, dist, count, false);
  out.known = spread(arena, s, s->known, dist, count, true);
  bool ok = out.ground_m != NULL && (out.canopy_m != NULL) == (s->canopy_m != NULL) &&
            (out.cover != NULL) == (s->cover != NULL) && (out.zone != NULL) == (s->zone != NULL) &&
            (out.known != NULL) == (s->known != NULL);
  *s = out;
  return ok;
}

/* --- all together -------------------------------------------------------------------------------------------------------------- */

static bool anything(const column *c, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (c->leaf[i] != ES_NO_LEAF) return true;
  return false;
}

int32_t es_canopy_stand(const es_setup *setup, const es_canopy_view *view, const es_listener *listener,
                        const es_course *course, es_arena *arena, es_samples *s) {
  const es_job *job = setup->job;
  if (!es_job_has_canopy(job) || s->n < 2) {
    s->canopy_m = NULL;
    return 0;
  }
  es_standing *on = ES_NEW(arena, es_standing, job->obstacles.n + 1);
  column c;
  if (on == NULL) return ES_E_MEMORY;
  size_t n = es_obstacles_on(setup, listener, course, on);
  if (listener != NULL && n > 0 && !insert_edges(arena, on, n, s)) return ES_E_MEMORY;
  if (!column_create(arena, s->n, &c)) return ES_E_MEMORY;
  set_rasters(setup, view, s, &c);
  clear_surveyed(job, on, n, s, course->dist_m, &c);
  set_obstacles(view, on, n, s, &c);
  bool any = anything(&c, s->n);
  s->canopy_m = any ? c.canopy_m : NULL;
  s->base_m = any ? c.base_m : NULL;
  s->density = any ? c.density : NULL;
  s->leaf = any ? c.leaf : NULL;
  return 0;
}
