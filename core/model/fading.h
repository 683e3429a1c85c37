/* fading.h - the fade that is not exceeded for a percentage of time, from distributions that take turns.
 *
 * Each fading says for what share of the year it is active and, then, how often a fade is exceeded; one that is always there
 * (clear air) has what the others (rain) leave. The mixture is inverted for all receivers and percentages at once: for one
 * listener by the search of ITU-R P.2001-6 attachment I, step for step; for the thousands of a map in a third of the steps. */
#ifndef EARSHOT_MODEL_FADING_H
#define EARSHOT_MODEL_FADING_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"

/* Which of the answers over percent x receivers are wanted; at NULL: all n. Indices rise. */
typedef struct es_asked {
  const uint32_t *at;
  size_t n;
} es_asked;

/* Asks the mixture: exceeded[i] = percent of the year that fade_db[i] is exceeded, i over percent x receivers. fade NaN: not
 * asked. 0 or a status. */
typedef int32_t (*es_mixture_fn)(void *mixture, es_asked asked, const double *fade_db, double *exceeded, es_error *err);

/* fade_db[i] such that it is exceeded for wanted[i] percent; within 0.01 dB as the Recommendation has it. */
int32_t es_fading_invert(es_arena *arena, es_mixture_fn ask, void *mixture, const double *wanted, size_t n,
                         double *fade_db, es_error *err);

/* The same for n_percent x n_rx answers of a map, within 0.01 dB of the true fade. wanted[k] belongs to percentage k. Only
 * the receivers listed are looked at, and of their answers those for which negligible(of, i) is false (NULL: all); the rest
 * are 0. */
typedef bool (*es_negligible_fn)(const void *of, size_t i);
int32_t es_fading_solve(es_arena *arena, es_mixture_fn ask, void *mixture, const double *wanted, size_t n_percent,
                        size_t n_rx, es_asked receivers, es_negligible_fn negligible, const void *of, double *fade_db,
                        es_error *err);

#endif
