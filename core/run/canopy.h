/* canopy.h - what stands on the samples of a path or a ray: trees of rasters, cover classes, and the obstacles that people
 * measured near their stations.
 *
 *      beacon  o                                                        o  listener
 *              |  [beacon's list]    raster, classes    [listener's list] |
 *              +--| survey |------------------------------| survey       |-+
 *
 * From a station to the far edge of the last obstacle of its list, at most a kilometre, the list outranks every raster;
 * beyond, the higher of the two stands. On a path samples are inserted at the edges of obstacles; on a map's ray an
 * obstacle stands on the samples nearest to it.                                                                          */
#ifndef EARSHOT_RUN_CANOPY_H
#define EARSHOT_RUN_CANOPY_H

#include "radial/radial.h"
#include "run/setup.h"

typedef struct es_canopy_view {
  int32_t season;
  double trim_m; /* trees are cut to this height; NaN: as they are */
} es_canopy_view;

/* An obstacle as it lies on a line. */
typedef struct es_standing {
  double from_m, to_m; /* distances from the beacon */
  const es_obstacle *is;
  bool surveyed; /* within the first kilometre of its station */
} es_standing;

/* Sets what stands on the samples of a path; new arrays come from the arena. samples->canopy_m becomes NULL when nothing
 * does. listener NULL: a ray of a map, no samples are inserted. 0, or ES_E_MEMORY. [any thread] */
int32_t es_canopy_stand(const es_setup *setup, const es_canopy_view *view, const es_listener *listener,
                        const es_course *course, es_arena *arena, es_samples *samples);
/* Obstacles that a path crosses, from the beacon outward; out has room for all of the job's. */
size_t es_obstacles_on(const es_setup *setup, const es_listener *listener, const es_course *course, es_standing *out);

#endif
