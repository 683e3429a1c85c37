#include "walk.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

enum { BLOCK = 16, RANGE = 16 * BLOCK, MOST_PIECES = 16 };

static const double NEAREST_M = 0.1; /* tops nearer than this count as this far away */
static const double PIECE_M = 4.0;   /* the ray's course through an interval is looked at this often */
static const double LEAST_SOFT_M = 0.5;

/* --- what stands --------------------------------------------------------------------------------------------------------- */

static size_t parts(size_t n, size_t of) { return (n + of - 1) / of; }

size_t canopy_bytes(size_t n) { return (parts(n, BLOCK) + parts(n, RANGE)) * sizeof(double); }

static int stands(const es_line *line, size_t i) {
  return line->density != NULL ? line->density[i] > 0.0 : line->top_m[i] > line->ground_m[i];
}

static double drop_m(const canopy *c, double x) { return c->half_curvature * x * x; }

/* In parabolic heights; -infinity where nothing stands. */
static double top_at(const canopy *c, size_t i) {
  return stands(c->line, i) ? c->line->top_m[i] - drop_m(c, c->line->dist_m[i]) : -INFINITY;
}

/* Nothing stands on any of samples from..to, as on open water: told by bits that are all 0, so that a compiler can look at
 * several at once. May be 0 although it is so. */
static int all_bare(const es_line *line, size_t from, size_t to) {
  uint64_t any = 0, bits;
  for (size_t i = from; line->density != NULL && i <= to; i++) {
    memcpy(&bits, &line->density[i], sizeof bits);
    any |= bits;
  }
  return line->density != NULL && any == 0;
}

/* Not below any top of samples from..to: the tallest over the least that the earth takes off in them. */
static double ceiling_of(const canopy *c, size_t from, size_t to) {
  const es_line *l = c->line;
  if (all_bare(l, from, to)) return -INFINITY;
  double most = -INFINITY;
  for (size_t i = from; i <= to; i++) {
    double top = stands(l, i) ? l->top_m[i] : -INFINITY;
    most = top > most ? top : most;
  }
  return most - fmin(drop_m(c, l->dist_m[from]), drop_m(c, l->dist_m[to]));
}

static double tallest(const double *top, size_t n) {
  double most = top[0];
  for (size_t i = 1; i < n; i++) most = top[i] > most ? top[i] : most;
  return most;
}

/* A block holds both ends of every interval in it: the first sample of the next one too. */
void canopy_make(const es_line *line, double half_curvature, void *room, canopy *out) {
  size_t n = line->n, blocks = parts(n, BLOCK), a_range = RANGE / BLOCK;
  double *block_top = room, *range_top = block_top + blocks;
  *out = (canopy){line, half_curvature, block_top, range_top};
  for (size_t b = 0; b < blocks; b++)
    block_top[b] = ceiling_of(out, b * BLOCK, (b + 1) * BLOCK < n ? (b + 1) * BLOCK : n - 1);
  for (size_t b = 0; b < blocks; b += a_range)
    range_top[b / a_range] = tallest(block_top + b, blocks - b < a_range ? blocks - b : a_range);
}

/* --- the ray ---------------------------------------------------------------------------------------------------------------- */

static double height(const ray *r, double x) { return r->g + r->slope * fabs(x - r->from_m); }

/* x (D - x) / D: F1 is the root of this times the wavelength. */
static double arm_m(const ray *r, double x) { return fmax(x * (r->path_m - x), 0.0) / r->path_m; }

static double soft_m(const ray *r, double x) { return fmax(LEAST_SOFT_M, 0.6 * sqrt(r->wavelength_m * arm_m(r, x))); }

static double clamp01(double x) { return x < 0.0 ? 0.0 : x > 1.0 ? 1.0 : x; }

static uint8_t leaf_of(const es_line *line, size_t i) { return line->leaf != NULL ? line->leaf[i] : ES_MIXED_LEAF; }

/* The interval between samples i and i + 1, linear in top, base and density; its halves take the leaf of their sample. */
typedef struct interval {
  double x0, x1, top0, top1, base0, base1, density0, density1;
  uint8_t leaf0, leaf1;
} interval;

