#include "run/trial.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#include "base/large.h"
#include "base/units.h"
#include "run/coverage.h"
#include "run/few.h"
#include "run/folder.h"
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

/* Clock time that is enough to go by, for listeners and for rays; processor time for the cells of the small map. */
static const double ENOUGH_S = 0.2, SMALL_MAP_S = 0.2;
enum { MOST_TRIED = 64, PICTURES_A_THREAD = 2, LEAST_SIDE = 40, MOST_SIDE = 256, SMALLER = 4 };
/* Sides of the grids in the report, which do not grow beyond; see report.c. */
static const double REPORT_CELLS = 512.0 * 512.0;

typedef struct trial {
  const es_setup *setup;
  const es_percentages *percents;
  int threads;
  es_worker *workers;
  const char *folder;
  es_listener_answers answers; /* of the few */
  double cell_s;               /* processor time of a cell of the map */
  es_trial *out;
  es_error *err;
} trial;

/* --- time ------------------------------------------------------------------------------------------------------------ */

/* The clock shows what else the machine does and how long disks take; processor time tells small differences. */
typedef struct span {
  double clock_s, cpu_s;
} span;

static double seconds(clockid_t clock) {
  struct timespec t;
  clock_gettime(clock, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static span now(void) { return (span){seconds(CLOCK_MONOTONIC), seconds(CLOCK_PROCESS_CPUTIME_ID)}; }

static span since(span start) {
  span t = now();
  return (span){t.clock_s - start.clock_s, t.cpu_s - start.cpu_s};
}

/* On the line through two trials of sizes m < n; never less than the larger one's share of a greater size. */
static double along(span small, double m, span large, double n, double whole) {
  double slope = n > m ? fmax(large.cpu_s - small.cpu_s, 0.0) / (n - m) : 0.0;
  double cpu_s = fmax(small.cpu_s - slope * m, 0.0) + slope * whole;
  return cpu_s * (small.clock_s + large.clock_s) / fmax(small.cpu_s + large.cpu_s, 1e-6);
}

/* --- a few listeners ------------------------------------------------------------------------------------------------- */

static int32_t no_memory(es_error *err) { return es_fail(err, ES_E_MEMORY, "out of memory"); }

static int32_t evaluate(trial *t, const es_few *f, span *took) {
  span start = now();
  es_listener_answers_free(&t->answers);
  int32_t status = es_listeners_evaluate(&f->setup, t->percents, t->threads, t->workers, NULL, &t->answers, t->err);
  *took = since(start);
  return status;
}

/* Their tables and cards, against those of nobody. */
static int32_t write_tables(trial *t, const es_few *f, span *took) {
  span start = now();
  es_listener_files files = {&f->setup, t->percents, &t->answers, t->folder, "00000000"};
  es_pages pages = {&f->setup, t->percents, &t->answers, t->folder, "00000000", ES_VERSION, 0};
  int32_t status = es_listener_tables_write(&files, t->err);
  if (status == 0) status = es_pages_write(&pages, t->err);
  *took = since(start);
  return status;
}

static int32_t write_pictures(trial *t, const es_few *f, double *one_s) {
  size_t n = t->answers.n_scenarios * t->answers.n_listeners, want = (size_t)(PICTURES_A_THREAD * t->threads);
  size_t stride = n > want ? (n + want - 1) / want : 1;
  es_listener_files files = {&f->setup, t->percents, &t->answers, t->folder, "00000000"};
  span start = now();
  int32_t status = es_listener_paths_write_some(&files, stride, t->threads, t->workers, t->err);
  *one_s = n > 0 ? since(start).clock_s / (double)((n + stride - 1) / stride) : 0.0;
  return status;
}

static int32_t write_listeners(trial *t, const es_few *f, const es_few *nobody) {
  double n = (double)f->job.listeners.n, all = (double)t->setup->job->listeners.n, one_s;
  es_listener_answers answers = t->answers;
  span of_few, of_nobody;
  int32_t status = write_tables(t, f, &of_few);
  if (status == 0) status = write_pictures(t, f, &one_s);
  if (status != 0) return status;
  t->answers = (es_listener_answers){.n_scenarios = answers.n_scenarios};
  status = write_tables(t, nobody, &of_nobody);
  t->answers = answers;
  t->out->files_s += along(of_nobody, 0.0, of_few, n, all) + one_s * all * (double)answers.n_scenarios;
  return status;
}

static size_t lesser(size_t a, size_t b) { return a < b ? a : b; }

static int32_t try_listeners(trial *t) {
  size_t all = t->setup->job->listeners.n, most = lesser(all, MOST_TRIED), n = lesser((size_t)t->threads, all);
  es_few few, nobody;
  span took = {0};
  int32_t status = es_few_init(&few, t->setup, n) ? evaluate(t, &few, &took) : no_memory(t->err);
  while (status == 0 && took.clock_s < ENOUGH_S && n < most) {
    n = lesser(4 * n, most);
    es_few_fini(&few);
    status = es_few_init(&few, t->setup, n) ? evaluate(t, &few, &took) : no_memory(t->err);
  }
  if (n > 0) t->out->listeners_s = took.clock_s * (double)all / (double)n;
  bool ok = es_few_init(&nobody, t->setup, 0);
  if (status == 0 && !ok) status = no_memory(t->err);
  if (status == 0 && t->folder != NULL) status = write_listeners(t, &few, &nobody);
  es_few_fini(&nobody);
  es_few_fini(&few);
  return status;
}

/* --- a few rays -------------------------------------------------------------------------------------------------------- */

/* Tried are 5, 21, 85 turns: an odd number falls on other places of each of the fan's four wedges. */
static int32_t try_turns(trial *t, const es_map_cells *cells, float *layer, span *took, double *share) {
  enum { FIRST_TURNS = 5 };
  const es_setup *setup = t->setup;
  size_t turns = es_map_turns(setup), stride = turns / FIRST_TURNS > 0 ? turns / FIRST_TURNS : 1;
  int32_t status = 0;
  for (bool enough = false; status == 0 && !enough; stride = stride > 4 ? stride / 4 : 1) {
    span start = now();
    status =
        es_map_try(setup, &setup->job->scenarios[0], cells, t->percents, t->threads, t->workers, stride, layer, t->err);
    *took = since(start);
    *share = (double)((turns + stride - 1) / stride) / (double)turns;
    enough = took->clock_s >= ENOUGH_S || stride == 1;
  }
  return status;
}

/* Scenarios of one site follow one another. */
static size_t sites_of(const es_job *job) {
  size_t n = 1;
  for (size_t s = 1; s < job->n_scenarios; s++) n += es_job_in(job, s)->site != es_job_in(job, s - 1)->site;
  return n;
}

/* One layer, where the run will have them: on the disk it lies in the trial's own folder. */
static float *create_layer(const trial *t, size_t n_cells) {
  es_setup here = *t->setup;
  if (here.scratch != NULL) here.scratch = t->folder;
  return es_map_layer_create(&here, n_cells);
}

static int32_t try_rays(trial *t) {
  const es_setup *setup = t->setup;
  es_trial *out = t->out;
  es_map_cells cells;
  span start = now();
  int32_t status = es_map_cells_make(setup, t->threads, &cells, t->err);
  if (status != 0) return status;
  double cells_s = since(start).clock_s, share = 1.0;
  start = now();
  float *layer = create_layer(t, cells.n);
  double layers_s = since(start).clock_s * (double)es_map_layer_count(setup);
  span took = {0};
  status = layer != NULL ? try_turns(t, &cells, layer, &took, &share) : no_memory(t->err);
  out->sites = sites_of(setup->job);
  out->passes = es_map_passes_of(setup, cells.n).n;
  out->maps_s = cells_s * (double)out->sites + layers_s * (double)setup->job->n_scenarios +
                took.clock_s / share * (double)out->passes;
  t->cell_s = took.cpu_s / share / (double)cells.n;
  es_large_free(layer);
  es_map_cells_free(&cells);
  return status;
}

/* --- a small map --------------------------------------------------------------------------------------------------------- */

enum { RASTERS, SHEETS, PLACES, REPORT, STAGES };

/* The map's ground in larger cells, in the first scenario. */
typedef struct small_map {
  es_job job;
  es_setup setup;
  es_map_cells cells;
  es_map_layers layers;
  es_listener_answers nobody;
  es_report_book *book;
  span took[STAGES];
} small_map;

static void small_fini(small_map *m) {
  es_report_close(m->book);
  es_map_layers_free(&m->layers);
  es_map_cells_free(&m->cells);
  es_frame_fini(&m->setup.frame);
}

/* `m` must stay where it is; fini it whatever is answered. */
static int32_t small_compute(trial *t, double side, small_map *m) {
  double reach_m = es_frame_reach(&t->setup->frame);
  *m = (small_map){.job = *t->setup->job, .setup = *t->setup, .nobody.n_scenarios = 1};
  m->job.n_scenarios = 1;
  m->job.listeners.n = 0; /* marks are no part of what grows */
  m->setup.job = &m->job;
  m->setup.variants = NULL;
  m->setup.scratch = NULL;
  int32_t status = es_frame_about_beacon(m->job.beacon.at, reach_m, 2.0 * reach_m / side, &m->setup.frame, t->err);
  if (status == 0) status = es_map_cells_make(&m->setup, t->threads, &m->cells, t->err);
  if (status == 0)
    status = es_map_compute(&m->setup, &m->job.scenarios[0], &m->cells, t->percents, t->threads, t->workers, NULL,
                            &m->layers, t->err);
  m->book = es_report_open(&m->setup, t->percents, &m->nobody);
  return status == 0 && m->book == NULL ? no_memory(t->err) : status;
}

static int32_t write_places(const trial *t, small_map *m) {
  es_coverage coverage;
  int32_t status = es_coverage_make(&m->setup, &m->cells, &m->layers, &coverage, t->err);
  if (status != 0) return status;
  span start = now();
  status = es_coverage_write(&m->setup, &m->job.scenarios[0], &coverage, t->folder, t->err);
  if (status == 0)
    status =
        es_places_write(&m->setup, 0, t->percents, &m->cells, &m->layers, &m->nobody, t->folder, "00000000", t->err);
  m->took[PLACES] = since(start);
  start = now();
  if (status == 0) status = es_report_take_map(m->book, 0, &m->cells, &m->layers, &coverage, t->err);
  m->took[REPORT] = since(start);
  es_coverage_free(&coverage);
  return status;
}

/* Sheets have one size, whatever the map's: they are drawn once, and lie there for those who take a map's key from one. */
static int32_t small_write(const trial *t, small_map *m, bool sheets) {
  es_map_need need = {0, "00000000"};
  es_raster_place at = {&m->setup, &m->job.scenarios[0], &need, t->folder, t->threads};
  span start = now();
  int32_t status = es_rasters_write(&at, &m->layers, t->err);
  m->took[RASTERS] = since(start);
  start = now();
  if (status == 0 && sheets)
    status =
        es_sheets_write(&m->setup, 0, t->percents, &m->cells, &m->layers, &m->nobody, t->folder, "00000000", t->err);
  m->took[SHEETS] = since(start);
  return status == 0 ? write_places(t, m) : status;
}

/* Pictures with a raster of how one map differs from another: leaves, and pairs side by side. */
static size_t differences_of(const es_job *job) {
  size_t n = job->n_pairs > 0 ? job->n_pairs : job->n_scenarios > 1;
  for (size_t s = 0; s < job->n_scenarios; s++)
    n += job->scenarios[s].season == ES_IN_LEAF && es_scenario_in_season(job, s, ES_OUT_OF_LEAF) != SIZE_MAX;
  return n;
}

static void count_files(const trial *t, const small_map *a, const small_map *b) {
  const es_job *job = t->setup->job;
  double m = (double)a->cells.n, n = (double)b->cells.n;
  double cells = (double)t->setup->frame.cols * t->setup->frame.rows;
  double sheets = t->setup->timed ? 3.0 : 1.0, layers = (double)es_map_layer_count(t->setup);
  double rasters_s = along(a->took[RASTERS], m, b->took[RASTERS], n, cells), sheets_s = a->took[SHEETS].clock_s;
  double map_s = rasters_s + sheets_s + along(a->took[PLACES], m, b->took[PLACES], n, cells) +
                 along(a->took[REPORT], m, b->took[REPORT], n, fmin(cells, REPORT_CELLS));
  t->out->files_s +=
      map_s * (double)job->n_scenarios + (rasters_s / layers + sheets_s / sheets) * (double)differences_of(job);
}

static int32_t try_files(trial *t) {
  double most = fmin(t->setup->frame.cols, MOST_SIDE);
  double side = es_clamp(sqrt(SMALL_MAP_S / fmax(t->cell_s, 1e-9)), fmin(LEAST_SIDE, most), most);
  small_map a, b;
  int32_t status = small_compute(t, side / SMALLER, &a);
  if (status == 0) status = small_write(t, &a, true);
  if (status == 0) {
    status = small_compute(t, side, &b);
    if (status == 0) status = small_write(t, &b, false);
    if (status == 0) count_files(t, &a, &b);
    small_fini(&b);
  }
  small_fini(&a);
  return status;
}

/* --- all of it ----------------------------------------------------------------------------------------------------------- */

static int32_t try_inputs(trial *t) {
  span start = now();
  json_t *inputs = es_record_inputs(t->setup, t->percents, t->err);
  es_map_need *needs = inputs != NULL ? es_needs_make(t->setup, inputs, t->err) : NULL;
  t->out->inputs_s = since(start).clock_s;
  json_decref(inputs);
  free(needs);
  if (needs != NULL) return 0;
  return t->err->status != 0 ? t->err->status : no_memory(t->err);
}

static int32_t try_all(trial *t) {
  int32_t status = try_inputs(t);
  if (status == 0) status = try_listeners(t);
  if (status == 0 && t->setup->has_frame) status = try_rays(t);
  if (status == 0 && t->setup->has_frame && t->folder != NULL) status = try_files(t);
  return status;
}

int32_t es_trial_make(const es_setup *setup, const es_percentages *percents, int threads, es_trial *out,
                      es_error *err) {
  *out = (es_trial){0};
  char *folder = es_folder_temporary(err);
  trial t = {setup, percents, threads, es_workers_create(threads), folder, {0}, 0.0, out, err};
  int32_t status = t.workers != NULL ? try_all(&t) : no_memory(err);
  es_listener_answers_free(&t.answers);
  es_workers_destroy(t.workers, threads);
  if (folder == NULL) out->files_s = NAN;
  if (status == 0 && folder == NULL) status = ES_E_FILE;
  es_folder_drop(folder);
  return status;
}
