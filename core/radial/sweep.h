/* sweep.h - one walk along a radial: what every receiver sees of the ground before it.
 *
 *                     rx tangent
 *            _.o-.._ . . . . . . . . . .o receiver r          g = h - K d^2: parabolic heights, in which the
 *     o..  / hull   `-.  _.-._         |                      bulge of the earth between beacon and receiver is gone
 *   beacon`.`  tx slope   `-'    `-._   |                     and one hull serves all receivers
 *     |________________________________|___
 *     samples 1 .. last[r] are on the hull when receiver r asks
 *
 * A walk is a hull with its running maximum. Several walks over one radial go side by side, receiver by receiver: while
 * one waits for its last comparison the processor works on the next.                                                    */
#ifndef EARSHOT_RADIAL_SWEEP_H
#define EARSHOT_RADIAL_SWEEP_H

#include "radial/hull.h"
#include "radial/radial.h"

typedef struct es_sweep {
  const es_line *line;
  const double *g; /* height of every sample */
  double *seen;    /* slope from the beacon to every sample */
  es_hull_stack hull;
  double h_tx;
  double tx_slope; /* largest so far */
  size_t tx_at;
  size_t pushed;               /* samples up to this index are on the hull */
  size_t edge, summit, valley; /* vertices found for the receiver before: where the next searches begin */
} es_sweep;

/* Cost of each: es_sweep_begin 1 ns a sample; es_sweep_to 4 ns a sample (amortised O(1)); es_sweep_ask 5 ns, in line of
 * sight also the samples that can win, see sweep.c; es_sweep_obstruction 5 ns where the ground stands over the line. */

/* Heights g (kept, not copied). False: out of memory. */
bool es_sweep_begin(es_sweep *sweep, es_arena *arena, const es_line *line, const double *g, double h_tx);
/* Puts samples up to `last` on the hull. */
void es_sweep_to(es_sweep *sweep, size_t last);
/* Tangents of a receiver at a distance and parabolic height. A clearance is exact while 2 D clear_v2 is below enough_m. */
es_hull es_sweep_ask(es_sweep *sweep, double dist, double g_rx, double enough_m);

/* What stands above the straight line between the antennas: (3.8.8), (3.8.9) of ITU-R P.2001-6. height_m 0: nothing. */
typedef struct es_obstruction {
  double height_m, from_tx, from_rx; /* of the ground over the line; slopes over the line, seen from either end */
} es_obstruction;
es_obstruction es_sweep_obstruction(es_sweep *sweep, double dist, double h_rx);

#endif
