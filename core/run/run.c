#include "run/run.h"

#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "base/large.h"
#include "base/text.h"
#include "output/files.h"
#include "run/coverage.h"
#include "run/decide.h"
#include "run/estimate.h"
#include "run/folder.h"
#include "run/heights.h"
#include "run/listener_files.h"
#include "run/map.h"
#include "run/map_ahead.h"
#include "run/needs.h"
#include "run/pages.h"
#include "run/places.h"
#include "run/rasters.h"
#include "run/record.h"
#include "run/report.h"
#include "run/sheets.h"
#include "run/year.h"

/* Everything that lives through a run; released together. */
typedef struct run {
  const es_job *job;
  const es_run_options *options;
  es_setup setup;
  int held;           /* the folder; -1: not yet */
  es_map_need *needs; /* of each scenario's map */
  es_percentages percents;
  es_progress *progress;
  es_worker *workers;
  es_listener_answers answers;
  es_heights heights;
  es_map_cells cells;
  es_map_ahead *ahead;
  es_map_layers *layers; /* counts of each scenario's map; its layers are freed once written */
  double *covered_km2;   /* of each scenario's map; NULL without one */
  es_report_book *report;
  es_decision *decision;
  json_t *inputs;
  char run_id[9], sentence[512]; /* sentence: which scenario to build */
  double seconds[4];             /* ground, listeners, maps, files */
  es_error *err;
} run;

enum { GROUND, LISTENERS, MAPS, FILES };

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* --- stages ---------------------------------------------------------------------------------------------------------------- */

static int32_t prepare(run *r, es_faults *faults) {
  double start = now_s();
  bool ok = es_setup_plan(r->job, &r->options->models, &r->setup, faults);
  r->setup.memory_bytes = r->options->memory_bytes;
  r->setup.stop = r->options->stop;
  ok &= es_folder_check(r->options->folder, faults);
  if (!es_setup_ground(&r->setup, faults, r->progress) || !ok || faults->n_faults > 0) return ES_E_INPUT;
  if (!es_estimate_fits(&r->setup, r->options->threads, r->options->folder, faults)) return ES_E_INPUT;
  r->percents = es_percentages_of(r->job, r->setup.timed, r->setup.highest_percent);
  r->workers = es_workers_create(r->options->threads);
  r->inputs = es_record_inputs(&r->setup, &r->percents, r->err);
  if (r->workers == NULL) return es_fail(r->err, ES_E_MEMORY, "out of memory");
  if (r->inputs == NULL) return r->err->status != 0 ? r->err->status : es_fail(r->err, ES_E_MEMORY, "out of memory");
  es_record_id(r->inputs, r->run_id);
  r->needs = es_needs_make(&r->setup, r->inputs, r->err);
  r->seconds[GROUND] = now_s() - start;
  return r->needs != NULL ? 0 : r->err->status;
}

/* Two runs in one folder are bad input of the second. */
static int32_t take_folder(run *r, es_faults *faults) {
  const char *folder = r->options->folder;
  int32_t status = es_folder_make(folder, r->err);
  if (status != 0) return status;
  r->held = es_folder_hold(folder, r->err);
  if (r->held >= 0) return es_folder_begin(folder, r->err);
  if (r->err->status == ES_E_INPUT) es_fault_error(faults, folder, r->err);
  return r->err->status;
}

static int32_t listen_all(run *r) {
  double start = now_s();
  int32_t status =
      es_listeners_evaluate(&r->setup, &r->percents, r->options->threads, r->workers, r->progress, &r->answers, r->err);
  r->seconds[LISTENERS] = now_s() - start;
  return status;
}

/* The table, then every path. */
static int32_t write_listeners(run *r) {
  es_listener_files files = {&r->setup, &r->percents, &r->answers, r->options->folder, r->run_id};
  int32_t status = es_listener_tables_write(&files, r->err);
  return status == 0 ? es_listener_paths_write(&files, r->options->threads, r->workers, r->err) : status;
}

/* Of the scenario to build. */
static int32_t write_pages(run *r) {
  size_t s = es_recommended_scenario(&r->heights);
  es_pages pages = {es_setup_in(&r->setup, s), &r->percents, &r->answers, r->options->folder, r->run_id, ES_VERSION, s};
  return es_pages_write(&pages, r->err);
}

static int32_t write_coverage(run *r, size_t scenario, const es_map_layers *layers) {
  const es_setup *setup = es_setup_in(&r->setup, scenario);
  es_coverage coverage;
  int32_t status = es_coverage_make(setup, &r->cells, layers, &coverage, r->err);
  if (status != 0) return status;
  r->covered_km2[scenario] = coverage.covered_km2;
  status = es_coverage_write(setup, &r->job->scenarios[scenario], &coverage, r->options->folder, r->err);
  if (status == 0)
    status = es_places_write(setup, scenario, &r->percents, &r->cells, layers, &r->answers, r->options->folder,
                             r->run_id, r->err);
  if (status == 0) status = es_decision_take_map(r->decision, scenario, &r->cells, layers, r->err);
  if (status == 0) status = es_report_take_map(r->report, scenario, &r->cells, layers, &coverage, r->err);
  es_coverage_free(&coverage);
  return status;
}

