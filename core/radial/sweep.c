/* sweep.c - see sweep.h; compiled once for each set of instructions (kernel.c).
 *
 * Least clearance. The hull is concave, so the clearance c(x) of the line over it is convex, and sqrt(x (D - x)) is concave:
 * G = c^2 / (x (D - x)) has one valley along the hull. Its best vertex is found by walking downhill from the last
 * receiver's. A sample below the hull can still beat every vertex, but only where the hull itself is below the best vertex's
 * G: an open interval that holds no vertex, hence within one edge beside the best vertex, on the side where G falls, and its
 * ends are the roots of a quadratic. Only the samples in it are looked at.                                                */
#include <math.h>

#include "radial/hull.h"
#include "radial/kernel.h"

#ifndef ES_KERNEL
#define ES_KERNEL es_kernel_portable
#endif

/* A hull with its running maximum, on its way along the line. */
typedef struct sweep {
  const es_line *line;
  const double *g; /* height of every sample */
  double *seen;    /* slope from the beacon to every sample */
  double *top;     /* highest of each block of samples */
  double *far_top; /* and of each FAR_BLOCK */
  es_hull_stack hull;
  double h_tx;
  double tx_slope; /* largest so far */
  size_t tx_at;
  size_t pushed;               /* samples up to this index are on the hull */
  size_t edge, summit, valley; /* vertices found for the receiver before: where the next searches begin */
} sweep;

enum { BLOCK = 16, FAR_BLOCK = 256 };

static double highest_of(const double *g, size_t n) {
  double top = g[0];
  for (size_t i = 1; i < n; i++) top = g[i] > top ? g[i] : top;
  return top;
}

/* Highest of each `block` of n values. NULL: out of memory. */
static double *tops_of(es_arena *arena, const double *g, size_t n, size_t block) {
  double *top = ES_NEW(arena, double, n / block + 1);
  for (size_t i = 0; top != NULL && i < n; i += block)
    top[i / block] = highest_of(g + i, n - i < block ? n - i : block);
  return top;
}

/* Cost: 1 ns a sample. Keeps g. False: out of memory. */
static bool sweep_begin(sweep *s, es_arena *arena, const es_line *line, const double *g, double h_tx) {
  size_t n = line->n;
  *s = (sweep){.line = line, .g = g, .h_tx = h_tx, .tx_slope = -INFINITY, .tx_at = SIZE_MAX};
  s->seen = ES_NEW(arena, double, n);
  s->top = tops_of(arena, g, n, BLOCK);
  s->far_top = s->top != NULL ? tops_of(arena, s->top, (n + BLOCK - 1) / BLOCK, FAR_BLOCK / BLOCK) : NULL;
  if (s->seen == NULL || s->far_top == NULL || !es_hull_init(&s->hull, arena, n)) return false;
  for (size_t i = 1; i < n; i++) s->seen[i] = (g[i] - h_tx) / line->dist_m[i];
  return true;
}

/* Puts the next sample on the hull. Cost: 10 ns by itself, 2 to 3 ns when several hulls take turns. */
static inline void sweep_push(sweep *s) {
  size_t i = ++s->pushed;
  bool higher = s->seen[i] >= s->tx_slope; /* of equal ones the last, as in the reference examples of P.2001 */
  s->tx_slope = higher ? s->seen[i] : s->tx_slope;
  s->tx_at = higher ? i : s->tx_at;
  es_hull_push(&s->hull, s->line->dist_m[i], s->g[i], i);
}

/* --- least clearance ------------------------------------------------------------------------------------------------ */

/* The direct line to a receiver in parabolic heights. */
typedef struct sight {
  double h_tx, slope, dist;
} sight;

static double clearance(const sight *l, double x, double y) { return l->h_tx + l->slope * x - y; }

static double clear_v2(const sight *l, double x, double y) {
  double c = clearance(l, x, y);
  return c * c / (x * (l->dist - x));
}

