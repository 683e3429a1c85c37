/* word.h - the nearest of a few known words, for "did you mean". */
#ifndef EARSHOT_STATION_WORD_H
#define EARSHOT_STATION_WORD_H

#include <stddef.h>

/* Letters to add, drop, change or swap with their neighbour to make b of a, capitals alike (Damerau 1964,
 * Levenshtein 1966). Words longer than 63 bytes: 64. */
size_t es_word_distance(const char *a, const char *b);

/* Keeps the nearest of the words offered one by one; starts zeroed except `word`. */
typedef struct es_nearest {
  const char *word; /* what was written */
  const char
      *best; /* borrowed; NULL while nothing is near: at most a third of the letters differ, and at least one may */
  size_t distance;
} es_nearest;
void es_nearest_offer(es_nearest *nearest, const char *known);

#endif
