/* path_memory.h - what evaluations of one listener share when one worker makes them one after another.
 *
 *   samples   of the ground: hang on the site and the listener's place
 *   line      what stands on them: also on season, growth, the listener's name (obstacles)
 *   losses    radial and chain: also on height, beam, and everything of the listener
 *
 * Each evaluation keeps what still holds and replaces the rest, so that scenarios sorted by what they share do every piece of
 * work once. The answers are the same to the last bit as without a memory. Zeroed before the first; the worker's arenas hold
 * what it points to, and nothing else may use them meanwhile. Job and ground must stay. */
#ifndef EARSHOT_RUN_PATH_MEMORY_H
#define EARSHOT_RUN_PATH_MEMORY_H

#include "run/path.h"

enum { ES_MEMORY_NOTHING, ES_MEMORY_SAMPLES, ES_MEMORY_LINE, ES_MEMORY_LOSSES };

typedef struct es_path_memory {
  int holds;              /* the last of the four above that holds */
  es_arena_mark after[4]; /* of the worker's keep, behind each */
  size_t site;
  es_lonlat at;
  es_samples samples; /* ground, canopy as the raster has it, cover */
  int32_t season;
  double growth_m;
  const char *name;
  es_line line;
  size_t wanted; /* samples the line would have were there no gap */
  size_t beam;
  double height_m;
  const es_listener *listener; /* one of the job's list, or NULL: it may change under the same address */
  es_radial *radial;
  es_scene scene;
  es_chain_answer chain;
  es_trees_answer trees;
} es_path_memory;

#endif
