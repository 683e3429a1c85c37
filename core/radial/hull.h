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
#include <stdint.h>

#if defined(__AVX__) && !defined(TRY_SCALAR)
#include <immintrin.h>
#endif

#include "base/arena.h"

/* Four edges are tested at once. Below the first point stand five more, each far deeper than the one before it: no test of
 * them succeeds, so none asks where the hull ends. */
enum { ES_HULL_AT_ONCE = 4, ES_HULL_BELOW = 5 };
#define ES_HULL_DEEP_M (-1e300)

typedef struct es_hull_stack {
  double *x, *y; /* vertices 0..n-1 */
  uint32_t *at;  /* index of each one's sample */
  size_t n;
} es_hull_stack;

/* An empty hull with room for n points; false out of memory. */
static inline bool es_hull_init(es_hull_stack *hull, es_arena *arena, size_t n) {
  double *x = ES_NEW(arena, double, n + ES_HULL_BELOW), *y = ES_NEW(arena, double, n + ES_HULL_BELOW);
  *hull = (es_hull_stack){.at = ES_NEW(arena, uint32_t, n)};
  if (x == NULL || y == NULL || hull->at == NULL) return false;
  for (size_t i = 0; i < ES_HULL_BELOW; i++) {
    x[i] = 0.0;
    y[i] = ES_HULL_DEEP_M * (double)(ES_HULL_BELOW - i);
  }
  hull->x = x + ES_HULL_BELOW;
  hull->y = y + ES_HULL_BELOW;
  return true;
}

/* (x, y) stands over the line of the edge that ends in vertex t, or on it. Written as in the four at once. */
static inline bool es_hull_reaches(const es_hull_stack *h, ptrdiff_t t, double x, double y) {
  return (y - h->y[t]) * (h->x[t] - h->x[t - 1]) >= (h->y[t] - h->y[t - 1]) * (x - h->x[t]);
}

/* Vertices hidden by (x, y), counted from `top` down, four at most. */
static inline size_t es_hull_hidden(const es_hull_stack *h, ptrdiff_t top, double x, double y) {
#if defined(__AVX__) && !defined(TRY_SCALAR)
  __m256d xs = _mm256_loadu_pd(h->x + top - 3), before_x = _mm256_loadu_pd(h->x + top - 4);
  __m256d ys = _mm256_loadu_pd(h->y + top - 3), before_y = _mm256_loadu_pd(h->y + top - 4);
  __m256d rise = _mm256_mul_pd(_mm256_sub_pd(_mm256_set1_pd(y), ys), _mm256_sub_pd(xs, before_x));
  __m256d edge = _mm256_mul_pd(_mm256_sub_pd(ys, before_y), _mm256_sub_pd(_mm256_set1_pd(x), xs));
  unsigned reached = (unsigned)_mm256_movemask_pd(_mm256_cmp_pd(rise, edge, _CMP_GE_OQ));
  return (size_t)__builtin_clz(~(reached << 28)); /* ones from the top bit down */
#else
  size_t a = es_hull_reaches(h, top, x, y), b = a & (size_t)es_hull_reaches(h, top - 1, x, y);
  size_t c = b & (size_t)es_hull_reaches(h, top - 2, x, y), d = c & (size_t)es_hull_reaches(h, top - 3, x, y);
  return a + b + c + d;
#endif
}

/* Amortised O(1). x is larger than that of every point before. */
static inline void es_hull_push(es_hull_stack *hull, double x, double y, size_t at) {
  ptrdiff_t top = (ptrdiff_t)hull->n - 1;
  size_t hidden;
  do {
    hidden = es_hull_hidden(hull, top, x, y);
    top -= (ptrdiff_t)hidden;
  } while (hidden == ES_HULL_AT_ONCE);
  top++;
  hull->x[top] = x;
  hull->y[top] = y;
  hull->at[top] = (uint32_t)at;
  hull->n = (size_t)top + 1;
}

/* A question about an edge that is answered yes up to some vertex and no beyond it; yes at vertex 0 and below. Asked of four
 * edges, those that end in vertices t..t+3: bit k is the answer of t + k. */
typedef unsigned (*es_hull_test)(const es_hull_stack *hull, ptrdiff_t t, double x, double y);

