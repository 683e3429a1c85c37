/* hull.h - the upper convex hull of a line of ground, and the lines that touch it.
 *
 *          gr o receiver (D, gr)
 *              \                     The rope from the receiver to the ground touches the hull at one vertex t: the
 *               \   ___ t            point that stands highest as seen from the receiver. Edges turn downwards along the
 *         ____---\-/                 hull, so t can be searched for.
 *      /-/
 *     /
 *
 * Points are pushed in order of distance; each is pushed once and popped at most once. Heights are parabolic (g = h - K d^2),
 * so one hull serves every receiver of a radial, at any curvature of either sign.
 *
 * The hull is a stack of its points. What a push or a search costs is wrong guesses of the processor about branches, so
 * a push tests four edges at once without branching, and a search starts where the receiver before found its answer.
 * Comparisons are cross products: nothing is divided, and the next push waits for no quotient.                          */
#ifndef EARSHOT_RADIAL_HULL_H
#define EARSHOT_RADIAL_HULL_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"

typedef struct es_vertex {
  double x, y;
  size_t at; /* index of the sample */
} es_vertex;

/* Four edges are tested at once. Below the first point stand five more, each far deeper than the one before it: no test of
 * them succeeds, so none asks where the hull ends. */
enum { ES_HULL_AT_ONCE = 4, ES_HULL_BELOW = 5 };
#define ES_HULL_DEEP_M (-1e300)

typedef struct es_hull_stack {
  es_vertex *vertex; /* vertex[0..n-1]; those below it stand under x = 0 */
  size_t n;
} es_hull_stack;

/* An empty hull with room for n points; false out of memory. */
static inline bool es_hull_init(es_hull_stack *hull, es_arena *arena, size_t n) {
  es_vertex *all = ES_NEW(arena, es_vertex, n + ES_HULL_BELOW);
  *hull = (es_hull_stack){all != NULL ? all + ES_HULL_BELOW : NULL, 0};
  for (size_t i = 0; all != NULL && i < ES_HULL_BELOW; i++)
    all[i] = (es_vertex){0.0, ES_HULL_DEEP_M * (double)(ES_HULL_BELOW - i), 0};
  return all != NULL;
}

/* How far (x, y) stands over the line of the edge that ends in v, times the edge's length in x. */
static inline double es_hull_over(const es_vertex *v, double x, double y) {
  return (y - v->y) * (v->x - v[-1].x) - (v->y - v[-1].y) * (x - v->x);
}

/* Vertices hidden by (x, y), counted from `top` down, four at most. */
static inline size_t es_hull_hidden(const es_vertex *top, double x, double y) {
  size_t a = es_hull_over(top, x, y) >= 0.0, b = es_hull_over(top - 1, x, y) >= 0.0;
  size_t c = es_hull_over(top - 2, x, y) >= 0.0, d = es_hull_over(top - 3, x, y) >= 0.0;
  b &= a, c &= b, d &= c;
  return a + b + c + d;
}

/* Amortised O(1). x is larger than that of every point before. */
static inline void es_hull_push(es_hull_stack *hull, double x, double y, size_t at) {
  es_vertex *top = hull->vertex + hull->n - 1;
  size_t hidden;
  do {
    hidden = es_hull_hidden(top, x, y);
    top -= hidden;
  } while (hidden == ES_HULL_AT_ONCE);
  top[1] = (es_vertex){x, y, at};
  hull->n = (size_t)(top - hull->vertex) + 2;
}

/* A question about an edge that is answered yes up to some vertex and no beyond it; yes at vertex 0. */
typedef bool (*es_hull_test)(const es_vertex *v, double x, double y);

/* Last vertex with yes, from a guess: strides that double until it is straddled, then halves. */
static inline size_t es_hull_last(const es_hull_stack *hull, es_hull_test yes, double x, double y, size_t guess) {
  size_t low = guess < hull->n ? guess : hull->n - 1, high = low + 1, stride = 1;
  if (yes(hull->vertex + low, x, y)) {
    for (; high < hull->n && yes(hull->vertex + high, x, y); stride *= 2) low = high, high += stride;
    if (high > hull->n) high = hull->n;
  } else {
    for (high = low; !yes(hull->vertex + low, x, y); stride *= 2) high = low, low = low > stride ? low - stride : 0;
  }
  while (high - low > 1) {
    size_t middle = low + (high - low) / 2;
    if (yes(hull->vertex + middle, x, y))
      low = middle;
    else
      high = middle;
  }
  return low;
}

static inline bool es_hull_not_over(const es_vertex *v, double x, double y) { return !(es_hull_over(v, x, y) > 0.0); }
static inline bool es_hull_steeper(const es_vertex *v, double slope, double unused) {
  (void)unused;
  return v->y - v[-1].y > slope * (v->x - v[-1].x);
}

/* Vertex touched by the tangent from (x, y), x beyond the last vertex; of collinear ones the nearest to x. O(1) with a good
 * guess, O(log n) with a bad one; so the next too. */
static inline size_t es_hull_tangent(const es_hull_stack *hull, double x, double y, size_t guess) {
  return es_hull_last(hull, es_hull_not_over, x, y, guess);
}
/* Vertex that stands highest over a line of the given slope. */
static inline size_t es_hull_support(const es_hull_stack *hull, double slope, size_t guess) {
  return es_hull_last(hull, es_hull_steeper, slope, 0.0, guess);
}

/* Slope of the edge that ends in a vertex other than the first. */
static inline double es_hull_slope(const es_vertex *v) { return (v->y - v[-1].y) / (v->x - v[-1].x); }

#endif