/* What leaves take: the map in leaf less that out of leaf, of one height and power. The first of the two waits here. */
typedef struct leaf_pair {
  float *snr_db;
  size_t scenario; /* whose it is */
} leaf_pair;

static int32_t write_leaves(run *r, size_t scenario, const es_map_layers *layers, leaf_pair *pair) {
  const es_job *job = r->job;
  int32_t season = job->scenarios[scenario].season;
  size_t other = es_scenario_in_season(job, scenario, season == ES_IN_LEAF ? ES_OUT_OF_LEAF : ES_IN_LEAF);
  if (season == ES_NO_TREES || other == SIZE_MAX || layers->n_percent == 0) return 0;
  const float *mine = layers->snr_db[es_map_median_layer(layers)];
  if (pair->snr_db == NULL || pair->scenario != other) {
    es_large_free(pair->snr_db);
    pair->scenario = scenario;
    pair->snr_db = es_map_layer_create(&r->setup, layers->n_cells);
    if (pair->snr_db == NULL) return es_fail(r->err, ES_E_MEMORY, "out of memory");
    memcpy(pair->snr_db, mine, layers->n_cells * sizeof *mine);
    es_large_rest(pair->snr_db);
    return 0;
  }
  for (size_t c = 0; c < layers->n_cells; c++)
    pair->snr_db[c] = season == ES_IN_LEAF ? mine[c] - pair->snr_db[c] : pair->snr_db[c] - mine[c];
  size_t in_leaf = season == ES_IN_LEAF ? scenario : other, out_of_leaf = season == ES_IN_LEAF ? other : scenario;
  int32_t status =
      es_leaves_write(es_setup_in(&r->setup, in_leaf), in_leaf, out_of_leaf, &r->percents, &r->cells, pair->snr_db,
                      &r->answers, r->options->folder, r->run_id, r->options->threads, r->err);
  es_large_free(pair->snr_db);
  pair->snr_db = NULL;
  return status;
}

/* Each site has its own plane; its scenarios follow one another. */
static int32_t cells_of_site(run *r, const es_setup *setup) {
  es_map_cells_free(&r->cells);
  return es_map_cells_make(setup, r->options->threads, &r->cells, r->err);
}

/* A scenario's map: read back when it is there already, else computed, and its rasters written. */
static int32_t obtain_map(run *r, const es_setup *setup, size_t s, es_map_layers *layers) {
  const es_scenario *scenario = &r->job->scenarios[s];
  es_raster_place at = {setup, scenario, &r->needs[s], r->options->folder, r->options->threads};
  bool found;
  int32_t status = es_rasters_read(&at, r->cells.n, layers, &found, r->err);
  if (status != 0 || found) return status;
  double start = now_s();
  char *name = es_format("map %s", scenario->name);
  es_progress_stage(r->progress, name != NULL ? name : "map", es_map_rays(setup));
  free(name);
  status = es_map_ahead_take(r->ahead, s, &r->cells, &r->percents, r->options->threads, r->workers, r->progress, layers,
                             r->err);
  r->seconds[MAPS] += now_s() - start;
  if (status != 0) return status;
  status = es_rasters_write(&at, layers, r->err);
  if (status != 0) es_map_layers_free(layers);
  return status;
}

/* One scenario's map at a time: obtained, written, let go. */
static int32_t map_all(run *r) {
  r->report = es_report_open(&r->setup, &r->percents, &r->answers);
  es_decision_place place = {r->options->folder, r->run_id, r->options->threads};
  r->decision = es_decision_open(&r->setup, &r->percents, &r->answers, place);
  if (r->report == NULL || r->decision == NULL) return es_fail(r->err, ES_E_MEMORY, "out of memory");
  if (!r->setup.has_frame) return 0;
  double start = now_s();
  int32_t status = 0;
  r->layers = calloc(r->job->n_scenarios, sizeof *r->layers);
  r->covered_km2 = calloc(r->job->n_scenarios, sizeof *r->covered_km2);
  r->ahead = es_map_ahead_create(&r->setup);
  if (r->layers == NULL || r->covered_km2 == NULL || r->ahead == NULL)
    status = es_fail(r->err, ES_E_MEMORY, "out of memory");
  leaf_pair pair = {0};
  for (size_t s = 0; status == 0 && s < r->job->n_scenarios; s++) {
    es_map_layers layers;
    const es_setup *setup = es_setup_in(&r->setup, s);
    if (s == 0 || setup->job->site != es_job_in(r->job, s - 1)->site) status = cells_of_site(r, setup);
    if (status != 0) break;
    double before_s = r->seconds[MAPS];
    status = obtain_map(r, setup, s, &layers);
    if (status != 0) break;
    status =
        es_sheets_write(setup, s, &r->percents, &r->cells, &layers, &r->answers, r->options->folder, r->run_id, r->err);
    es_map_layers_rest(&layers);
    if (status == 0) status = write_coverage(r, s, &layers);
    es_map_layers_rest(&layers);
    if (status == 0) status = write_leaves(r, s, &layers, &pair);
    if (status == 0) status = es_setup_stopped(&r->setup, r->err);
    r->seconds[FILES] += now_s() - start - (r->seconds[MAPS] - before_s);
    start = now_s();
    r->layers[s] = (es_map_layers){
        .n_cells = layers.n_cells, .missing = layers.missing, .outside = layers.outside, .failed = layers.failed};
    es_map_layers_free(&layers);
  }
  es_large_free(pair.snr_db);
  return status;
}

