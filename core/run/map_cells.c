/* map_cells.c - the ground under the cells, and the layers over them. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/large.h"
#include "output/map_class.h"
#include "run/map.h"
#include "run/pool.h"

/* --- the ground under the cells ------------------------------------------------------------------------------------------------ */

void es_map_cells_free(es_map_cells *cells) {
  es_large_free(cells->own_ground_m);
  es_large_free(cells->own_zone);
  *cells = (es_map_cells){0};
}

typedef struct row_work {
  const es_setup *setup;
  float *ground_m; /* NULL: not wanted; so zone */
  uint8_t *zone;
  double *east;   /* from the first cell of a row to each of its cells */
  double *ground; /* a row for every worker */
  uint8_t *known;
} row_work;

/* A row about another place than the ground's own: cell by cell. */
static int32_t sample_elsewhere(const row_work *w, double y, double x, size_t cols, es_ground_samples *s) {
  es_lonlat *at = malloc(cols * sizeof *at);
  for (size_t c = 0; at != NULL && c < cols; c++) at[c] = es_frame_place(&w->setup->frame, x + w->east[c], y);
  if (at != NULL) es_ground_sample_places(w->setup->ground, at, cols, s);
  free(at);
  return at != NULL ? 0 : ES_E_MEMORY;
}

/* Cells of one row: a straight line in either plane. */
static int32_t fill_row(void *shared, int worker, size_t item, es_error *err) {
  row_work *w = shared;
  const es_frame *f = &w->setup->frame;
  size_t cols = (size_t)f->cols, at = item * cols, mine = (size_t)worker * cols;
  es_ground_samples s = {.zone = w->zone != NULL ? w->zone + at : NULL};
  if (w->ground_m != NULL) s.ground_m = w->ground + mine, s.known = w->known + mine;
  double x, y;
  es_frame_cell(f, 0, (int)item, &x, &y);
  if (f->kind == ES_FRAME_RASTER)
    es_ground_sample_plane(w->setup->ground, f->beacon_x + x, f->beacon_y + y, 1.0, 0.0, w->east, cols, &s);
  else if (!w->setup->elsewhere)
    es_ground_sample_centred(w->setup->ground, x, y, 1.0, 0.0, w->east, cols, &s);
  else if (sample_elsewhere(w, y, x, cols, &s) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t c = 0; w->ground_m != NULL && c < cols; c++)
    w->ground_m[at + c] = s.known[c] == 0 ? NAN : (float)s.ground_m[c];
  return 0;
}

/* The frame is the elevation's own grid. */
static bool shared_grid(const es_setup *setup) { return setup->frame.kind == ES_FRAME_RASTER; }

size_t es_map_cells_bytes(const es_setup *setup) {
  size_t a_cell = (shared_grid(setup) ? 0 : sizeof(float)) + (setup->facts.has_zones ? 1 : 0);
  return a_cell * (size_t)setup->frame.cols * (size_t)setup->frame.rows;
}

static bool own_cells(const es_setup *setup, es_map_cells *out) {
  bool shared = shared_grid(setup), zones = setup->facts.has_zones;
  out->n = (size_t)setup->frame.cols * (size_t)setup->frame.rows;
  out->pitch = (size_t)setup->frame.cols;
  if (!shared) out->own_ground_m = es_large_get(out->n * sizeof(float));
  if (zones) out->own_zone = es_large_get(out->n);
  out->ground_m = shared ? es_ground_heights(setup->ground, &out->pitch) : out->own_ground_m;
  out->zone = out->own_zone;
  return out->ground_m != NULL && (!zones || out->zone != NULL);
}

static int32_t fill_rows(const es_setup *setup, int threads, const es_map_cells *cells, es_error *err) {
  size_t cols = (size_t)setup->frame.cols, wide = cols * (size_t)threads;
  row_work w = {.setup = setup, .ground_m = cells->own_ground_m, .zone = cells->own_zone};
  w.east = malloc(cols * sizeof(double));
  w.ground = malloc(wide * sizeof(double));
  w.known = malloc(wide);
  bool ok = w.east != NULL && w.ground != NULL && w.known != NULL;
  for (size_t c = 0; ok && c < cols; c++) w.east[c] = (double)c * setup->frame.cell_m;
  int32_t status = ok ? es_pool_run(threads, (size_t)setup->frame.rows, fill_row, &w, err)
                      : es_fail(err, ES_E_MEMORY, "out of memory");
  free(w.east);
  free(w.ground);
  free(w.known);
  return status;
}

