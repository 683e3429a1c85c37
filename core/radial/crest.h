/* crest.h - what the ends of a path ask about the hull of the ground between them.
 *
 * Least clearance. The hull is concave, so the clearance c(x) of the line over it is convex, and sqrt(x (D - x)) is concave:
 * G = c^2 / (x (D - x)) has one valley along the hull. Its best vertex is found by walking downhill from the last
 * receiver's. A sample below the hull can still beat every vertex, but only where the hull itself is below the best vertex's
 * G: an open interval that holds no vertex, hence within one edge beside the best vertex, on the side where G falls, and its
 * ends are the roots of a quadratic. Only the samples in it are looked at.
 */
#ifndef EARSHOT_RADIAL_CREST_H
#define EARSHOT_RADIAL_CREST_H

#include <math.h>

#include "radial/hull.h"
#include "radial/radial.h"

/* The hull of a line's ground at one curvature. Samples stand at the parabolic heights g = height - k x^2. */
typedef struct es_crest {
  const es_line *line;
  const double *height;        /* of every sample, above sea */
  double k;                    /* half the curvature, 1/m */
  const double *top, *far_top; /* highest g of each block of samples, and of each ES_CREST_FAR */
  es_hull_stack hull;
  size_t edge, summit, valley; /* vertices found for the receiver before: where the next searches begin */
} es_crest;

/* The steepest sight of the ground from the beacon. */
typedef struct es_rise {
  double slope;
  size_t at; /* sample; SIZE_MAX: there is none */
} es_rise;

enum { ES_CREST_BLOCK = 16, ES_CREST_FAR = 256 };

static inline double es_crest_g(const es_crest *c, size_t i) {
  double x = c->line->dist_m[i];
  return c->height[i] - c->k * x * x;
}

static inline double es_crest_highest(const double *g, size_t n) {
  double top = g[0];
  for (size_t i = 1; i < n; i++) top = g[i] > top ? g[i] : top;
  return top;
}

/* Highest of each `block` of n values. NULL: out of memory. */
static inline double *es_crest_tops(es_arena *arena, const double *g, size_t n, size_t block) {
  double *top = ES_NEW(arena, double, n / block + 1);
  for (size_t i = 0; top != NULL && i < n; i += block)
    top[i / block] = es_crest_highest(g + i, n - i < block ? n - i : block);
  return top;
}

/* Needed by nothing but a clearance; g of every sample. False: out of memory. */
static inline bool es_crest_set_tops(es_crest *c, es_arena *arena, const double *g) {
  size_t n = c->line->n, blocks = (n + ES_CREST_BLOCK - 1) / ES_CREST_BLOCK;
  c->top = es_crest_tops(arena, g, n, ES_CREST_BLOCK);
  c->far_top = c->top != NULL ? es_crest_tops(arena, c->top, blocks, ES_CREST_FAR / ES_CREST_BLOCK) : NULL;
  return c->far_top != NULL;
}

/* --- least clearance ------------------------------------------------------------------------------------------------ */

/* The direct line to a receiver in parabolic heights. */
typedef struct es_sight {
  double h_tx, slope, dist;
} es_sight;

static inline double es_crest_clearance(const es_sight *l, double x, double y) { return l->h_tx + l->slope * x - y; }

static inline double es_crest_v2(const es_sight *l, double x, double y) {
  double c = es_crest_clearance(l, x, y);
  return c * c / (x * (l->dist - x));
}

static inline size_t es_crest_valley(const es_hull_stack *hull, const es_sight *l, size_t t, double *least) {
  const double *x = hull->x, *y = hull->y;
  double here = es_crest_v2(l, x[t], y[t]);
  for (double next; t + 1 < hull->n && (next = es_crest_v2(l, x[t + 1], y[t + 1])) <= here; t++) here = next;
  for (double next; t > 0 && (next = es_crest_v2(l, x[t - 1], y[t - 1])) < here; t--) here = next;
  *least = here;
  return t;
}

/* The edge through vertex v with this slope has c = p + q x. The stretch where c^2 < bound x (D - x), or nothing. */
static inline bool es_crest_edge_interval(const es_sight *l, double vx, double vy, double slope, double bound,
                                          double *from, double *to) {
  double q = l->slope - slope, p = es_crest_clearance(l, vx, vy) - q * vx, d = l->dist;
  double a = q * q + bound, b = 2.0 * p * q - bound * d, root2 = b * b - 4.0 * a * p * p;
  if (!(root2 > 0.0) || !(a > 0.0)) return false;
  double root = sqrt(root2);
  *from = (-b - root) / (2.0 * a);
  *to = (-b + root) / (2.0 * a);
  return *to > *from;
}

