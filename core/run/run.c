#include "run/run.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/text.h"
#include "output/output.h"
#include "run/book.h"
#include "run/listeners.h"
#include "run/map.h"
#include "run/needs.h"
#include "run/record.h"
#include "run/sheets.h"
#include "run/table.h"

/* Everything that lives through a run; released together. */
typedef struct run {
  const es_job *job;
  const es_run_options *options;
  es_setup setup;
  es_book *book;
  es_needs needs;
  es_percentages percents;
  es_progress *progress;
  es_worker *workers;
  es_listener_answers answers;
  es_map_cells cells;
  es_map_layers *layers; /* counts of each scenario's map; its layers are freed once written */
  json_t *inputs;
  char run_id[9];
  double seconds[4]; /* ground, listeners, maps, files */
  es_error *err;
} run;

enum { GROUND, LISTENERS, MAPS, FILES };

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int32_t make_folder(const char *path, es_error *err) {
  if (mkdir(path, 0777) == 0 || errno == EEXIST) return 0;
  return es_fail(err, ES_E_FILE, "%s: cannot be made (%s)", path, strerror(errno));
}

/* --- stages ---------------------------------------------------------------------------------------------------------------- */

/* What `earshot check` states, held against what the user allows. */
static bool fits_memory(const run *r, es_faults *faults) {
  if (!(r->options->memory_mb > 0.0)) return true;
  es_ground_area area = {r->job->beacon.at, r->setup.reach_m};
  double ground_mb = (double)es_ground_bytes(&r->job->ground, area, faults) / 1e6;
  double map_mb = es_setup_map_bytes(&r->setup) / 1e6;
  if (ground_mb + map_mb <= r->options->memory_mb) return true;
  es_fault_add(
      faults, r->job->path, 0,
      "--memory=%g: the job needs %.0f MB for the ground and %.0f MB for the map: allow more, or take a smaller "
      "radius or larger cells",
      r->options->memory_mb, ground_mb, map_mb);
  return false;
}

static int32_t prepare(run *r, es_faults *faults) {
  double start = now_s();
  bool ok = es_setup_plan(r->job, &r->options->models, &r->setup, faults);
  if (faults->n_faults > 0 || !ok) return ES_E_INPUT;
  if (!fits_memory(r, faults)) return ES_E_INPUT;
  if (!es_setup_ground(&r->setup, faults, r->progress)) return ES_E_INPUT;
  r->percents = es_percentages_of(r->job, r->setup.timed, r->setup.highest_percent);
  r->workers = es_workers_create(r->options->threads);
  r->inputs = es_record_inputs(&r->setup, &r->percents, r->err);
  if (r->workers == NULL) return es_fail(r->err, ES_E_MEMORY, "out of memory");
  if (r->inputs == NULL) return r->err->status != 0 ? r->err->status : es_fail(r->err, ES_E_MEMORY, "out of memory");
  es_record_id(r->inputs, r->run_id);
  r->seconds[GROUND] = now_s() - start;
  return es_needs_make(&r->setup, r->inputs, &r->needs, r->err);
}

/* Two runs in one folder are bad input of the second. */
static int32_t open_book(run *r, es_faults *faults) {
  int32_t status = make_folder(r->options->folder, r->err);
  if (status != 0) return status;
  r->book = es_book_open(r->options->folder, r->options->stop, r->err);
  if (r->book == NULL && r->err->status == ES_E_INPUT)
    es_fault_add(faults, r->options->folder, 0, "%s", r->err->detail);
  return r->book != NULL ? 0 : r->err->status;
}

static int32_t listen_all(run *r) {
  double start = now_s();
  int32_t status =
      es_listeners_evaluate(&r->setup, &r->percents, r->options->threads, r->workers, r->progress, &r->answers, r->err);
  r->seconds[LISTENERS] = now_s() - start;
  return status;
}

static int32_t write_one_table(run *r, const es_table *t, const char *name, bool as_text) {
  bool wanted = false;
  int32_t status = es_book_wants(r->book, name, r->needs.table, &wanted, r->err);
  if (status != 0 || !wanted) return status;
  char *path = es_format("%s/%s", r->options->folder, name);
  if (path == NULL) return es_fail(r->err, ES_E_MEMORY, "out of memory");
  status = as_text ? es_csv_write(path, t->fields, t->n_fields, t->cells, t->n_rows, r->err)
                   : es_gpkg_write(path, "listeners", t->fields, t->n_fields, t->cells, t->at, t->n_rows, r->err);
  free(path);
  return status != 0 ? status : es_book_enter(r->book, name, r->needs.table, r->err);
}

static int32_t write_tables(run *r) {
  es_table table;
  int32_t status = es_table_make(&r->setup, &r->percents, &r->answers, &table, r->err);
  if (status == 0) status = write_one_table(r, &table, "listeners.csv", true);
  if (status == 0) status = write_one_table(r, &table, "listeners.gpkg", false);
  es_table_free(&table);
  return status;
}

static int32_t write_path(run *r, size_t i) {
  size_t listener = i % r->answers.n_listeners, scenario = i / r->answers.n_listeners;
  char *name = es_format("paths/%04zu-%s.json", listener + 1, r->job->scenarios[scenario].name);
  json_t *record = es_record_path(&r->setup, &r->job->scenarios[scenario], &r->job->listeners.items[listener],
                                  &r->percents, &r->answers.items[i]);
  int32_t status = name != NULL && record != NULL ? es_book_json(r->book, name, record, r->err)
                                                  : es_fail(r->err, ES_E_MEMORY, "out of memory");
  json_decref(record);
  free(name);
  return status;
}

