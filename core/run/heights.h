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
  size_t stop; /* index into scenarios; n: even the last step still changes somebody */
  size_t
      best; /* index of the height to recommend: the stop point, else the lowest that is not clearly worse than the one
                      with most listeners (run/ranking.h) */
  double price_db; /* feeder loss there less that at the lowest height */
} es_height_group;

typedef struct es_heights {
  es_height_group *groups;
  size_t n_groups;
  size_t proposed; /* group of the best scenario at the first site; 0 when that varies no height */
  es_arena *arena;
} es_heights;

/* A change below this nobody notices (common practice, no source). */
extern const double es_noticed_db;

/* Groups of at least two heights; none: n_groups 0. */
int32_t es_heights_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                        es_heights *out, es_error *err);
void es_heights_free(es_heights *heights);
/* Index into group->scenarios of a listener's knee, n when it has no answer. */
size_t es_height_knee(const es_height_group *group, const es_percentages *percents, const es_listener_answers *answers,
                      size_t listener);
/* Loss of the feeder at one of the heights. */
double es_height_feeder_db(const es_setup *setup, const es_height_group *group, size_t i);
/* Listeners, or the sum of their weights, that hear the beacon by a mode (NULL: each its own) for the aim's share of the
 * time. */
double es_listeners_by_mode(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                            size_t scenario, const es_mode *mode, bool weighted);
/* Listeners that hear the beacon in their mode more than half the year (or, without time, at all) in a scenario. */
size_t es_listeners_hearing(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                            size_t scenario);
/* The scenario to build: of the first group the best height; the job's first when no height varies. */
size_t es_recommended_scenario(const es_heights *heights);
/* Writes heights.csv (a row a height), heights-listeners.csv (a row a listener and height) and heights.json. covered_km2 has one value a
 * scenario, or is NULL without a map. Nothing is written when no height varies. */
int32_t es_heights_write(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                         const es_heights *heights, const double *covered_km2, const char *folder, es_error *err);
/* heights-<number>-listeners and heights-<number>-snr, each as .png and .svg, for every group. */
int32_t es_height_charts_write(const es_setup *setup, const es_percentages *percents,
                               const es_listener_answers *answers, const es_heights *heights, const double *covered_km2,
                               const char *folder, const char *run_id, es_error *err);
/* The recommendation with its reason and its price, two or three sentences, plain text; "" when no height varies. Writes at most n bytes. */
void es_height_advice(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                      const es_height_group *group, char *out, size_t n);

#endif
