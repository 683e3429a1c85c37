/* obstacle.h - what stands near a station, as its keeper measured it: better than any raster within the first kilometre.
 *
 *               azimuth_from .           Every path whose bearing at the station lies between the two azimuths (clockwise)
 *                         .  ####        crosses it, from distance_m to distance_m + depth_m, top_m and base_m above the
 *        station  o . . . .  ####        ground there. A top of 0 says that nothing stands there, whatever a raster shows.
 *                  |--dist--|depth|  . azimuth_to                                                                        */
#ifndef EARSHOT_STATION_OBSTACLE_H
#define EARSHOT_STATION_OBSTACLE_H

#include <stddef.h>
#include <stdint.h>

#include "base/faults.h"

typedef struct es_obstacle {
  char *station; /* owned: the beacon's name or call, or "beacon"; or a listener's name */
  double azimuth_from_deg, azimuth_to_deg, distance_m, depth_m, top_m, base_m, density;
  uint8_t leaf; /* ES_BROADLEAF ...; ES_OPAQUE for buildings and ridges */
  long line;
} es_obstacle;

typedef struct es_obstacles {
  es_obstacle *items;
  size_t n;
} es_obstacles;

/* Adds the rows of a CSV list: station, azimuth_from_deg, azimuth_to_deg, distance_m, depth_m, top_m, base_m (0), kind
 * (tree, building, ridge; tree), leaf (mixed), density (1). Every faulty row is a fault. [setup] */
bool es_obstacles_read(const char *path, es_obstacles *out, es_faults *faults);
/* Checks one and adds it (taking its station): base above top, nothing of depth, no such kind are faults. */
bool es_obstacle_add(es_obstacles *list, const char *file, es_obstacle item, const char *kind, const char *leaf,
                     es_faults *faults);
void es_obstacles_free(es_obstacles *list);
bool es_obstacle_crossed(const es_obstacle *o, double bearing_deg);

#endif
