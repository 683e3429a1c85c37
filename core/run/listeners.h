/* listeners.h - every listener in every scenario. */
#ifndef EARSHOT_RUN_LISTENERS_H
#define EARSHOT_RUN_LISTENERS_H

#include "run/path.h"

typedef struct es_listener_answers {
  size_t n_scenarios, n_listeners;
  es_path_answer *items; /* [scenario][listener] */
  es_arena **results;    /* one a worker, behind the answers' arrays */
  int threads;
} es_listener_answers;

int32_t es_listeners_evaluate(const es_setup *setup, const es_percentages *percents, int threads, es_worker *workers,
                              es_progress *progress, es_listener_answers *out, es_error *err);
void es_listener_answers_free(es_listener_answers *answers);
const es_path_answer *es_listener_answer(const es_listener_answers *answers, size_t scenario, size_t listener);

#endif
