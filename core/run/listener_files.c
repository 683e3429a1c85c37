#include "run/listener_files.h"

#include <stdlib.h>

#include "base/text.h"
#include "output/output.h"
#include "run/folder.h"
#include "run/path_picture.h"
#include "run/pool.h"
#include "run/record.h"
#include "run/table.h"
#include "run/year.h"

static int32_t no_memory(es_error *err) { return es_fail(err, ES_E_MEMORY, "out of memory"); }

/* --- tables ---------------------------------------------------------------------------------------------------------------- */

int32_t es_listener_tables_write(const es_listener_files *f, es_error *err) {
  es_table table;
  int32_t status = es_table_make(f->setup, f->percents, f->answers, &table, err);
  char *csv = es_format("%s/listeners.csv", f->folder), *gpkg = es_format("%s/listeners.gpkg", f->folder),
       *json = es_format("%s/listeners.geojson", f->folder);
  if (status == 0 && (csv == NULL || gpkg == NULL || json == NULL)) status = no_memory(err);
  if (status == 0) status = es_csv_write(csv, table.fields, table.n_fields, table.cells, table.n_rows, err);
  if (status == 0)
    status = es_gpkg_write_with_lines(gpkg, "listeners", table.fields, table.n_fields, table.cells, table.at,
                                      table.n_rows, f->setup->job->beacon.at, err);
  if (status == 0)
    status = es_geojson_write(json, table.fields, table.n_fields, table.cells, table.at, table.n_rows, err);
  free(json);
  free(csv);
  free(gpkg);
  es_table_free(&table);
  return status;
}

/* --- paths ----------------------------------------------------------------------------------------------------------------- */

typedef struct work {
  const es_listener_files *files;
  es_worker *workers;
  es_arena **results; /* one a worker */
  size_t stride;
} work;

static int32_t write_record(const es_listener_files *f, size_t scenario, size_t listener, es_error *err) {
  const es_setup *setup = es_setup_in(f->setup, scenario);
  const es_scenario *s = &setup->job->scenarios[scenario];
  char *path = es_format("%s/paths/%04zu-%s.json", f->folder, listener + 1, s->name);
  json_t *record = es_record_path(setup, s, &setup->job->listeners.items[listener], f->percents,
                                  es_listener_answer(f->answers, scenario, listener));
  es_year_figure year = es_year_of(f->setup, f->percents, f->answers, scenario, listener);
  if (record != NULL && year.known) json_object_set_new(record, "year", es_year_record(&setup->job->trees, &year));
  int32_t status = path != NULL && record != NULL ? es_json_write(path, record, err) : no_memory(err);
  json_decref(record);
  free(path);
  return status;
}

/* The profile drawn; the path is evaluated once more for its ground. */
static int32_t draw(const es_listener_files *f, size_t scenario, size_t listener, es_worker *worker, es_arena *results,
                    es_error *err) {
  const es_setup *setup = es_setup_in(f->setup, scenario);
  const es_scenario *s = &setup->job->scenarios[scenario];
  const es_listener *who = &setup->job->listeners.items[listener];
  es_path_answer answer;
  es_radial radial;
  char *path = es_format("%s/paths/%04zu-%s.png", f->folder, listener + 1, s->name);
  int32_t status = path == NULL ? no_memory(err) : 0;
  if (status == 0)
    status = es_path_evaluate(setup, s, who, f->percents, worker, results, NULL, NULL, &answer, &radial, err);
  if (status == 0 && answer.status == ES_OK)
    status = es_path_picture_write(path, setup, s, who, f->percents, &answer, &radial, f->run_id, err);
  free(path);
  return status;
}

static int32_t do_one(void *shared, int worker, size_t item, es_error *err) {
  const work *w = shared;
  const es_listener_files *f = w->files;
  size_t i = item * w->stride, scenario = i / f->answers->n_listeners, listener = i % f->answers->n_listeners;
  es_arena_mark mark = es_arena_now(w->results[worker]);
  int32_t status = es_setup_stopped(f->setup, err);
  if (status == 0) status = write_record(f, scenario, listener, err);
  if (status == 0) status = draw(f, scenario, listener, &w->workers[worker], w->results[worker], err);
  es_arena_back_to(w->results[worker], mark);
  return status;
}

static int32_t make_folder(const es_listener_files *f, es_error *err) {
  char *folder = es_format("%s/paths", f->folder);
  int32_t status = folder != NULL ? es_folder_make(folder, err) : no_memory(err);
  free(folder);
  return status;
}

int32_t es_listener_paths_write_some(const es_listener_files *f, size_t stride, int threads, es_worker *workers,
                                     es_error *err) {
  size_t n = f->answers->n_scenarios * f->answers->n_listeners;
  if (n == 0) return 0;
  int32_t status = make_folder(f, err);
  work w = {f, workers, calloc((size_t)threads, sizeof *w.results), stride};
  bool ok = w.results != NULL;
  for (int i = 0; ok && i < threads; i++) ok = (w.results[i] = es_arena_create()) != NULL;
  if (status == 0) status = ok ? es_pool_run(threads, (n + stride - 1) / stride, do_one, &w, err) : no_memory(err);
  for (int i = 0; w.results != NULL && i < threads; i++) es_arena_destroy(w.results[i]);
  free(w.results);
  return status;
}

int32_t es_listener_paths_write(const es_listener_files *f, int threads, es_worker *workers, es_error *err) {
  return es_listener_paths_write_some(f, 1, threads, workers, err);
}
