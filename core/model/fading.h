/* fading.h - the fade that is not exceeded for a percentage of time, from distributions that take turns.
 *
 * Each fading says for what share of the year it is active and, then, how often a fade is exceeded; one that is always there
 * (clear air) has what the others (rain) leave. The mixture is inverted by the search of ITU-R P.2001-6 attachment I, step
 * for step, for all receivers and percentages at once.                                                                     */
#ifndef EARSHOT_MODEL_FADING_H
#define EARSHOT_MODEL_FADING_H

#include "base/arena.h"
#include "base/status.h"

/* Asks the mixture: exceeded[i] = percent of the year that fade_db[i] is exceeded, i over percent x receivers. fade NaN: not
 * asked. 0 or a status. */
typedef int32_t (*es_mixture_fn)(void *mixture, const double *fade_db, double *exceeded, es_error *err);

/* fade_db[i] such that it is exceeded for wanted[i] percent; within 0.01 dB as the Recommendation has it. */
int32_t es_fading_invert(es_arena *arena, es_mixture_fn ask, void *mixture, const double *wanted, size_t n,
                         double *fade_db, es_error *err);

#endif