/* Last sample before `from`, or low, between two known samples. */
static inline size_t es_crest_sample_before(const es_line *line, size_t low, size_t high, double from) {
  if (line->step_m > 0.0) {
    double guess = ceil(from / line->step_m) - 1.0;
    return guess > (double)low ? (guess < (double)high ? (size_t)guess : high) : low;
  }
  while (high - low > 1) {
    size_t middle = low + (high - low) / 2;
    if (line->dist_m[middle] < from)
      low = middle;
    else
      high = middle;
  }
  return low;
}

/* No sample of first..last, none higher than top, has a G below v2: the line is at its lowest over one end of them. */
static inline bool es_crest_all_clear(const es_sight *l, double x_first, double x_last, double top, double v2) {
  double c = es_crest_clearance(l, l->slope > 0.0 ? x_first : x_last, top);
  return c > 0.0 && c * c >= v2 * x_last * (l->dist - x_first);
}

/* First sample from i on that is worth a look, to at most: where a block's highest sample clears the line, all do. */
static inline size_t es_crest_pass_over(const es_crest *c, const es_sight *l, size_t i, size_t to, double v2) {
  const double *x = c->line->dist_m;
  while (i < to) {
    size_t end = (i / ES_CREST_BLOCK + 1) * ES_CREST_BLOCK, far_end = (i / ES_CREST_FAR + 1) * ES_CREST_FAR;
    if (far_end <= to && es_crest_all_clear(l, x[i], x[far_end - 1], c->far_top[i / ES_CREST_FAR], v2)) {
      i = far_end;
      continue;
    }
    end = end < to ? end : to;
    if (!es_crest_all_clear(l, x[i], x[end - 1], c->top[i / ES_CREST_BLOCK], v2)) return i;
    i = end;
  }
  return to;
}

/* Lowers out->clear_v2 to the least G of samples from..to-1, of one block; divided all at once, then compared. */
static inline void es_crest_scan_block(const es_crest *c, const es_sight *l, size_t from, size_t to, es_hull *out) {
  const double *x = c->line->dist_m;
  double v2[ES_CREST_BLOCK];
  for (size_t i = from; i < to; i++) v2[i - from] = es_crest_v2(l, x[i], es_crest_g(c, i));
  for (size_t i = from; i < to; i++) {
    bool less = v2[i - from] < out->clear_v2;
    out->clear_at = less ? i : out->clear_at;
    out->clear_v2 = less ? v2[i - from] : out->clear_v2;
  }
}

/* The same of many blocks, as far as it is below bound. Under a long edge lies a valley, so nearly all of them are passed
 * over. Cost: 2 ns a block, most of them of ES_CREST_FAR samples; 15 ns one that is looked at. */
static inline void es_crest_scan_samples(const es_crest *c, const es_sight *l, size_t from, size_t to, double bound,
                                         es_hull *out) {
  for (size_t i = from, end; (i = es_crest_pass_over(c, l, i, to, bound)) < to; i = end) {
    end = (i / ES_CREST_BLOCK + 1) * ES_CREST_BLOCK;
    end = end < to ? end : to;
    es_crest_scan_block(c, l, i, end, out);
    bound = out->clear_v2 < bound ? out->clear_v2 : bound;
  }
}

/* Samples strictly inside the edge that ends in vertex t, where they can be below out->clear_v2. */
static inline void es_crest_scan_edge(const es_crest *c, const es_sight *l, size_t valley, size_t t, double bound,
                                      es_hull *out) {
  const es_hull_stack *h = &c->hull;
  size_t begin = h->at[t - 1], end = h->at[t];
  double from, to, margin = 1e-6 * (h->x[t] - h->x[t - 1]);
  if (end == begin + 1) return;
  if (!es_crest_edge_interval(l, h->x[valley], h->y[valley], es_hull_slope(h, t), bound, &from, &to)) return;
  size_t first = es_crest_sample_before(c->line, begin, end, from - margin) + 1;
  size_t beyond = es_crest_sample_before(c->line, begin, end, to + margin) + 1;
  es_crest_scan_samples(c, l, first, beyond < end ? beyond : end, bound, out);
}

/* Sign of dG/dx at vertex v along the edge that ends in vertex `edge`. */
static inline double es_crest_fall_along(const es_sight *l, const es_hull_stack *h, size_t v, size_t edge) {
  double x = h->x[v], d = l->dist, run = h->x[edge] - h->x[edge - 1], rise = h->y[edge] - h->y[edge - 1];
  return 2.0 * (l->slope * run - rise) * x * (d - x) - es_crest_clearance(l, x, h->y[v]) * (d - 2.0 * x) * run;
}

