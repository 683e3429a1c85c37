/* island.h - an invented island with woods and a void, and values over it: input for the pictures' tests. */
#ifndef EARSHOT_TESTS_OUTPUT_ISLAND_H
#define EARSHOT_TESTS_OUTPUT_ISLAND_H

#include "output/output.h"

typedef struct island {
  es_frame frame;
  float *ground_m, *values;
  uint8_t *zone;
  es_map_mark *marks;
  char (*names)[16];
  size_t n_marks;
} island;

/* cells: columns and rows; marks are scattered over the land and near it by `seed`. Aborts when out of memory. */
island island_make(es_lonlat beacon, double radius_m, int cells, es_map_kind kind, size_t n_marks, unsigned seed);
void island_free(island *island);
/* A sheet's words for that kind. */
es_sheet island_sheet(es_map_kind kind);

#endif
