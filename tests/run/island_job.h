/* island_job.h - a job over the invented islands of terrain-samples, made and opened for a test. */
#ifndef EARSHOT_TESTS_RUN_ISLAND_JOB_H
#define EARSHOT_TESTS_RUN_ISLAND_JOB_H

#include "run/path.h"
#include "run/verdict.h"
#include "station/folder.h"

typedef struct island_job {
  test_folder folder;
  es_faults faults;
  es_job *job;
  es_setup setup;
  es_percentages percents;
  es_worker *worker;
  es_arena *results;
} island_job;

/* The beacon's place and frequency; beacon: further lines under "beacon:"; listeners: the list's text; rest: further top
 * keys. */
static inline void island_open_at(island_job *j, double lon, double lat, double mhz, const char *beacon,
                                  const char *listeners, const char *rest) {
  static const char *const folder = ES_MODELS;
  es_model_folders folders = {&folder, 1, NULL};
  *j = (island_job){.folder = {.path = ""}};
  folder_open(&j->folder);
  folder_write(&j->folder, "listeners.csv", listeners);
  char *text = es_format("beacon:\n  name: Skarn Head\n  call: Q0SKN\n  position: [%.6f, %.6f]\n"
                         "  frequency_mhz: %.6f\n%s\nlisteners: listeners.csv\n"
                         "ground: {elevation: " ES_TERRAIN "/elevation, mask: " ES_TERRAIN
                         "/land.geojson, vertical_datum: invented}\n%s\n",
                         lon, lat, mhz, beacon, rest);
  j->job = es_job_open(folder_write(&j->folder, "job.yaml", text), &j->faults);
  free(text);
  if (j->job == NULL || !es_setup_plan(j->job, &folders, &j->setup, &j->faults) ||
      !es_setup_ground(&j->setup, &j->faults, NULL)) {
    faults_print(&j->faults);
    fail_msg("the job cannot be set up");
  }
  j->percents = es_percentages_of(j->job, j->setup.timed, j->setup.highest_percent);
  j->worker = es_workers_create(1);
  j->results = es_arena_create();
  assert_true(j->worker != NULL && j->results != NULL);
}

static inline void island_open(island_job *j, const char *beacon, const char *listeners, const char *rest) {
  island_open_at(j, -36.1234, 46.5678, 10368.875, beacon, listeners, rest);
}

static inline void island_close(island_job *j) {
  es_arena_destroy(j->results);
  es_workers_destroy(j->worker, 1);
  es_setup_close(&j->setup);
  es_job_close(j->job);
  es_faults_free(&j->faults);
  folder_close(&j->folder);
}

static inline es_path_answer island_path(island_job *j, const es_scenario *scenario, const es_listener *listener) {
  es_path_answer a;
  es_error err = {0};
  if (es_path_evaluate(&j->setup, scenario, listener, &j->percents, j->worker, j->results, NULL, NULL, &a, NULL, &err))
    fail_msg("%s", err.detail);
  return a;
}

static inline es_path_answer island_advice(island_job *j, size_t listener) {
  const es_scenario *scenario = &j->job->scenarios[0];
  const es_listener *l = &j->job->listeners.items[listener];
  es_path_answer a = island_path(j, scenario, l);
  es_error err = {0};
  if (es_path_advise(&j->setup, scenario, l, &j->percents, j->worker, j->results, &a, &err) != 0)
    fail_msg("%s", err.detail);
  return a;
}

#endif
