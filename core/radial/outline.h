/* outline.h - the hulls of one path's ground, kept while other heights are asked about.
 *
 *   beacon o                       A hull hangs on the ground and on the curvature, not on the antennas: as long as the ground
 *           \ `-.__..-o receiver   stays, a path with other antennas is two tangents, a few comparisons each.
 *            \_.-` `._/
 *       ____./         `\___       A second hull is cheaper than the first: a curvature that bends less adds to every height a
 *                                  function that is convex, which lifts no point over a chord that it lay under. So its
 *                                  vertices are among those of the one that bends more.
 *
 * One path, one thread. Answers do not hang on what was asked before.                                                    */
#ifndef EARSHOT_RADIAL_OUTLINE_H
#define EARSHOT_RADIAL_OUTLINE_H

#include "radial/kernel.h"

typedef struct es_outlines es_outlines;

/* NULL: out of memory. */
es_outlines *es_outlines_create(void);
void es_outlines_destroy(es_outlines *outlines); /* accepts NULL */
/* To be called whenever the line's samples have changed; they are borrowed until then. */
void es_outlines_forget(es_outlines *outlines); /* accepts NULL */

/* The walk of kernel.h for its one receiver. False: out of memory. */
bool es_outlines_median(es_outlines *outlines, const es_median_walk *walk);
/* es_tangents_many() for a radial with one receiver. */
int32_t es_outlines_tangents(es_outlines *outlines, const es_radial *radial, const es_view *view,
                             const double *curvature_per_km, size_t n, es_hull *out);

#endif
