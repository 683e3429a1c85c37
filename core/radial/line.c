/* line.c - gaps: short voids are bridged and flagged, a long one ends the line. */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/status.h"
#include "radial/radial.h"

enum { VOID = 0, MEASURED = 1, BRIDGED = 2 };

typedef struct copy {
  double *dist_m, *ground_m, *top_m, *base_m, *density;
  uint8_t *leaf, *cover, *zone, *known;
} copy;

static bool copy_create(es_arena *arena, const es_samples *s, copy *c) {
  c->dist_m = ES_NEW(arena, double, s->n);
  c->ground_m = ES_NEW(arena, double, s->n);
  c->top_m = s->canopy_m != NULL ? ES_NEW(arena, double, s->n) : NULL;
  c->base_m = s->canopy_m != NULL ? ES_NEW(arena, double, s->n) : NULL;
  c->density = s->canopy_m != NULL ? ES_NEW(arena, double, s->n) : NULL;
  c->leaf = s->canopy_m != NULL ? ES_NEW(arena, uint8_t, s->n) : NULL;
  c->cover = s->cover != NULL ? ES_NEW(arena, uint8_t, s->n) : NULL;
  c->zone = ES_NEW(arena, uint8_t, s->n);
  c->known = ES_NEW(arena, uint8_t, s->n);
  return c->dist_m != NULL && c->ground_m != NULL && c->zone != NULL && c->known != NULL &&
         (s->canopy_m == NULL || (c->top_m != NULL && c->base_m != NULL && c->density != NULL && c->leaf != NULL)) &&
         (s->cover == NULL || c->cover != NULL);
}

/* What stands on a sample; nothing where its height is 0. */
static void stand(const es_samples *s, copy *c, size_t i) {
  bool any = s->canopy_m[i] > 0.0;
  c->top_m[i] = c->ground_m[i] + (any ? s->canopy_m[i] : 0.0);
  c->base_m[i] = c->ground_m[i] + (any && s->base_m != NULL ? fmin(s->base_m[i], s->canopy_m[i]) : 0.0);
  c->density[i] = !any ? 0.0 : s->density != NULL ? s->density[i] : 1.0;
  c->leaf[i] = (uint8_t)(!any ? ES_NO_LEAF : s->leaf != NULL ? s->leaf[i] : ES_MIXED_LEAF);
}

static void bridge(copy *c, size_t from, size_t to) {
  double span = c->dist_m[to] - c->dist_m[from];
  for (size_t i = from + 1; i < to; i++) {
    double share = (c->dist_m[i] - c->dist_m[from]) / span;
    c->ground_m[i] = (1.0 - share) * c->ground_m[from] + share * c->ground_m[to];
    c->known[i] = BRIDGED;
  }
}

/* Bridges what may be bridged; the number of samples that remain. */
static size_t close_gaps(copy *c, size_t n, double fill_gap_m) {
  if (n == 0 || c->known[0] == VOID) return 0;
  size_t last = 0;
  for (size_t i = 1; i < n; i++) {
    if (c->known[i] == VOID) continue;
    if (i > last + 1) {
      if (c->dist_m[i] - c->dist_m[last] > fill_gap_m) break;
      bridge(c, last, i);
    }
    last = i;
  }
  return last + 1;
}

/* Nothing to bridge, nothing to add: the line may look at the samples themselves. */
static bool whole(const es_samples *s) {
  if (s->known == NULL || s->zone == NULL || s->canopy_m != NULL) return false;
  return memchr(s->known, VOID, s->n) == NULL;
}

static es_line view_of(const es_samples *s) {
  return (es_line){.n = s->n,
                   .step_m = s->step_m,
                   .dist_m = s->dist_m,
                   .ground_m = s->ground_m,
                   .cover = s->cover,
                   .zone = s->zone,
                   .known = s->known};
}

int32_t es_line_make(es_arena *arena, const es_samples *s, double fill_gap_m, es_line *line) {
  *line = (es_line){.step_m = s->step_m};
  if (s->n == 0) return 0;
  if (whole(s)) {
    *line = view_of(s);
    return 0;
  }
  copy c;
  if (!copy_create(arena, s, &c)) return ES_E_MEMORY;
  memcpy(c.dist_m, s->dist_m, s->n * sizeof *c.dist_m);
  memcpy(c.ground_m, s->ground_m, s->n * sizeof *c.ground_m);
  if (s->known != NULL)
    memcpy(c.known, s->known, s->n);
  else
    memset(c.known, MEASURED, s->n);
  if (s->zone != NULL)
    memcpy(c.zone, s->zone, s->n);
  else
    memset(c.zone, ES_ZONE_INLAND, s->n);
  if (c.cover != NULL) memcpy(c.cover, s->cover, s->n);
  line->n = close_gaps(&c, s->n, fill_gap_m);
  for (size_t i = 0; c.top_m != NULL && i < line->n; i++) stand(s, &c, i);
  line->dist_m = c.dist_m;
  line->ground_m = c.ground_m;
  line->top_m = c.top_m;
  line->base_m = c.base_m;
  line->density = c.density;
  line->leaf = c.leaf;
  line->cover = c.cover;
  line->zone = c.zone;
  line->known = c.known;
  return 0;
}
