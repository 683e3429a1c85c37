/* verdict.h - an answer in plain words: what is heard, what limits it, what would help most. */
#ifndef EARSHOT_RUN_VERDICT_H
#define EARSHOT_RUN_VERDICT_H

#include "run/path.h"

/* Sentences of an answer whose helps are known; text from `results`. [any thread, own arena] */
int32_t es_verdict_write(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                         const es_percentages *percents, es_arena *results, es_path_answer *answer, es_error *err);
/* Finds what limits an answer. */
es_cause es_verdict_cause(const es_setup *setup, const es_scenario *scenario, const es_percentages *percents,
                          const es_path_answer *answer);
/* Tries what would help: each change is made and the path evaluated again. At most three, the best first. */
int32_t es_help_find(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                     const es_percentages *percents, es_worker *worker, es_arena *results, es_path_answer *answer,
                     es_error *err);
/* All of it: cause, helps when the job wants them, sentences. The worker's arenas are reset. */
int32_t es_path_advise(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                       const es_percentages *percents, es_worker *worker, es_arena *results, es_path_answer *answer,
                       es_error *err);

/* "under 1 %", "68 %", "over 99 %". */
void es_share_text(double percent, char *out, size_t n);
/* The same of the year; a chain that answers for the better part only knows no more than that part: "50 % or more". */
void es_year_text(const es_setup *setup, double percent, char *out, size_t n);
const char *es_cause_name(es_cause_kind kind); /* "ridge" */

#endif
