/* tangents.c - one sweep along a radial: for every receiver the horizon seen from the beacon, the horizon seen from the
 * receiver, and, in line of sight, the sample that comes nearest to the line.
 *
 * In parabolic heights g = h - K d^2 the receiver's own bulge term is gone, so the same points serve every receiver and the
 * sweep is: push the samples before the receiver, ask, go on. Cost: O(1) a push, O(log n) a horizon; in line of sight the
 * few samples that can win are scanned (below).
 *
 * Least clearance. The hull is concave, so the clearance c(x) of the line over it is convex, and sqrt(x (D - x)) is concave:
 * G = c^2 / (x (D - x)) has one valley along the hull. Its best vertex is found by walking downhill from the last
 * receiver's. A sample below the hull can still beat every vertex, but only where the hull itself is below the best vertex's
 * G: an open interval that holds no vertex, hence within one edge beside the best vertex, and its ends are the roots of a
 * quadratic. Only the samples in it are looked at.                                                                        */
#include <math.h>
#include <stdint.h>

#include "radial/hull.h"
#include "radial/radial.h"

typedef struct sweep {
  const es_line *line;
  const double *g; /* parabolic height of every sample */
  es_hull_stack hull;
  double h_tx;
  double tx_slope; /* running largest slope from the beacon */
  size_t tx_at;
  size_t pushed; /* samples up to this index are on the hull */
  size_t valley; /* best vertex of the previous receiver in line of sight */
} sweep;

static void push_until(sweep *s, size_t last) {
  for (size_t i = s->pushed + 1; i <= last; i++) {
    double x = s->line->dist_m[i], slope = (s->g[i] - s->h_tx) / x;
    if (slope >= s->tx_slope) { /* of equal ones the last, as in the reference examples of P.2001 */
      s->tx_slope = slope;
      s->tx_at = i;
    }
    es_hull_push(&s->hull, x, s->g[i], i);
  }
  if (last > s->pushed) s->pushed = last;
}

/* The direct line to a receiver in parabolic heights. */
typedef struct sight {
  double h_tx, slope, dist;
} sight;

static double clearance(const sight *l, double x, double y) { return l->h_tx + l->slope * x - y; }

static double clear_v2(const sight *l, double x, double y) {
  double c = clearance(l, x, y);
  return c * c / (x * (l->dist - x));
}

static double vertex_v2(const sweep *s, const sight *l, size_t t) { return clear_v2(l, s->hull.x[t], s->hull.y[t]); }

static size_t walk_to_valley(const sweep *s, const sight *l, size_t t) {
  double here = vertex_v2(s, l, t);
  for (double next; t + 1 < s->hull.n && (next = vertex_v2(s, l, t + 1)) <= here; t++) here = next;
  for (double next; t > 0 && (next = vertex_v2(s, l, t - 1)) < here; t--) here = next;
  return t;
}

/* On the edge through vertex v with slope `edge` the clearance is c = p + q x. The stretch where c^2 < bound x (D - x), or
 * nothing. */
static int edge_interval(const sight *l, double vx, double vy, double edge, double bound, double *from, double *to) {
  double q = l->slope - edge, p = clearance(l, vx, vy) - q * vx, d = l->dist;
  double a = q * q + bound, b = 2.0 * p * q - bound * d, root2 = b * b - 4.0 * a * p * p;
  if (!(root2 > 0.0) || !(a > 0.0)) return 0;
  double root = sqrt(root2);
  *from = (-b - root) / (2.0 * a);
  *to = (-b + root) / (2.0 * a);
  return *to > *from;
}

/* First sample after `from` on the line, by bisection between two known samples. */
static size_t sample_after(const es_line *line, size_t low, size_t high, double from) {
  if (line->step_m > 0.0) {
    double guess = ceil(from / line->step_m) - 1.0;
    if (guess > (double)low) low = guess < (double)high ? (size_t)guess : high;
  } else {
    while (high - low > 1) {
      size_t middle = low + (high - low) / 2;
      if (line->dist_m[middle] < from)
        low = middle;
      else
        high = middle;
    }
  }
  return low;
}

