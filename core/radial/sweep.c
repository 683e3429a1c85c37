/* sweep.c - see sweep.h.
 *
 * Least clearance. The hull is concave, so the clearance c(x) of the line over it is convex, and sqrt(x (D - x)) is concave:
 * G = c^2 / (x (D - x)) has one valley along the hull. Its best vertex is found by walking downhill from the last
 * receiver's. A sample below the hull can still beat every vertex, but only where the hull itself is below the best vertex's
 * G: an open interval that holds no vertex, hence within one edge beside the best vertex, on the side where G falls, and its
 * ends are the roots of a quadratic. Only the samples in it are looked at.                                                */
#include "radial/sweep.h"

#include <math.h>
#include <stdint.h>

bool es_sweep_begin(es_sweep *s, es_arena *arena, const es_line *line, const double *g, double h_tx) {
  *s = (es_sweep){.line = line, .g = g, .h_tx = h_tx, .tx_slope = -INFINITY, .tx_at = SIZE_MAX};
  s->seen = ES_NEW(arena, double, line->n);
  if (s->seen == NULL || !es_hull_init(&s->hull, arena, line->n)) return false;
  for (size_t i = 1; i < line->n; i++) s->seen[i] = (g[i] - h_tx) / line->dist_m[i];
  return true;
}

void es_sweep_to(es_sweep *s, size_t last) {
  for (size_t i = s->pushed + 1; i <= last; i++) {
    bool higher = s->seen[i] >= s->tx_slope; /* of equal ones the last, as in the reference examples of P.2001 */
    s->tx_slope = higher ? s->seen[i] : s->tx_slope;
    s->tx_at = higher ? i : s->tx_at;
    es_hull_push(&s->hull, s->line->dist_m[i], s->g[i], i);
  }
  if (last > s->pushed) s->pushed = last;
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
  const es_vertex *v = hull->vertex;
  double here = clear_v2(l, v[t].x, v[t].y);
  for (double next; t + 1 < hull->n && (next = clear_v2(l, v[t + 1].x, v[t + 1].y)) <= here; t++) here = next;
  for (double next; t > 0 && (next = clear_v2(l, v[t - 1].x, v[t - 1].y)) < here; t--) here = next;
  *least = here;
  return t;
}

/* The edge through vertex v with this slope has c = p + q x. The stretch where c^2 < bound x (D - x), or nothing. */
static bool edge_interval(const sight *l, const es_vertex *v, double slope, double bound, double *from, double *to) {
  double q = l->slope - slope, p = clearance(l, v->x, v->y) - q * v->x, d = l->dist;
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

/* Least G of samples from..to-1: a plain loop of selects, so that many are done at once. */
static double least_of(const es_sweep *s, const sight *l, size_t from, size_t to) {
  const double *x = s->line->dist_m, *g = s->g;
  double least = INFINITY;
  for (size_t i = from; i < to; i++) {
    double v2 = clear_v2(l, x[i], g[i]);
    least = v2 < least ? v2 : least;
  }
  return least;
}

/* Samples strictly inside the edge that ends in vertex t, where they can be below out->clear_v2. */
static void scan_edge(const es_sweep *s, const sight *l, size_t valley, size_t t, double bound, es_hull *out) {
  const es_vertex *end = s->hull.vertex + t, *begin = end - 1;
  double from, to, margin = 1e-6 * (end->x - begin->x);
  if (end->at == begin->at + 1) return;
  if (!edge_interval(l, s->hull.vertex + valley, es_hull_slope(end), bound, &from, &to)) return;
  size_t first = sample_before(s->line, begin->at, end->at, from - margin) + 1;
  size_t beyond = sample_before(s->line, begin->at, end->at, to + margin) + 1;
  if (beyond > end->at) beyond = end->at;
  if (!(first < beyond)) return;
  double least = least_of(s, l, first, beyond);
  if (!(least < out->clear_v2)) return;
  size_t at = first;
  while (at + 1 < beyond && clear_v2(l, s->line->dist_m[at], s->g[at]) != least) at++;
  out->clear_v2 = least;
  out->clear_at = at;
}

/* Sign of dG/dx at a vertex on an edge of that slope. */
static double falls_along(const sight *l, const es_vertex *v, double rise, double run) {
  double x = v->x, d = l->dist;
  return 2.0 * (l->slope * run - rise) * x * (d - x) - clearance(l, x, v->y) * (d - 2.0 * x) * run;
}

static void least_clearance(es_sweep *s, const sight *l, double enough_m, es_hull *out) {
  const es_vertex *vertex = s->hull.vertex;
  size_t v = s->valley < s->hull.n ? s->valley : s->hull.n - 1;
  s->valley = v = walk_to_valley(&s->hull, l, v, &out->clear_v2);
  out->clear_at = vertex[v].at;
  double enough = 0.5 * enough_m / l->dist, bound = out->clear_v2 < enough ? out->clear_v2 : enough;
  const es_vertex *here = vertex + v;
  if (v + 1 < s->hull.n && falls_along(l, here, here[1].y - here->y, here[1].x - here->x) < 0.0)
    scan_edge(s, l, v, v + 1, bound, out);
  else if (v > 0 && falls_along(l, here, here->y - here[-1].y, here->x - here[-1].x) > 0.0)
    scan_edge(s, l, v, v, bound, out);
}

/* --- questions -------------------------------------------------------------------------------------------------------- */

es_hull es_sweep_ask(es_sweep *s, double dist, double g_rx, double enough_m) {
  es_hull out = {-INFINITY, -INFINITY, NAN, SIZE_MAX, SIZE_MAX, SIZE_MAX};
  if (s->hull.n == 0) return out;
  size_t t = s->edge = es_hull_tangent(&s->hull, dist, g_rx, s->edge);
  const es_vertex *v = s->hull.vertex + t;
  out.tx_slope = s->tx_slope;
  out.tx_at = s->tx_at;
  out.rx_at = v->at;
  out.rx_slope = (v->y - g_rx) / (dist - v->x);
  sight l = {s->h_tx, (g_rx - s->h_tx) / dist, dist};
  if (out.tx_slope < l.slope) least_clearance(s, &l, enough_m, &out);
  return out;
}

es_obstruction es_sweep_obstruction(es_sweep *s, double dist, double h_rx) {
  double slope = (h_rx - s->h_tx) / dist, from_tx = s->tx_slope - slope;
  if (s->hull.n == 0 || !(from_tx > 0.0)) return (es_obstruction){0};
  s->summit = es_hull_support(&s->hull, slope, s->summit);
  s->edge = es_hull_tangent(&s->hull, dist, h_rx, s->edge);
  const es_vertex *top = s->hull.vertex + s->summit, *edge = s->hull.vertex + s->edge;
  double height = top->y - s->h_tx - slope * top->x;
  return (es_obstruction){height > 0.0 ? height : 0.0, from_tx, (edge->y - h_rx) / (dist - edge->x) + slope};
}