static int32_t find_heights(run *r) {
  const es_area *area = r->job->aim.by == ES_AIM_AREA ? es_decision_areas(r->decision) : NULL;
  return es_heights_make(&r->setup, &r->percents, &r->answers, area, &r->heights, r->err);
}

static int32_t write_heights(run *r) {
  int32_t status =
      es_heights_write(&r->setup, &r->percents, &r->answers, &r->heights, r->covered_km2, r->options->folder, r->err);
  if (status == 0)
    status = es_height_charts_write(&r->setup, &r->percents, &r->answers, &r->heights, r->covered_km2,
                                    r->options->folder, r->run_id, r->err);
  if (status == 0)
    status = es_report_finish(r->report, &r->heights, r->sentence, r->inputs, r->options->folder, r->run_id, r->err);
  return status;
}

/* Which scenario to build: told among the notes and in the report too. */
static int32_t write_decision(run *r, es_faults *faults) {
  int32_t status = es_decision_finish(r->decision, r->sentence, sizeof r->sentence, r->err);
  if (status == 0 && r->sentence[0] != '\0') es_note_add(faults, NULL, 0, "%s", r->sentence);
  return status;
}

static int32_t write_record(run *r) {
  char *path = es_format("%s/run.json", r->options->folder);
  json_t *record = json_pack("{s:s,s:O,s:o}", "run", r->run_id, "inputs", r->inputs, "counts",
                             es_record_counts(&r->setup, &r->answers, r->layers));
  int32_t status = path != NULL && record != NULL ? es_json_write(path, record, r->err)
                                                  : es_fail(r->err, ES_E_MEMORY, "out of memory");
  json_decref(record);
  free(path);
  return status;
}

static json_int_t peak_memory_bytes(void) {
  struct rusage used;
  return getrusage(RUSAGE_SELF, &used) == 0 ? (json_int_t)used.ru_maxrss * 1024 : 0;
}

/* Times, memory and host: outside the promise of equal bytes. */
static int32_t write_log(run *r) {
  char host[256] = "", when[32] = "";
  gethostname(host, sizeof host - 1);
  time_t t = time(NULL);
  struct tm utc;
  if (gmtime_r(&t, &utc) != NULL) strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%SZ", &utc);
  char *path = es_format("%s/run-log.json", r->options->folder);
  json_t *log = json_pack("{s:s,s:s,s:s,s:i,s:I,s:{s:f,s:f,s:f,s:f}}", "run", r->run_id, "finished", when, "host", host,
                          "threads", r->options->threads, "peak_memory_bytes", peak_memory_bytes(), "seconds", "ground",
                          r->seconds[GROUND], "listeners", r->seconds[LISTENERS], "maps", r->seconds[MAPS], "files",
                          r->seconds[FILES]);
  int32_t status =
      path != NULL && log != NULL ? es_json_write(path, log, r->err) : es_fail(r->err, ES_E_MEMORY, "out of memory");
  json_decref(log);
  free(path);
  return status;
}

static void release(run *r) {
  json_decref(r->inputs);
  free(r->needs);
  es_report_close(r->report);
  es_decision_close(r->decision);
  es_map_ahead_destroy(r->ahead);
  free(r->layers);
  free(r->covered_km2);
  es_map_cells_free(&r->cells);
  es_heights_free(&r->heights);
  es_listener_answers_free(&r->answers);
  es_workers_destroy(r->workers, r->options->threads);
  es_setup_close(&r->setup);
  es_progress_end(r->progress);
  es_folder_release(r->held);
}

int32_t es_run(const es_job *job, const es_run_options *options, es_faults *faults, es_error *err) {
  run r = {.job = job, .options = options, .progress = es_progress_start(options->quiet), .held = -1, .err = err};
  int32_t status = prepare(&r, faults);
  if (status == 0) status = take_folder(&r, faults);
  if (status == 0) status = listen_all(&r);
  double start = now_s();
  if (status == 0) status = write_listeners(&r);
  r.seconds[FILES] += now_s() - start;
  if (status == 0) status = map_all(&r);
  start = now_s();
  if (status == 0) status = find_heights(&r);
  if (status == 0) status = write_pages(&r);
  r.seconds[FILES] += now_s() - start;
  if (status == 0) status = write_decision(&r, faults);
  if (status == 0) status = write_heights(&r);
  if (status == 0) status = write_record(&r);
  if (status == 0) status = write_log(&r);
  release(&r);
  return status;
}
