/* parts.h - what an es_ground is made of; private to core/ground. */
#ifndef EARSHOT_GROUND_PARTS_H
#define EARSHOT_GROUND_PARTS_H

#include "ground/data_set.h"
#include "ground/grid.h"
#include "ground/zone.h"

struct es_ground {
  es_ground_area area;
  es_grid elevation, canopy, cover;
  bool has_canopy, has_cover, projected;
  uint8_t *by_mask; /* on the elevation's pixels: 1 where only the mask vouches for the surface; NULL without a mask */
  es_zones zones;   /* zones.zone NULL: inland everywhere, or not wanted */
  es_data_sets sets;
  es_ground_facts facts;
};

#endif
