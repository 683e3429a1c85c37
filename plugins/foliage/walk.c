#include "walk.h"

#include <math.h>

enum { BLOCK = 16, MOST_PIECES = 16 };

static const double NEAREST_M = 0.1; /* tops nearer than this count as this far away */
static const double PIECE_M = 4.0;   /* the ray's course through an interval is looked at this often */
static const double LEAST_SOFT_M = 0.5;

/* --- what stands --------------------------------------------------------------------------------------------------------- */

size_t canopy_bytes(size_t n) { return (n + n / BLOCK + 1) * sizeof(double); }

static int stands(const es_line *line, size_t i) {
  return line->density != NULL ? line->density[i] > 0.0 : line->top_m[i] > line->ground_m[i];
}

void canopy_make(const es_line *line, double half_curvature, void *room, canopy *out) {
  *out = (canopy){line, half_curvature, room, (double *)room + line->n};
  for (size_t i = 0; i < line->n; i++)
    out->top[i] = stands(line, i) ? line->top_m[i] - half_curvature * line->dist_m[i] * line->dist_m[i] : -INFINITY;
  for (size_t b = 0; b <= line->n / BLOCK; b++) {
    out->block_top[b] = -INFINITY;
    for (size_t i = b * BLOCK; i < line->n && i <= (b + 1) * BLOCK; i++) /* both ends of every interval in it */
      out->block_top[b] = fmax(out->block_top[b], out->top[i]);
  }
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

/* Midpoints of equal pieces from a to b, in the direction of the ray. */
static void cross(const canopy *c, const wood *w, method by, double beam_deg, const ray *r, const interval *v, double a,
                  double b, depth *d) {
  int pieces = (int)ceil(fabs(b - a) / PIECE_M);
  pieces = pieces < 1 ? 1 : pieces > MOST_PIECES ? MOST_PIECES : pieces;
  double step = (b - a) / pieces, middle = 0.5 * (v->x0 + v->x1);
  for (int k = 0; k < pieces; k++) {
    double x = a + (k + 0.5) * step, share = inside(c, r, v, x);
    if (share > 0.0) depth_add(w, by, beam_deg, x < middle ? v->leaf0 : v->leaf1, share * fabs(step), d);
  }
}

/* Part of the interval that the ray passes over, from near to far. */
static void cross_interval(const canopy *c, const wood *w, method by, double beam_deg, const ray *r, size_t i,
                           depth *d) {
  if (c->top[i] == -INFINITY && c->top[i + 1] == -INFINITY) return;
  interval v = interval_of(c, i);
  double low = fmin(r->from_m, r->to_m), high = fmax(r->from_m, r->to_m);
  double a = fmax(v.x0, low), b = fmin(v.x1, high);
  if (!(b > a)) return;
  double ceiling = fmax(c->top[i], c->top[i + 1]) + LEAST_SOFT_M;
  double floor_m = fmin(height(r, a), height(r, b)), soft = fmax(soft_m(r, a), soft_m(r, b));
  if (floor_m > ceiling + soft) return; /* 0.5 m more than needed: the bulge within a step */
  if (r->to_m > r->from_m)
    cross(c, w, by, beam_deg, r, &v, a, b, d);
  else
    cross(c, w, by, beam_deg, r, &v, b, a, d);
}

static double nu_of(const ray *r, double above_m, double arm) {
  return above_m * sqrt(2.0 / (r->wavelength_m * fmax(arm, NEAREST_M)));
}

static void graze(const canopy *c, const ray *r, size_t i, tops *t) {
  double x = c->line->dist_m[i];
  if (c->top[i] != -INFINITY) t->nu = fmax(t->nu, nu_of(r, c->top[i] - height(r, x), arm_m(r, x)));
}

/* Nothing of a block comes near the ray: neither its first zone nor, where tops are looked for, the highest so far. */
static int clear_of(const canopy *c, const ray *r, size_t block) {
  const es_line *l = c->line;
  if (c->block_top[block] == -INFINITY) return 1;
  size_t end = (block + 1) * BLOCK;
  double x0 = l->dist_m[block * BLOCK], x1 = l->dist_m[end < l->n ? end : l->n - 1];
  double arm = fmin(x1, r->path_m) * fmax(r->path_m - x0, 0.0) / r->path_m; /* no less than anywhere in it */
  double soft = fmax(LEAST_SOFT_M, 0.6 * sqrt(r->wavelength_m * arm));
  double low = r->slope * (r->to_m > r->from_m ? 1.0 : -1.0);
  double z0 = r->g + low * (x0 - r->from_m), z1 = r->g + low * (x1 - r->from_m);
  return fmin(z0, z1) > c->block_top[block] + LEAST_SOFT_M + soft;
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

/* What the terminal itself stands under. */
static void look_up(const canopy *c, const ray *r, tops *t) {
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
static void step_through(const canopy *c, const wood *w, method by, double beam_deg, const ray *r, size_t i, size_t far,
                         depth *d, tops *t) {
  double x = c->line->dist_m[far];
  if (x > fmin(r->from_m, r->to_m) && x < fmax(r->from_m, r->to_m)) graze(c, r, far, t);
  if (!depth_is_hopeless(d)) cross_interval(c, w, by, beam_deg, r, i, d);
}

static void walk_out(const canopy *c, const wood *w, method by, double beam_deg, const ray *r, depth *d, tops *t) {
  const es_line *l = c->line;
  for (size_t i = sample_before(l, r->from_m); i + 1 < l->n && l->dist_m[i] < r->to_m; i++)
    if (i % BLOCK == 0 && clear_of(c, r, i / BLOCK))
      i += BLOCK - 1;
    else
      step_through(c, w, by, beam_deg, r, i, i + 1, d, t);
}

static void walk_back(const canopy *c, const wood *w, method by, double beam_deg, const ray *r, depth *d, tops *t) {
  const es_line *l = c->line;
  if (l->dist_m[l->n - 1] < r->from_m) graze(c, r, l->n - 1, t);
  for (size_t i = sample_before(l, r->from_m) + 1; i > 0 && l->dist_m[i] > r->to_m; i--) /* interval (i - 1, i) */
    if (i % BLOCK == 0 && clear_of(c, r, i / BLOCK - 1))
      i -= BLOCK - 1;
    else
      step_through(c, w, by, beam_deg, r, i - 1, i - 1, d, t);
}

void canopy_walk(const canopy *c, const wood *w, method by, double beam_deg, const ray *r, depth *d, tops *t) {
  if (c->line->n < 2) return;
  look_up(c, r, t);
  if (r->to_m > r->from_m)
    walk_out(c, w, by, beam_deg, r, d, t);
  else if (r->to_m < r->from_m)
    walk_back(c, w, by, beam_deg, r, d, t);
}