static void scan_edge(const sweep *s, const sight *l, size_t v, size_t edge, es_hull *out) {
  double from, to;
  if (!edge_interval(l, s->hull.x[v], s->hull.y[v], s->hull.slope[edge], out->clear_v2, &from, &to)) return;
  size_t low = s->hull.at[edge - 1], high = s->hull.at[edge];
  double margin = 1e-6 * (s->line->dist_m[high] - s->line->dist_m[low]);
  for (size_t i = sample_after(s->line, low, high, from - margin); i < high; i++) {
    double x = s->line->dist_m[i];
    if (x > to + margin) break;
    if (i <= low) continue;
    double v2 = clear_v2(l, x, s->g[i]);
    if (v2 < out->clear_v2) {
      out->clear_v2 = v2;
      out->clear_at = i;
    }
  }
}

static void least_clearance(sweep *s, const sight *l, es_hull *out) {
  size_t v = s->valley < s->hull.n ? s->valley : s->hull.n - 1;
  s->valley = v = walk_to_valley(s, l, v);
  out->clear_v2 = vertex_v2(s, l, v);
  out->clear_at = s->hull.at[v];
  if (v + 1 < s->hull.n) scan_edge(s, l, v, v + 1, out);
  if (v > 0) scan_edge(s, l, v, v, out);
}

static es_hull hull_of_receiver(sweep *s, double dist, double g_rx) {
  es_hull out = {-INFINITY, -INFINITY, NAN, SIZE_MAX, SIZE_MAX, SIZE_MAX};
  if (s->hull.n == 0) return out;
  size_t t = es_hull_tangent(&s->hull, dist, g_rx);
  out.tx_slope = s->tx_slope;
  out.tx_at = s->tx_at;
  out.rx_at = s->hull.at[t];
  out.rx_slope = (s->hull.y[t] - g_rx) / (dist - s->hull.x[t]);
  sight l = {s->h_tx, (g_rx - s->h_tx) / dist, dist};
  if (out.tx_slope < l.slope) least_clearance(s, &l, &out);
  return out;
}

static const double ROUNDING_M =
    1e-6; /* a sample at just keep_bare_m carries the canopy, however its distance was made */

/* Parabolic heights; the canopy stands on the ground except near the ends. Its rule depends on the receiver only within
 * keep_bare_m of it, which callers that need it handle by placing one receiver a line. */
static void parabolic(const es_radial *radial, double k, int32_t canopy, double keep_bare_m, double *g) {
  const es_line *line = &radial->line;
  size_t n_rx = radial->rx.n;
  double end = n_rx > 0 ? radial->rx.dist_m[n_rx - 1] - keep_bare_m : 0.0;
  for (size_t i = 0; i < line->n; i++) {
    double x = line->dist_m[i];
    int bare = !canopy || line->top_m == NULL || x < keep_bare_m - ROUNDING_M || x > end + ROUNDING_M;
    g[i] = (bare ? line->ground_m[i] : line->top_m[i]) - k * x * x;
  }
}

int32_t es_tangents(es_arena *arena, const es_radial *radial, double curvature_per_km, int32_t canopy,
                    double keep_bare_m, es_hull *out) {
  es_arena_mark mark = es_arena_now(arena);
  size_t n = radial->line.n;
  double *g = ES_NEW(arena, double, n);
  sweep s = {.line = &radial->line, .g = g, .h_tx = radial->beacon.antenna_m, .tx_slope = -INFINITY, .tx_at = SIZE_MAX};
  s.hull.x = ES_NEW(arena, double, n);
  s.hull.y = ES_NEW(arena, double, n);
  s.hull.slope = ES_NEW(arena, double, n);
  s.hull.at = ES_NEW(arena, size_t, n);
  int failed = g == NULL || s.hull.x == NULL || s.hull.y == NULL || s.hull.slope == NULL || s.hull.at == NULL;
  if (!failed) {
    double k = 0.5e-3 * curvature_per_km; /* 500 C d^2 with d in km is this times d^2 in metres */
    parabolic(radial, k, canopy, keep_bare_m, g);
    for (size_t r = 0; r < radial->rx.n; r++) {
      double dist = radial->rx.dist_m[r];
      push_until(&s, radial->rx.last[r]);
      out[r] = hull_of_receiver(&s, dist, radial->rx.at[r].antenna_m - k * dist * dist);
    }
  }
  es_arena_back_to(arena, mark);
  return failed ? -1 : 0;
}