static interval interval_of(const canopy *c, size_t i) {
  const es_line *l = c->line;
  interval v = {.x0 = l->dist_m[i], .x1 = l->dist_m[i + 1], .top0 = l->top_m[i], .top1 = l->top_m[i + 1]};
  v.base0 = l->base_m != NULL ? l->base_m[i] : l->ground_m[i];
  v.base1 = l->base_m != NULL ? l->base_m[i + 1] : l->ground_m[i + 1];
  v.density0 = !stands(l, i) ? 0.0 : l->density != NULL ? l->density[i] : 1.0;
  v.density1 = !stands(l, i + 1) ? 0.0 : l->density != NULL ? l->density[i + 1] : 1.0;
  v.leaf0 = v.density0 > 0.0 ? leaf_of(l, i) : leaf_of(l, i + 1);
  v.leaf1 = v.density1 > 0.0 ? leaf_of(l, i + 1) : leaf_of(l, i);
  return v;
}

static double inside(const canopy *c, const ray *r, const interval *v, double x) {
  double share = (x - v->x0) / (v->x1 - v->x0), bend = c->half_curvature * x * x;
  double z = height(r, x) + bend, soft = soft_m(r, x);
  double top = v->top0 + share * (v->top1 - v->top0), base = v->base0 + share * (v->base1 - v->base0);
  double density = v->density0 + share * (v->density1 - v->density0);
  return density * clamp01(0.5 + (top - z) / (2.0 * soft)) * clamp01(0.5 + (z - base) / (2.0 * soft));
}

/* Between base and top by more than the soft edge: there the share is the density, linear along the interval. */
static int deep(const canopy *c, const ray *r, const interval *v, double x) {
  double share = (x - v->x0) / (v->x1 - v->x0), z = height(r, x) + c->half_curvature * x * x, soft = soft_m(r, x);
  return v->top0 + share * (v->top1 - v->top0) - z > soft && z - v->base0 - share * (v->base1 - v->base0) > soft;
}

/* Midpoints of equal pieces from a to b, in the direction of the ray. */
static void cross(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, const interval *v,
                  double a, double b, depth *d) {
  int pieces = deep(c, r, v, a) && deep(c, r, v, b) ? 2 : (int)ceil(fabs(b - a) / PIECE_M);
  pieces = pieces < 1 ? 1 : pieces > MOST_PIECES ? MOST_PIECES : pieces;
  double step = (b - a) / pieces, middle = 0.5 * (v->x0 + v->x1);
  for (int k = 0; k < pieces; k++) {
    double x = a + (k + 0.5) * step, share = inside(c, r, v, x);
    if (share > 0.0) depth_add(w, methods, beam_deg, x < middle ? v->leaf0 : v->leaf1, share * fabs(step), d);
  }
}

/* Part of the interval that the ray passes over, from near to far. */
static void cross_interval(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, size_t i,
                           depth *d) {
  double top = fmax(top_at(c, i), top_at(c, i + 1));
  if (top == -INFINITY) return;
  interval v = interval_of(c, i);
  double low = fmin(r->from_m, r->to_m), high = fmax(r->from_m, r->to_m);
  double a = fmax(v.x0, low), b = fmin(v.x1, high);
  if (!(b > a)) return;
  double ceiling = top + LEAST_SOFT_M;
  double floor_m = fmin(height(r, a), height(r, b)), soft = fmax(soft_m(r, a), soft_m(r, b));
  if (floor_m > ceiling + soft) return; /* 0.5 m more than needed: the bulge within a step */
  if (r->to_m > r->from_m)
    cross(c, w, methods, beam_deg, r, &v, a, b, d);
  else
    cross(c, w, methods, beam_deg, r, &v, b, a, d);
}

static double nu_of(const ray *r, double above_m, double arm) {
  return above_m * sqrt(2.0 / (r->wavelength_m * fmax(arm, NEAREST_M)));
}

static void graze(const canopy *c, const ray *r, size_t i, tops *t) {
  double x = c->line->dist_m[i], top = top_at(c, i);
  if (top != -INFINITY) t->nu = fmax(t->nu, nu_of(r, top - height(r, x), arm_m(r, x)));
}

