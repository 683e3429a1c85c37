#include "run/listeners.h"

#include <stdlib.h>

#include "run/pool.h"
#include "run/verdict.h"

typedef struct work {
  const es_setup *setup;
  const es_percentages *percents;
  es_worker *workers;
  es_progress *progress;
  es_listener_answers *out;
} work;

static int32_t do_one(void *shared, int worker, size_t item, es_error *err) {
  work *w = shared;
  const es_job *job = w->setup->job;
  const es_listener *listener = &job->listeners.items[item % job->listeners.n];
  const es_scenario *scenario = &job->scenarios[item / job->listeners.n];
  int32_t status = es_setup_stopped(w->setup, err);
  if (status != 0) return status;
  status = es_path_evaluate(w->setup, scenario, listener, w->percents, &w->workers[worker], w->out->results[worker],
                            NULL, NULL, &w->out->items[item], NULL, err);
  if (status == 0)
    status = es_path_advise(w->setup, scenario, listener, w->percents, &w->workers[worker], w->out->results[worker],
                            &w->out->items[item], err);
  es_progress_step(w->progress, 1);
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
  work w = {setup, percents, workers, progress, out};
  size_t n = job->n_scenarios * job->listeners.n;
  if (n > 0) es_progress_stage(progress, "listeners", n);
  int32_t status = es_pool_run(threads, n, do_one, &w, err);
  if (status != 0) es_listener_answers_free(out);
  return status;
}

const es_path_answer *es_listener_answer(const es_listener_answers *a, size_t scenario, size_t listener) {
  return &a->items[scenario * a->n_listeners + listener];
}
