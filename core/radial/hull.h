/* hull.h - the upper convex hull of a line of ground, and the lines that touch it.
 *
 *          gr o receiver (D, gr)
 *              \                     The rope from the receiver to the ground touches the hull at one vertex t: the
 *               \   ___ t            point that stands highest as seen from the receiver. Edge slopes S fall along the
 *         ____---\-/                 hull, so t is found by bisection.
 *      /-/
 *     /
 *
 * Points are pushed in order of distance; each is pushed once and popped at most once. Heights are parabolic (g = h - K d^2),
 * so one hull serves every receiver of a radial, at any curvature of either sign.                                        */
#ifndef EARSHOT_RADIAL_HULL_H
#define EARSHOT_RADIAL_HULL_H

#include <stddef.h>

typedef struct es_hull_stack {
  double *x, *y, *slope; /* vertices; slope[t] of the edge (t-1, t), slope[0] = +infinity; strictly falling */
  size_t *at;            /* sample index of each vertex */
  size_t n;
} es_hull_stack;

/* Amortised O(1). Arrays must have room for all points pushed. */
void es_hull_push(es_hull_stack *hull, double x, double y, size_t at);
/* Vertex touched by the tangent from (x, y), x beyond the last vertex; of collinear ones the nearest to x. O(log n). */
size_t es_hull_tangent(const es_hull_stack *hull, double x, double y);
/* Vertex that stands highest over a line of the given slope; O(log n). */
size_t es_hull_support(const es_hull_stack *hull, double slope);

#endif