/* Nothing of n samples from i on comes near the ray, their tallest top given. */
static int clear_of(const canopy *c, const ray *r, size_t i, size_t n, double top) {
  const es_line *l = c->line;
  if (top == -INFINITY) return 1;
  double x0 = l->dist_m[i], x1 = l->dist_m[i + n < l->n ? i + n : l->n - 1];
  double rise = r->to_m > r->from_m ? r->slope : -r->slope;
  double z0 = r->g + rise * (x0 - r->from_m), z1 = r->g + rise * (x1 - r->from_m);
  double over = (z0 < z1 ? z0 : z1) - top - LEAST_SOFT_M;
  if (!(over > LEAST_SOFT_M)) return 0;
  double far = x1 < r->path_m ? x1 : r->path_m, rest = r->path_m - x0; /* F1 is nowhere larger in it */
  return over * over * r->path_m > 0.36 * r->wavelength_m * far * (rest > 0.0 ? rest : 0.0);
}

/* Intervals that need no look from i outward: a range, a block, or none. */
static size_t clear_ahead(const canopy *c, const ray *r, size_t i) {
  if (i % RANGE == 0 && clear_of(c, r, i, RANGE, c->range_top[i / RANGE])) return RANGE;
  return i % BLOCK == 0 && clear_of(c, r, i, BLOCK, c->block_top[i / BLOCK]) ? BLOCK : 0;
}

/* The same backward from sample i. */
static size_t clear_behind(const canopy *c, const ray *r, size_t i) {
  if (i % RANGE == 0 && clear_of(c, r, i - RANGE, RANGE, c->range_top[i / RANGE - 1])) return RANGE;
  return i % BLOCK == 0 && clear_of(c, r, i - BLOCK, BLOCK, c->block_top[i / BLOCK - 1]) ? BLOCK : 0;
}

static size_t sample_before(const es_line *l, double x) {
  size_t low = 0, high = l->n - 1;
  while (high - low > 1) {
    size_t middle = low + (high - low) / 2;
    if (l->dist_m[middle] <= x)
      low = middle;
    else
      high = middle;
  }
  return low;
}

void canopy_look_up(const canopy *c, const ray *r, tops *t) {
  size_t i = sample_before(c->line, r->from_m);
  interval v = interval_of(c, i);
  double share = clamp01((r->from_m - v.x0) / (v.x1 - v.x0));
  if (!(v.density0 + share * (v.density1 - v.density0) > 0.0)) return;
  double top = v.top0 + share * (v.top1 - v.top0) - c->half_curvature * r->from_m * r->from_m;
  t->own_nu = nu_of(r, top - r->g, 0.0);
  t->own_slope = (top - r->g) / NEAREST_M;
  t->nu = fmax(t->nu, t->own_nu);
}

/* One interval, the sample at its far end included. */
static void step_through(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, size_t i,
                         size_t far, depth *d, tops *t) {
  double x = c->line->dist_m[far];
  if (t != NULL && (x - r->from_m) * (x - r->to_m) < 0.0) graze(c, r, far, t);
  if (!depth_is_hopeless(d)) cross_interval(c, w, methods, beam_deg, r, i, d);
}

static int finished(const depth *d, const tops *t) { return t == NULL && depth_is_hopeless(d); }

static void walk_out(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, depth *d,
                     tops *t) {
  const es_line *l = c->line;
  for (size_t i = sample_before(l, r->from_m), skip; i + 1 < l->n && l->dist_m[i] < r->to_m && !finished(d, t);
       i += skip > 0 ? skip : 1)
    if ((skip = clear_ahead(c, r, i)) == 0) step_through(c, w, methods, beam_deg, r, i, i + 1, d, t);
}

static void walk_back(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, depth *d,
                      tops *t) {
  const es_line *l = c->line;
  if (t != NULL && l->dist_m[l->n - 1] < r->from_m) graze(c, r, l->n - 1, t);
  for (size_t i = sample_before(l, r->from_m) + 1, skip; i > 0 && l->dist_m[i] > r->to_m && !finished(d, t);
       i -= skip > 0 ? skip : 1) /* interval (i - 1, i) */
    if ((skip = clear_behind(c, r, i)) == 0) step_through(c, w, methods, beam_deg, r, i - 1, i - 1, d, t);
}

void canopy_walk(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, depth *d, tops *t) {
  if (c->line->n < 2) return;
  d->here = 0; /* the beam may be another than before */
  if (t != NULL) canopy_look_up(c, r, t);
  if (r->to_m > r->from_m)
    walk_out(c, w, methods, beam_deg, r, d, t);
  else if (r->to_m < r->from_m)
    walk_back(c, w, methods, beam_deg, r, d, t);
}