static size_t walk_to_valley(const es_hull_stack *hull, const sight *l, size_t t, double *least) {
  const double *x = hull->x, *y = hull->y;
  double here = clear_v2(l, x[t], y[t]);
  for (double next; t + 1 < hull->n && (next = clear_v2(l, x[t + 1], y[t + 1])) <= here; t++) here = next;
  for (double next; t > 0 && (next = clear_v2(l, x[t - 1], y[t - 1])) < here; t--) here = next;
  *least = here;
  return t;
}

/* The edge through vertex v with this slope has c = p + q x. The stretch where c^2 < bound x (D - x), or nothing. */
static bool edge_interval(const sight *l, double vx, double vy, double slope, double bound, double *from, double *to) {
  double q = l->slope - slope, p = clearance(l, vx, vy) - q * vx, d = l->dist;
  double a = q * q + bound, b = 2.0 * p * q - bound * d, root2 = b * b - 4.0 * a * p * p;
  if (!(root2 > 0.0) || !(a > 0.0)) return false;
  double root = sqrt(root2);
  *from = (-b - root) / (2.0 * a);
  *to = (-b + root) / (2.0 * a);
  return *to > *from;
}

/* Last sample before `from`, or low, between two known samples. */
static size_t sample_before(const es_line *line, size_t low, size_t high, double from) {
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
static bool all_clear(const sight *l, double x_first, double x_last, double top, double v2) {
  double c = clearance(l, l->slope > 0.0 ? x_first : x_last, top);
  return c > 0.0 && c * c >= v2 * x_last * (l->dist - x_first);
}

/* First sample from i on that is worth a look, to at most: where a block's highest sample clears the line, all do. */
static size_t pass_over(const sweep *s, const sight *l, size_t i, size_t to, double v2) {
  const double *x = s->line->dist_m;
  while (i < to) {
    size_t end = (i / BLOCK + 1) * BLOCK, far_end = (i / FAR_BLOCK + 1) * FAR_BLOCK;
    if (far_end <= to && all_clear(l, x[i], x[far_end - 1], s->far_top[i / FAR_BLOCK], v2)) {
      i = far_end;
      continue;
    }
    end = end < to ? end : to;
    if (!all_clear(l, x[i], x[end - 1], s->top[i / BLOCK], v2)) return i;
    i = end;
  }
  return to;
}

/* Lowers out->clear_v2 to the least G of samples from..to-1, of one block; divided all at once, then compared. */
static void scan_block(const sweep *s, const sight *l, size_t from, size_t to, es_hull *out) {
  const double *x = s->line->dist_m;
  double v2[BLOCK];
  for (size_t i = from; i < to; i++) v2[i - from] = clear_v2(l, x[i], s->g[i]);
  for (size_t i = from; i < to; i++) {
    bool less = v2[i - from] < out->clear_v2;
    out->clear_at = less ? i : out->clear_at;
    out->clear_v2 = less ? v2[i - from] : out->clear_v2;
  }
}

/* The same of many blocks, as far as it is below bound. Under a long edge lies a valley, so nearly all of them are passed
 * over. Cost: 2 ns a block, most of them of FAR_BLOCK samples; 15 ns one that is looked at. */
static void scan_samples(const sweep *s, const sight *l, size_t from, size_t to, double bound, es_hull *out) {
  for (size_t i = from, end; (i = pass_over(s, l, i, to, bound)) < to; i = end) {
    end = (i / BLOCK + 1) * BLOCK;
    end = end < to ? end : to;
    scan_block(s, l, i, end, out);
    bound = out->clear_v2 < bound ? out->clear_v2 : bound;
  }
}

/* Samples strictly inside the edge that ends in vertex t, where they can be below out->clear_v2. */
static void scan_edge(const sweep *s, const sight *l, size_t valley, size_t t, double bound, es_hull *out) {
  const es_hull_stack *h = &s->hull;
  size_t begin = h->at[t - 1], end = h->at[t];
  double from, to, margin = 1e-6 * (h->x[t] - h->x[t - 1]);
  if (end == begin + 1) return;
  if (!edge_interval(l, h->x[valley], h->y[valley], es_hull_slope(h, t), bound, &from, &to)) return;
  size_t first = sample_before(s->line, begin, end, from - margin) + 1;
  size_t beyond = sample_before(s->line, begin, end, to + margin) + 1;
  scan_samples(s, l, first, beyond < end ? beyond : end, bound, out);
}

/* Sign of dG/dx at vertex v along the edge that ends in vertex `edge`. */
static double fall_along(const sight *l, const es_hull_stack *h, size_t v, size_t edge) {
  double x = h->x[v], d = l->dist, run = h->x[edge] - h->x[edge - 1], rise = h->y[edge] - h->y[edge - 1];
  return 2.0 * (l->slope * run - rise) * x * (d - x) - clearance(l, x, h->y[v]) * (d - 2.0 * x) * run;
}

static void least_clearance(sweep *s, const sight *l, double enough_m, es_hull *out) {
  const es_hull_stack *h = &s->hull;
  size_t v = s->valley < h->n ? s->valley : h->n - 1;
  s->valley = v = walk_to_valley(h, l, v, &out->clear_v2);
  out->clear_at = h->at[v];
  double enough = 0.5 * enough_m / l->dist, bound = out->clear_v2 < enough ? out->clear_v2 : enough;
  if (v + 1 < h->n && fall_along(l, h, v, v + 1) < 0.0)
    scan_edge(s, l, v, v + 1, bound, out);
  else if (v > 0 && fall_along(l, h, v, v) > 0.0)
    scan_edge(s, l, v, v, bound, out);
}

/* --- questions -------------------------------------------------------------------------------------------------------- */

/* Tangents of a receiver at a distance and parabolic height. Cost: 5 ns; in line of sight also the samples that can win. */
static inline es_hull sweep_ask(sweep *s, double dist, double g_rx, double enough_m) {
  es_hull out = {-INFINITY, -INFINITY, NAN, SIZE_MAX, SIZE_MAX, SIZE_MAX};
  if (s->hull.n == 0) return out;
  size_t t = s->edge = es_hull_tangent(&s->hull, dist, g_rx, s->edge);
  out.tx_slope = s->tx_slope;
  out.tx_at = s->tx_at;
  out.rx_at = s->hull.at[t];
  out.rx_slope = (s->hull.y[t] - g_rx) / (dist - s->hull.x[t]);
  sight l = {s->h_tx, (g_rx - s->h_tx) / dist, dist};
  if (out.tx_slope < l.slope) least_clearance(s, &l, enough_m, &out);
  return out;
}

/* What stands above the straight line between the antennas: (3.8.8), (3.8.9) of ITU-R P.2001-6. height_m 0: nothing. */
typedef struct obstruction {
  double height_m, from_tx, from_rx; /* of the ground over the line; slopes over the line, seen from either end */
} obstruction;

/* Cost: 5 ns where the ground stands over the line. */
static inline obstruction sweep_obstruction(sweep *s, double dist, double h_rx) {
  double slope = (h_rx - s->h_tx) / dist, from_tx = s->tx_slope - slope;
  if (s->hull.n == 0 || !(from_tx > 0.0)) return (obstruction){0};
  s->summit = es_hull_support(&s->hull, slope, s->summit);
  s->edge = es_hull_tangent(&s->hull, dist, h_rx, s->edge);
  const double *x = s->hull.x, *y = s->hull.y;
  double height = y[s->summit] - s->h_tx - slope * x[s->summit];
  double from_rx = (y[s->edge] - h_rx) / (dist - x[s->edge]) + slope;
  return (obstruction){height > 0.0 ? height : 0.0, from_tx, from_rx};
}

/* --- smooth earth, P.2001 3.8 ----------------------------------------------------------------------------------------- */

static inline double lower(double a, double b) { return a < b ? a : b; }

/* Prefix sums of (3.8.1a,b) over the samples up to i. */
typedef struct fit {
  double v1, v2;
  size_t i;
} fit;

static inline void fit_segment(double *v1, double *v2, double x0, double y0, double x1, double y1) {
  *v1 += (x1 - x0) * (y1 + y0);
  *v2 += (x1 - x0) * (y1 * (2.0 * x1 + x0) + y0 * (x1 + 2.0 * x0));
}

/* Cost: 2 ns a sample. */
static inline void fit_to(fit *f, const es_line *line, size_t last, double dist, double ground, double *tx,
                          double *rx) {
  for (; f->i < last; f->i++)
    fit_segment(&f->v1, &f->v2, line->dist_m[f->i], line->ground_m[f->i], line->dist_m[f->i + 1],
                line->ground_m[f->i + 1]);
  double v1 = f->v1, v2 = f->v2;
  fit_segment(&v1, &v2, line->dist_m[last], line->ground_m[last], dist, ground);
  *tx = (2.0 * v1 * dist - v2) / (dist * dist); /* (3.8.2a) */
  *rx = (v2 - v1 * dist) / (dist * dist);       /* (3.8.2b) */
}

/* The fit limited to the ground, (3.8.4), and lowered by what stands over the line, (3.8.8) to (3.8.10). */
static inline void set_smooth_earth(const obstruction *o, double h0, double hn, double tx, double rx, size_t r,
                                    const es_smooth *out) {
  out->fit_tx[r] = lower(tx, h0);
  out->fit_rx[r] = lower(rx, hn);
  if (o->height_m > 0.0) {
    double share = o->height_m / (o->from_tx + o->from_rx);
    tx -= share * o->from_tx;
    rx -= share * o->from_rx;
  }
  out->smooth_tx[r] = lower(tx, h0);
  out->smooth_rx[r] = lower(rx, hn);
}

/* --- walks -------------------------------------------------------------------------------------------------------------- */

/* A radial on its way: the curved ground, the flat one, the fit. */
typedef struct lane {
  sweep curved, flat;
  fit fit;
} lane;

static bool lane_begin(lane *l, es_arena *arena, const es_median_walk *w) {
  const es_line *line = w->along.line;
  double *g = ES_NEW(arena, double, line->n);
  for (size_t i = 0; g != NULL && i < line->n; i++) g[i] = line->ground_m[i] - w->k * line->dist_m[i] * line->dist_m[i];
  l->fit = (fit){0};
  return g != NULL && sweep_begin(&l->curved, arena, line, g, w->along.h_tx) &&
         sweep_begin(&l->flat, arena, line, line->ground_m, w->along.h_tx);
}

static inline void lane_ask(lane *l, const es_median_walk *w, size_t r) {
  const es_walk *along = &w->along;
  double dist = along->dist_m[r], h_rx = along->at[r].antenna_m, hn = along->at[r].ground_m, tx, rx;
  fit_to(&l->fit, along->line, along->last[r], dist, hn, &tx, &rx);
  w->hulls[r] = sweep_ask(&l->curved, dist, h_rx - w->k * dist * dist, along->enough_m);
  obstruction o = sweep_obstruction(&l->flat, dist, h_rx);
  set_smooth_earth(&o, along->line->ground_m[0], hn, tx, rx, r, &w->smooth);
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
  const es_line *line = w->line;
  sweep all[ES_SIDE_BY_SIDE];
  bool ok = true;
  for (size_t c = 0; ok && c < n; c++) {
    double *g = ES_NEW(arena, double, line->n);
    for (size_t i = 0; g != NULL && i < line->n; i++) g[i] = height[i] - k[c] * line->dist_m[i] * line->dist_m[i];
    ok = g != NULL && sweep_begin(&all[c], arena, line, g, w->h_tx);
  }
  for (size_t r = 0; ok && r < w->n_rx; r++) {
    double dist = w->dist_m[r];
    while (n > 0 && all[0].pushed < w->last[r])
      for (size_t c = 0; c < n; c++) sweep_push(&all[c]);
    for (size_t c = 0; c < n; c++)
      out[c * w->n_rx + r] = sweep_ask(&all[c], dist, w->at[r].antenna_m - k[c] * dist * dist, w->enough_m);
  }
  es_arena_back_to(arena, mark);
  return ok;
}

const es_kernel ES_KERNEL = {walk_median, walk_tangents};
