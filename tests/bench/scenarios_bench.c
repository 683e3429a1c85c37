/* scenarios_bench.c - a job's listeners and maps in all its scenarios, without files: what it takes.
 *
 *   scenarios_bench JOB.yaml MODELS_DIR THREADS
 *
 * Prints `listeners wall_s cpu_s` and, for a job with a map, `maps wall_s cpu_s`; ground is read before the clock starts.   */
#include <stdio.h>
#include <stdlib.h>

#include "run/listeners.h"
#include "run/map_ahead.h"
#include "stopwatch.h"

static int32_t listen_all(const es_setup *setup, const es_percentages *percents, int threads, es_worker *workers,
                          es_error *err) {
  es_listener_answers answers;
  clock_pair since = now();
  int32_t status = es_listeners_evaluate(setup, percents, threads, workers, NULL, &answers, err);
  if (status != 0) return status;
  tell("listeners", &since);
  es_listener_answers_free(&answers);
  return 0;
}

static int32_t map_all(const es_setup *setup, const es_percentages *percents, int threads, es_worker *workers,
                       es_error *err) {
  es_map_cells cells;
  clock_pair since = now();
  int32_t status = es_map_cells_make(setup, threads, &cells, err);
  es_map_ahead *ahead = es_map_ahead_create(setup);
  if (ahead == NULL) status = es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t s = 0; status == 0 && s < setup->job->n_scenarios; s++) {
    es_map_layers layers;
    status = es_map_ahead_take(ahead, s, &cells, percents, threads, workers, NULL, &layers, err);
    if (status == 0) es_map_layers_free(&layers);
  }
  es_map_ahead_destroy(ahead);
  es_map_cells_free(&cells);
  if (status == 0) tell("maps", &since);
  return status;
}

int main(int argc, char **argv) {
  if (argc < 4) return fprintf(stderr, "scenarios_bench JOB.yaml MODELS_DIR THREADS\n"), 2;
  es_faults faults = {0};
  es_error err = {0};
  es_setup setup;
  const char *named[] = {argv[2]};
  es_model_folders folders = {named, 1, NULL};
  int threads = atoi(argv[3]);
  es_job *job = es_job_open(argv[1], &faults);
  if (job == NULL || !es_setup_plan(job, &folders, &setup, &faults) || !es_setup_ground(&setup, &faults, NULL))
    return give_up("scenarios_bench", &faults, &err);
  es_worker *workers = es_workers_create(threads);
  es_percentages percents = es_percentages_of(job, setup.timed, setup.highest_percent);
  if (workers == NULL) return give_up("scenarios_bench", &faults, &err);
  if (job->listeners.n > 0 && listen_all(&setup, &percents, threads, workers, &err) != 0)
    return give_up("scenarios_bench", &faults, &err);
  if (setup.has_frame && map_all(&setup, &percents, threads, workers, &err) != 0)
    return give_up("scenarios_bench", &faults, &err);
  es_workers_destroy(workers, threads);
  es_setup_close(&setup);
  es_job_close(job);
  es_faults_free(&faults);
  return 0;
}
