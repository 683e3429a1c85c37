/* compare.h - two scenarios side by side: by how many dB the signal changes, and who is gained and lost on the way. */
#ifndef EARSHOT_RUN_COMPARE_H
#define EARSHOT_RUN_COMPARE_H

#include "run/map.h"
#include "run/ranking.h"

/* change[cell] = to - from on the cells of `frame`, each layer on a frame of its own; NaN where either has no answer. The
 * planes of two sites differ: a layer of another plane is read at its nearest cell. Change one for the other, and every value
 * changes its sign and nothing else. [setup] */
void es_compare_layers(const es_frame *frame, const es_frame *from_frame, const float *from, const es_frame *to_frame,
                       const float *to, float *change);

/* A listener counts as heard with a chance of one half or more (es_chance_heard, by the job's aim). Not compared: without an
 * answer in one of the two. */
typedef enum es_change { ES_STAYS_UNHEARD, ES_LOST, ES_GAINED, ES_STAYS_HEARD, ES_NOT_COMPARED } es_change;
es_change es_compare_listener(const es_ranking *ranking, es_pair pair, size_t listener);
/* The change is larger than its own spread. */
bool es_compare_is_sure(const es_ranking *ranking, es_pair pair, size_t listener);

/* compare-<number>.csv, a row a listener, and .json, who is gained and lost. area: as of es_ranking_make. */
int32_t es_compare_write(const es_ranking *ranking, const es_percentages *percents, const es_listener_answers *answers,
                         es_pair pair, size_t number, const char *folder, es_error *err);

#endif
