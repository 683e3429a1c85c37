/* map_ahead.h - maps of scenarios in their order, with every loss worked out once.
 *
 * Scenarios that differ in power, feeder or amplifier alone have the same losses: when the first of them is asked for, the
 * layers of the others are filled in the same pass and held until their turn, as far as memory for them goes (256 MB; none
 * when the user limits memory). The layers are the same, to the last bit, as those of es_map_compute(). */
#ifndef EARSHOT_RUN_MAP_AHEAD_H
#define EARSHOT_RUN_MAP_AHEAD_H

#include "run/map.h"

typedef struct es_map_ahead es_map_ahead;

es_map_ahead *es_map_ahead_create(const es_setup *setup); /* NULL out of memory */
void es_map_ahead_destroy(es_map_ahead *ahead);           /* accepts NULL */
/* The layers of a scenario, the caller's from now on. `cells` are those of its site. */
int32_t es_map_ahead_take(es_map_ahead *ahead, size_t scenario, const es_map_cells *cells,
                          const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                          es_map_layers *out, es_error *err);
/* The most bytes that a run holds back so, and how often it works out losses. */
typedef struct es_map_passes {
  size_t most_bytes, n;
} es_map_passes;
es_map_passes es_map_passes_of(const es_setup *setup, size_t n_cells);
/* The same losses: nothing differs but power, feeder, amplifier. */
bool es_losses_are_shared(const es_job *job, size_t a, size_t b);

#endif
