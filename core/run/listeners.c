#include "run/listeners.h"

#include <stdlib.h>

#include "run/path_memory.h"
#include "run/pool.h"
#include "run/verdict.h"

/* --- in which order scenarios share most ------------------------------------------------------------------------------ */

typedef struct ranked {
  size_t scenario;
  double key[5]; /* what a line of ground hangs on, then what losses hang on */
} ranked;

static int by_key(const void *a, const void *b) {
  const ranked *x = a, *y = b;
  for (size_t i = 0; i < sizeof x->key / sizeof *x->key; i++)
    if (x->key[i] != y->key[i]) return x->key[i] < y->key[i] ? -1 : 1;
  return x->scenario < y->scenario ? -1 : 1;
}

static ranked *rank(const es_job *job) {
  ranked *order = calloc(job->n_scenarios, sizeof *order);
  for (size_t s = 0; order != NULL && s < job->n_scenarios; s++) {
    const es_job *in = es_job_in(job, s);
    const es_scenario *is = &job->scenarios[s];
    order[s] = (ranked){s, {(double)in->site, in->trees.growth_m, is->season, (double)in->beam, is->height_m}};
  }
  if (order != NULL) qsort(order, job->n_scenarios, sizeof *order, by_key);
  return order;
}

/* --- the work --------------------------------------------------------------------------------------------------------- */

typedef struct work {
  const es_setup *setup;
  const es_percentages *percents;
  const ranked *order;
  es_worker *workers;
  es_progress *progress;
  es_listener_answers *out;
} work;

typedef int32_t (*scenario_fn)(const work *w, const es_setup *setup, const es_scenario *scenario,
                               const es_listener *listener, int worker, es_path_answer *answer, es_error *err);

static int32_t evaluate(const work *w, const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                        int worker, es_path_answer *answer, es_error *err) {
  return es_path_evaluate(setup, scenario, listener, w->percents, &w->workers[worker], w->out->results[worker], NULL,
                          NULL, answer, NULL, err);
}

static int32_t advise(const work *w, const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                      int worker, es_path_answer *answer, es_error *err) {
  int32_t status =
      es_path_advise(setup, scenario, listener, w->percents, &w->workers[worker], w->out->results[worker], answer, err);
  es_progress_step(w->progress, 1);
  return status;
}

static int32_t each_scenario(const work *w, scenario_fn does, size_t listener, int worker, es_error *err) {
  int32_t status = 0;
  for (size_t i = 0; status == 0 && i < w->out->n_scenarios; i++) {
    size_t s = w->order[i].scenario;
    const es_setup *setup = es_setup_in(w->setup, s);
    status = does(w, setup, &setup->job->scenarios[s], &setup->job->listeners.items[listener], worker,
                  &w->out->items[s * w->out->n_listeners + listener], err);
  }
  return status;
}

/* One listener in all scenarios: first as they are, then what would help, so that neither disturbs what the other shares. */
static int32_t do_one(void *shared, int worker, size_t item, es_error *err) {
  const work *w = shared;
  es_path_memory memory = {.holds = ES_MEMORY_NOTHING};
  w->workers[worker].memory = &memory;
  int32_t status = es_setup_stopped(w->setup, err);
  if (status == 0) status = each_scenario(w, evaluate, item, worker, err);
  if (status == 0) status = each_scenario(w, advise, item, worker, err);
  w->workers[worker].memory = NULL;
  return status;
}

static bool answers_create(const es_job *job, int threads, es_listener_answers *out) {
  size_t n = job->n_scenarios * job->listeners.n;
  *out = (es_listener_answers){job->n_scenarios, job->listeners.n, calloc(n + 1, sizeof *out->items),
                               calloc((size_t)threads, sizeof *out->results), threads};
  bool ok = out->items != NULL && out->results != NULL;
  for (int i = 0; ok && i < threads; i++) ok = (out->results[i] = es_arena_create()) != NULL;
  return ok;
}

void es_listener_answers_free(es_listener_answers *a) {
  for (int i = 0; a->results != NULL && i < a->threads; i++) es_arena_destroy(a->results[i]);
  free(a->results);
  free(a->items);
  *a = (es_listener_answers){0};
}

int32_t es_listeners_evaluate(const es_setup *setup, const es_percentages *percents, int threads, es_worker *workers,
                              es_progress *progress, es_listener_answers *out, es_error *err) {
  const es_job *job = setup->job;
  if (!answers_create(job, threads, out)) {
    es_listener_answers_free(out);
    return es_fail(err, ES_E_MEMORY, "out of memory");
  }
  ranked *order = rank(job);
  work w = {setup, percents, order, workers, progress, out};
  size_t n = job->n_scenarios * job->listeners.n;
  if (n > 0) es_progress_stage(progress, "listeners", n);
  int32_t status = order != NULL ? es_pool_run(threads, job->listeners.n, do_one, &w, err)
                                 : es_fail(err, ES_E_MEMORY, "out of memory");
  free(order);
  if (status != 0) es_listener_answers_free(out);
  return status;
}

const es_path_answer *es_listener_answer(const es_listener_answers *a, size_t scenario, size_t listener) {
  return &a->items[scenario * a->n_listeners + listener];
}
