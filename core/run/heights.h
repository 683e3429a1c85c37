/* heights.h - what more height buys: scenarios that differ in nothing but the height of the beacon's antenna, side by side.
 *
 * The stop point is the lowest height above which no listener's median SNR changes by more than 1 dB, up to the greatest
 * height asked; a listener's knee is the lowest height that brings it within 1 dB of its best. Both are found by comparing
 * every pair: there are few heights.                                                                                      */
#ifndef EARSHOT_RUN_HEIGHTS_H
#define EARSHOT_RUN_HEIGHTS_H

#include "run/listeners.h"

/* Scenarios that differ in height only, from low to high. */
typedef struct es_height_group {
  size_t *scenarios; /* indices into the job's scenarios; owned by the arena */
  size_t n;
  size_t stop;     /* index into scenarios; n: even the last step still changes somebody */
  double price_db; /* feeder loss at the stop point less that at the lowest height */
} es_height_group;

typedef struct es_heights {
  es_height_group *groups;
  size_t n_groups;
  es_arena *arena;
} es_heights;

/* Groups of at least two heights; none: n_groups 0. */
int32_t es_heights_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                        es_heights *out, es_error *err);
void es_heights_free(es_heights *heights);
/* Index into group->scenarios of a listener's knee, n when it has no answer. */
size_t es_height_knee(const es_height_group *group, const es_percentages *percents, const es_listener_answers *answers,
                      size_t listener);
/* Listeners that hear the beacon in their mode more than half the year (or, without time, at all) in a scenario. */
size_t es_listeners_hearing(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                            size_t scenario);
/* The scenario to build: of the first group the stop point; without one the lowest height at which as many hear the beacon
 * as at any other. The job's first when no height varies. */
size_t es_recommended_scenario(const es_setup *setup, const es_percentages *percents,
                               const es_listener_answers *answers, const es_heights *heights);
/* Writes heights.csv (a row a height) and heights-listeners.csv (a row a listener and height). covered_km2 has one value a
 * scenario, or is NULL without a map. Nothing is written when no height varies. */
int32_t es_heights_write(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                         const es_heights *heights, const double *covered_km2, const char *folder, es_error *err);
/* The recommendation in one sentence or two, plain text; "" when no height varies. Writes at most n bytes. */
void es_height_advice(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                      const es_height_group *group, char *out, size_t n);

#endif