static inline void es_crest_least_clearance(es_crest *c, const es_sight *l, double enough_m, es_hull *out) {
  const es_hull_stack *h = &c->hull;
  size_t v = c->valley < h->n ? c->valley : h->n - 1;
  c->valley = v = es_crest_valley(h, l, v, &out->clear_v2);
  out->clear_at = h->at[v];
  double enough = 0.5 * enough_m / l->dist, bound = out->clear_v2 < enough ? out->clear_v2 : enough;
  if (v + 1 < h->n && es_crest_fall_along(l, h, v, v + 1) < 0.0)
    es_crest_scan_edge(c, l, v, v + 1, bound, out);
  else if (v > 0 && es_crest_fall_along(l, h, v, v) > 0.0)
    es_crest_scan_edge(c, l, v, v, bound, out);
}

/* --- questions -------------------------------------------------------------------------------------------------------- */

static inline es_sight es_crest_sight(double h_tx, double dist, double g_rx) {
  return (es_sight){h_tx, (g_rx - h_tx) / dist, dist};
}

/* Tangents of a receiver at the end of a sight, at a parabolic height; where they touch, and rx_slope not yet. Cost: 5 ns; in
 * line of sight also the samples that can win. */
static inline void es_crest_touch(es_crest *c, es_rise tx, const es_sight *l, double g_rx, double enough_m,
                                  es_hull *out) {
  *out = (es_hull){tx.slope, -INFINITY, NAN, tx.at, SIZE_MAX, SIZE_MAX};
  if (c->hull.n == 0) return;
  size_t t = c->edge = es_hull_tangent(&c->hull, l->dist, g_rx, c->edge);
  out->rx_at = c->hull.at[t];
  if (tx.slope < l->slope) es_crest_least_clearance(c, l, enough_m, out);
}

/* The same with rx_slope. */
static inline es_hull es_crest_ask(es_crest *c, es_rise tx, const es_sight *l, double g_rx, double enough_m) {
  es_hull out;
  es_crest_touch(c, tx, l, g_rx, enough_m, &out);
  if (out.rx_at != SIZE_MAX) out.rx_slope = (es_crest_g(c, out.rx_at) - g_rx) / (l->dist - c->line->dist_m[out.rx_at]);
  return out;
}

/* The steepest sight of all that is on the hull. Cost: 20 ns. */
static inline es_rise es_crest_rise(const es_crest *c, double h_tx) {
  if (c->hull.n == 0) return (es_rise){-INFINITY, SIZE_MAX};
  size_t t = es_hull_tangent_before(&c->hull, h_tx, 0);
  return (es_rise){(c->hull.y[t] - h_tx) / c->hull.x[t], c->hull.at[t]};
}

/* Samples that stand above the straight line between the antennas: the one highest over it, and the one that the listener
 * sees. Nothing stands over it: the beacon's own foot, sample 0, both times. */
typedef struct es_above {
  uint32_t summit, edge;
} es_above;

/* Of a hull at curvature 0, the sight being the straight line. Cost: 5 ns where the ground stands over it. */
static inline es_above es_crest_above(es_crest *c, double tx_slope, const es_sight *l, double h_rx) {
  if (!(tx_slope > l->slope)) return (es_above){0, 0};
  c->summit = es_hull_support(&c->hull, l->slope, c->summit);
  c->edge = es_hull_tangent(&c->hull, l->dist, h_rx, c->edge);
  return (es_above){c->hull.at[c->summit], c->hull.at[c->edge]};
}

/* What they make of it: (3.8.8), (3.8.9) of ITU-R P.2001-6. height_m 0: nothing. */
typedef struct es_obstruction {
  double height_m, from_tx, from_rx; /* of the ground over the line; slopes over the line, seen from either end */
} es_obstruction;

static inline es_obstruction es_crest_obstruction(const es_line *line, es_above at, double tx_slope, const es_sight *l,
                                                  double h_rx) {
  const double *x = line->dist_m, *y = line->ground_m;
  double height = y[at.summit] - l->h_tx - l->slope * x[at.summit];
  double from_rx = (y[at.edge] - h_rx) / (l->dist - x[at.edge]) + l->slope;
  return (es_obstruction){height > 0.0 ? height : 0.0, tx_slope - l->slope, from_rx};
}

#endif
