/* decide.h - what a run gathers to tell which scenario is the one to build: areas, the ranking, pairs side by side.
 *
 * Opened when the listeners are known, given each scenario's map while it is in memory, finished at the end. Of maps only
 * the median layers of scenarios that some pair still waits for are held. */
#ifndef EARSHOT_RUN_DECIDE_H
#define EARSHOT_RUN_DECIDE_H

#include "run/compare.h"
#include "run/coverage.h"

typedef struct es_decision es_decision;

/* Where results go and what they are called after. Borrowed. */
typedef struct es_decision_place {
  const char *folder, *run_id;
  int threads;
} es_decision_place;

/* NULL out of memory. Pairs are the job's own, else the first scenario with the best of its rivals by listeners. */
/* Area covered in each scenario, as far as maps were taken; NULL: none was. Borrowed. */
const es_area *es_decision_areas(const es_decision *decision);
es_decision *es_decision_open(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                              es_decision_place place);
void es_decision_close(es_decision *decision); /* accepts NULL */
/* A scenario's map: its area, and compare-<number>.png and .tif once both maps of a pair are known. [setup] */
int32_t es_decision_take_map(es_decision *decision, size_t scenario, const es_map_cells *cells,
                             const es_map_layers *layers, es_error *err);
/* ranking.*, compare-*.csv and .json; nothing when the job has one scenario. The sentence about the best: at most n bytes. */
int32_t es_decision_finish(es_decision *decision, char *sentence, size_t n, es_error *err);

#endif