/* (x, y) does not stand over the line of the edge. */
static inline unsigned es_hull_not_over(const es_hull_stack *h, ptrdiff_t t, double x, double y) {
#if defined(__AVX__)
  __m256d xs = _mm256_loadu_pd(h->x + t), before_x = _mm256_loadu_pd(h->x + t - 1);
  __m256d ys = _mm256_loadu_pd(h->y + t), before_y = _mm256_loadu_pd(h->y + t - 1);
  __m256d rise = _mm256_mul_pd(_mm256_sub_pd(_mm256_set1_pd(y), ys), _mm256_sub_pd(xs, before_x));
  __m256d edge = _mm256_mul_pd(_mm256_sub_pd(ys, before_y), _mm256_sub_pd(_mm256_set1_pd(x), xs));
  return (unsigned)_mm256_movemask_pd(_mm256_cmp_pd(rise, edge, _CMP_LE_OQ));
#else
  unsigned yes = 0;
  for (ptrdiff_t k = 0; k < ES_HULL_AT_ONCE; k++) {
    double rise = (y - h->y[t + k]) * (h->x[t + k] - h->x[t + k - 1]);
    yes |= (unsigned)(rise <= (h->y[t + k] - h->y[t + k - 1]) * (x - h->x[t + k])) << k;
  }
  return yes;
#endif
}

/* The edge rises more than the slope. */
static inline unsigned es_hull_steeper(const es_hull_stack *h, ptrdiff_t t, double slope, double unused) {
  (void)unused;
#if defined(__AVX__)
  __m256d run = _mm256_sub_pd(_mm256_loadu_pd(h->x + t), _mm256_loadu_pd(h->x + t - 1));
  __m256d rise = _mm256_sub_pd(_mm256_loadu_pd(h->y + t), _mm256_loadu_pd(h->y + t - 1));
  return (unsigned)_mm256_movemask_pd(_mm256_cmp_pd(rise, _mm256_mul_pd(_mm256_set1_pd(slope), run), _CMP_GT_OQ));
#else
  unsigned yes = 0;
  for (ptrdiff_t k = 0; k < ES_HULL_AT_ONCE; k++)
    yes |= (unsigned)(h->y[t + k] - h->y[t + k - 1] > slope * (h->x[t + k] - h->x[t + k - 1])) << k;
  return yes;
#endif
}

/* Seen from (0, y), the edge's end stands no lower than its beginning. */
static inline unsigned es_hull_rises_from(const es_hull_stack *h, ptrdiff_t t, double y, double unused) {
  (void)unused;
  unsigned yes = 0;
  for (ptrdiff_t k = 0; k < ES_HULL_AT_ONCE; k++)
    yes |= (unsigned)((h->y[t + k] - y) * h->x[t + k - 1] >= (h->y[t + k - 1] - y) * h->x[t + k]) << k;
  return yes;
}

/* Last vertex with yes: it is in the four about the guess most often; else strides that double until it is straddled, then
 * halves. */
static inline size_t es_hull_last(const es_hull_stack *hull, es_hull_test yes, double x, double y, size_t guess) {
  const ptrdiff_t four = ES_HULL_AT_ONCE, end = (ptrdiff_t)hull->n;
  ptrdiff_t low = 0, high = end, stride = four, at = (ptrdiff_t)guess - 1; /* low: yes, high: no, or the end */
  for (;; stride *= 2) {
    at = at < end - four ? at : end - four;
    unsigned answers = yes(hull, at, x, y);
    bool below = (answers & 1u) == 0, above = answers == 15u && at + four < end;
    if (!below && !above) return (size_t)(at + __builtin_popcount(answers) - 1);
    if (below) high = at;
    if (above) low = at + four - 1;
    if (high - low == 1) return (size_t)low;
    at += below ? -stride : stride;
    if (at <= low || at >= high) at = low + (high - low) / 2;
  }
}

/* Vertex touched by the tangent from (x, y), x beyond the last vertex; of collinear ones the nearest to x. O(1) with a good
 * guess, O(log n) with a bad one; so the next too. */
static inline size_t es_hull_tangent(const es_hull_stack *hull, double x, double y, size_t guess) {
  return es_hull_last(hull, es_hull_not_over, x, y, guess);
}
/* The same from (0, y), before the first vertex; of collinear ones the farthest. */
static inline size_t es_hull_tangent_before(const es_hull_stack *hull, double y, size_t guess) {
  return es_hull_last(hull, es_hull_rises_from, y, 0.0, guess);
}
/* Vertex that stands highest over a line of the given slope. */
static inline size_t es_hull_support(const es_hull_stack *hull, double slope, size_t guess) {
  return es_hull_last(hull, es_hull_steeper, slope, 0.0, guess);
}

/* Slope of the edge that ends in a vertex other than the first. */
static inline double es_hull_slope(const es_hull_stack *h, size_t t) {
  return (h->y[t] - h->y[t - 1]) / (h->x[t] - h->x[t - 1]);
}

#endif