int32_t es_map_cells_make(const es_setup *setup, int threads, es_map_cells *out, es_error *err) {
  *out = (es_map_cells){0};
  int32_t status = own_cells(setup, out) ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0 && (out->own_ground_m != NULL || out->own_zone != NULL)) status = fill_rows(setup, threads, out, err);
  if (status != 0) es_map_cells_free(out);
  return status;
}

/* --- layers ---------------------------------------------------------------------------------------------------------------------------- */

/* In a scratch folder it is filled piece by piece, so that it is never whole in memory. */
float *es_map_layer_create(const es_setup *setup, size_t n) {
  enum { PIECE = 1 << 22 };
  size_t bytes = n * sizeof(float);
  float *layer = setup->scratch != NULL ? es_large_on_disk(bytes, setup->scratch) : es_large_get(bytes);
  for (size_t i = 0; layer != NULL && i < n; i++) {
    layer[i] = NAN;
    if (i % PIECE == PIECE - 1) es_large_rest(layer);
  }
  es_large_rest(layer);
  return layer;
}

/* What `get` gives for each layer that the job wants. False: it gave NULL. */
typedef float *(*layer_fn)(const es_setup *setup, size_t n, float *of);

static bool lay_out(const es_setup *setup, size_t n_cells, layer_fn get, float *of, es_map_layers *out) {
  const es_job *job = setup->job;
  *out = (es_map_layers){.n_cells = n_cells};
  bool ok = (out->los = get(setup, n_cells, of)) != NULL;
  for (size_t i = 0; ok && i < job->n_time_percent && i < ES_MAP_PERCENTS; i++) {
    if (job->time_percent[i] > setup->highest_percent) continue;
    size_t k = out->n_percent++;
    out->percent[k] = job->time_percent[i];
    out->snr_db[k] = get(setup, n_cells, of);
    out->loss_db[k] = get(setup, n_cells, of);
    ok = out->snr_db[k] != NULL && out->loss_db[k] != NULL;
  }
  if (!ok || !setup->timed) return ok;
  return (out->heard_percent = get(setup, n_cells, of)) != NULL &&
         (out->way_median = get(setup, n_cells, of)) != NULL && (out->way_best = get(setup, n_cells, of)) != NULL;
}

static float *fresh(const es_setup *setup, size_t n, float *of) {
  (void)of;
  return es_map_layer_create(setup, n);
}

static float *same(const es_setup *setup, size_t n, float *of) {
  (void)setup, (void)n;
  return of;
}

bool es_map_layers_create(const es_setup *setup, size_t n_cells, es_map_layers *out) {
  return lay_out(setup, n_cells, fresh, NULL, out);
}

es_map_layers es_map_layers_over(const es_setup *setup, size_t n_cells, float *layer) {
  es_map_layers out;
  (void)lay_out(setup, n_cells, same, layer, &out);
  return out;
}

static size_t add(float **list, size_t n, float *layer) {
  list[n] = layer;
  return n + (layer != NULL);
}

size_t es_map_layers_list(const es_map_layers *l, float **list) {
  size_t n = 0;
  for (size_t k = 0; k < l->n_percent; k++) {
    n = add(list, n, l->snr_db[k]);
    n = add(list, n, l->loss_db[k]);
  }
  n = add(list, n, l->los);
  n = add(list, n, l->heard_percent);
  n = add(list, n, l->way_median);
  return add(list, n, l->way_best);
}

size_t es_map_layer_count(const es_setup *setup) {
  size_t n = 1;
  for (size_t i = 0; i < setup->job->n_time_percent && i < ES_MAP_PERCENTS; i++)
    n += setup->job->time_percent[i] <= setup->highest_percent ? 2 : 0;
  return n + (setup->timed ? 3 : 0);
}

void es_map_layers_rest(const es_map_layers *l) {
  float *list[ES_MAP_LAYERS + 1];
  size_t n = es_map_layers_list(l, list);
  for (size_t i = 0; i < n; i++) es_large_rest(list[i]);
}

void es_map_layers_free(es_map_layers *l) {
  float *list[ES_MAP_LAYERS + 1];
  size_t n = es_map_layers_list(l, list);
  for (size_t i = 0; i < n; i++) es_large_free(list[i]);
  *l = (es_map_layers){0};
}