static int32_t write_paths(run *r) {
  size_t n = r->answers.n_scenarios * r->answers.n_listeners;
  if (n == 0) return 0;
  char *folder = es_format("%s/paths", r->options->folder);
  int32_t status = folder != NULL ? make_folder(folder, r->err) : es_fail(r->err, ES_E_MEMORY, "out of memory");
  free(folder);
  for (size_t i = 0; status == 0 && i < n; i++) status = write_path(r, i);
  return status;
}

/* The map of one scenario: computed, written, let go. */
static int32_t map_one(run *r, size_t s) {
  const es_map_needs *needs = &r->needs.maps[s];
  if (es_book_has_map(r->book, needs->raster, needs->sheet, &r->layers[s])) return 0;
  double start = now_s();
  es_map_layers layers;
  char *name = es_format("map %s", r->job->scenarios[s].name);
  es_progress_stage(r->progress, name != NULL ? name : "map", es_map_rays(&r->setup));
  free(name);
  int32_t status = es_map_compute(&r->setup, &r->job->scenarios[s], &r->cells, &r->percents, r->options->threads,
                                  r->workers, r->progress, &layers, r->err);
  if (status != 0) return status;
  r->seconds[MAPS] += now_s() - start;
  start = now_s();
  const es_sheet_files files = {r->book, r->options->folder, needs, r->options->threads};
  status = es_sheets_write(&r->setup, s, &r->percents, &r->cells, &layers, &r->answers, &files, r->err);
  r->seconds[FILES] += now_s() - start;
  r->layers[s] = (es_map_layers){
      .n_cells = layers.n_cells, .missing = layers.missing, .outside = layers.outside, .failed = layers.failed};
  es_map_layers_free(&layers);
  return status != 0 ? status : es_book_enter_map(r->book, needs->raster, needs->sheet, &r->layers[s], r->err);
}

static int32_t map_all(run *r) {
  if (!r->setup.has_frame) return 0;
  int32_t status = es_map_cells_make(&r->setup, r->options->threads, &r->cells, r->err);
  r->layers = calloc(r->job->n_scenarios, sizeof *r->layers);
  if (status == 0 && r->layers == NULL) status = es_fail(r->err, ES_E_MEMORY, "out of memory");
  for (size_t s = 0; status == 0 && s < r->job->n_scenarios; s++) status = map_one(r, s);
  return status;
}

static json_t *map_ids(const run *r) {
  json_t *ids = json_object();
  for (size_t s = 0; r->setup.has_frame && s < r->job->n_scenarios; s++)
    json_object_set_new(ids, r->job->scenarios[s].name, json_string(r->needs.maps[s].id));
  return ids;
}

static int32_t write_record(run *r) {
  json_t *record = json_pack("{s:s,s:O,s:o,s:o}", "run", r->run_id, "inputs", r->inputs, "maps", map_ids(r), "counts",
                             es_record_counts(&r->setup, &r->answers, r->layers));
  int32_t status = record != NULL ? es_book_json(r->book, "run.json", record, r->err)
                                  : es_fail(r->err, ES_E_MEMORY, "out of memory");
  json_decref(record);
  return status;
}

/* Times and host: outside the promise of equal bytes. */
static int32_t write_log(run *r) {
  char host[256] = "", when[32] = "";
  gethostname(host, sizeof host - 1);
  time_t t = time(NULL);
  struct tm utc;
  if (gmtime_r(&t, &utc) != NULL) strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%SZ", &utc);
  char *path = es_format("%s/run-log.json", r->options->folder);
  json_t *log = json_pack("{s:s,s:s,s:s,s:i,s:{s:f,s:f,s:f,s:f}}", "run", r->run_id, "finished", when, "host", host,
                          "threads", r->options->threads, "seconds", "ground", r->seconds[GROUND], "listeners",
                          r->seconds[LISTENERS], "maps", r->seconds[MAPS], "files", r->seconds[FILES]);
  int32_t status =
      path != NULL && log != NULL ? es_json_write(path, log, r->err) : es_fail(r->err, ES_E_MEMORY, "out of memory");
  json_decref(log);
  free(path);
  return status;
}

static void release(run *r) {
  json_decref(r->inputs);
  es_needs_free(&r->needs);
  free(r->layers);
  es_map_cells_free(&r->cells);
  es_listener_answers_free(&r->answers);
  es_workers_destroy(r->workers, r->options->threads);
  es_setup_close(&r->setup);
  es_progress_end(r->progress);
  es_book_close(r->book);
}

int32_t es_run(const es_job *job, const es_run_options *options, es_faults *faults, es_error *err) {
  run r = {.job = job, .options = options, .progress = es_progress_start(options->quiet), .err = err};
  int32_t status = prepare(&r, faults);
  r.setup.stop = options->stop;
  if (status == 0) status = open_book(&r, faults);
  if (status == 0) status = listen_all(&r);
  double start = now_s();
  if (status == 0) status = write_tables(&r);
  if (status == 0) status = write_paths(&r);
  r.seconds[FILES] += now_s() - start;
  if (status == 0) status = map_all(&r);
  if (status == 0) status = write_record(&r);
  if (status == 0) status = es_book_finish(r.book, err);
  if (status == 0) status = write_log(&r);
  release(&r);
  return status;
}
