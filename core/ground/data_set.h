/* data_set.h - what is told of a file that was read. [setup] */
#ifndef EARSHOT_GROUND_DATA_SET_H
#define EARSHOT_GROUND_DATA_SET_H

#include "ground/tiles.h"

typedef struct es_data_sets {
  es_data_set *items;
  size_t n, room;
} es_data_sets;

/* Adds the tiles that were used, or a vector layer. False: out of memory. */
bool es_data_sets_add_tiles(es_data_sets *sets, const char *what, const es_tiles *tiles, es_lonlat centre);
bool es_data_sets_add_vector(es_data_sets *sets, const char *what, const char *path);
void es_data_sets_fini(es_data_sets *sets);

#endif
