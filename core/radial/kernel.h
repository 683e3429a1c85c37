/* kernel.h - one walk along a radial: what every receiver sees of the ground before it. The one part of this stage that is
 * compiled for several sets of instructions; which of them serves is decided at run time.
 *
 *                     rx tangent
 *            _.o-.._ . . . . . . . . . .o receiver r          g = h - K d^2: parabolic heights, in which the
 *     o..  / hull   `-.  _.-._         |                      bulge of the earth between beacon and receiver is gone
 *   beacon`.`  tx slope   `-'    `-._   |                     and one hull serves all receivers
 *     |________________________________|___
 *     samples 1 .. last[r] are on the hull when receiver r asks
 *
 * Several hulls, of one radial or of neighbours, grow side by side, receiver by receiver: while one waits for its last comparison the
 * processor works on the next. All arithmetic is the same in every set of instructions, so are the results.             */
#ifndef EARSHOT_RADIAL_KERNEL_H
#define EARSHOT_RADIAL_KERNEL_H

#include <stdbool.h>

#include "radial/hull.h"
#include "radial/radial.h"

typedef struct es_walk {
  const es_line *line;
  size_t n_rx;
  const size_t *last; /* of each receiver, as in es_receivers */
  const double *dist_m;
  const es_place *at;
  double h_tx;     /* beacon's antenna above sea */
  double enough_m; /* a clearance is exact while 2 D clear_v2 is below it */
} es_walk;

/* Columns of es_receivers to fill. */
typedef struct es_smooth {
  double *fit_tx, *fit_rx, *smooth_tx, *smooth_rx;
} es_smooth;

/* The walk for a radial's geometry: tangents at half the curvature k (1/m), and the smooth earth. */
typedef struct es_median_walk {
  es_walk along;
  double k;
  es_hull *hulls;
  es_smooth smooth;
} es_median_walk;

/* Samples of a line: those of `at`, or from 1 on when it is NULL. */
typedef struct es_points {
  const es_line *line;
  const double *height; /* of every sample of the line */
  const uint32_t *at;
  size_t n;
} es_points;

enum { ES_SIDE_BY_SIDE = 4 };

typedef struct es_kernel {
  /* Up to ES_SIDE_BY_SIDE radials. False: out of memory. */
  bool (*median)(es_arena *arena, const es_median_walk *walks, size_t n);
  /* Tangents at up to ES_SIDE_BY_SIDE curvatures over ground of these heights, [curvature][receiver]. */
  bool (*tangents)(es_arena *arena, const es_walk *walk, const double *height, const double *k, size_t n, es_hull *out);
  /* Hulls of some points at up to ES_SIDE_BY_SIDE half curvatures. */
  bool (*hulls)(es_arena *arena, const es_points *points, const double *k, size_t n, es_hull_stack *out);
} es_kernel;

/* The best this processor can run. [any thread] */
const es_kernel *es_kernel_best(void);

/* Heights of all samples as a view has them, up to a receiver end_m away: the line's own array, or one from the arena. NULL:
 * out of memory. */
const double *es_view_heights(es_arena *arena, const es_line *line, const es_view *view, double end_m);

#endif
