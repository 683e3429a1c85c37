#include "run/map.h"

#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "radial/fan.h"
#include "run/pool.h"

/* --- the ground under the cells ------------------------------------------------------------------------------------------------ */

void es_map_cells_free(es_map_cells *cells) {
  free(cells->ground_m);
  free(cells->zone);
  *cells = (es_map_cells){0};
}

typedef struct row_work {
  const es_setup *setup;
  es_map_cells *cells;
  double *east;   /* from the first cell of a row to each of its cells */
  double *ground; /* a row for every worker */
  uint8_t *known;
} row_work;

/* Cells of one row: a straight line in either plane. */
static int32_t fill_row(void *shared, int worker, size_t item, es_error *err) {
  (void)err;
  row_work *w = shared;
  const es_frame *f = &w->setup->frame;
  size_t cols = (size_t)f->cols, at = item * cols, mine = (size_t)worker * cols;
  es_ground_samples s = {.ground_m = w->ground + mine, .zone = w->cells->zone + at, .known = w->known + mine};
  double x, y;
  es_frame_cell(f, 0, (int)item, &x, &y);
  if (f->kind == ES_FRAME_RASTER)
    es_ground_sample_plane(w->setup->ground, f->beacon_x + x, f->beacon_y + y, 1.0, 0.0, w->east, cols, &s);
  else
    es_ground_sample_centred(w->setup->ground, x, y, 1.0, 0.0, w->east, cols, &s);
  for (size_t c = 0; c < cols; c++) w->cells->ground_m[at + c] = s.known[c] == 0 ? NAN : (float)s.ground_m[c];
  return 0;
}

int32_t es_map_cells_make(const es_setup *setup, int threads, es_map_cells *out, es_error *err) {
  size_t cols = (size_t)setup->frame.cols, rows = (size_t)setup->frame.rows, wide = cols * (size_t)threads;
  *out = (es_map_cells){cols * rows, malloc(cols * rows * sizeof(float)), malloc(cols * rows)};
  row_work w = {setup, out, malloc(cols * sizeof(double)), malloc(wide * sizeof(double)), malloc(wide)};
  bool ok = out->ground_m != NULL && out->zone != NULL && w.east != NULL && w.ground != NULL && w.known != NULL;
  for (size_t c = 0; ok && c < cols; c++) w.east[c] = (double)c * setup->frame.cell_m;
  int32_t status = ok ? es_pool_run(threads, rows, fill_row, &w, err) : es_fail(err, ES_E_MEMORY, "out of memory");
  free(w.east);
  free(w.ground);
  free(w.known);
  if (status != 0) es_map_cells_free(out);
  return status;
}

/* --- layers ---------------------------------------------------------------------------------------------------------------------------- */

static float *layer_create(size_t n) {
  float *layer = malloc(n * sizeof *layer);
  for (size_t i = 0; layer != NULL && i < n; i++) layer[i] = NAN;
  return layer;
}

static bool layers_create(const es_setup *setup, size_t n_cells, es_map_layers *out) {
  const es_job *job = setup->job;
  *out = (es_map_layers){.n_cells = n_cells};
  bool ok = (out->los = layer_create(n_cells)) != NULL;
  for (size_t i = 0; ok && i < job->n_time_percent && i < 16; i++) {
    if (job->time_percent[i] > setup->highest_percent) continue;
    size_t k = out->n_percent++;
    out->percent[k] = job->time_percent[i];
    out->snr_db[k] = layer_create(n_cells);
    out->loss_db[k] = layer_create(n_cells);
    ok = out->snr_db[k] != NULL && out->loss_db[k] != NULL;
  }
  if (!ok || !setup->timed) return ok;
  out->heard_percent = layer_create(n_cells);
  out->way_median = layer_create(n_cells);
  out->way_best = layer_create(n_cells);
  return out->heard_percent != NULL && out->way_median != NULL && out->way_best != NULL;
}

void es_map_layers_free(es_map_layers *l) {
  for (size_t k = 0; k < l->n_percent; k++) {
    free(l->snr_db[k]);
    free(l->loss_db[k]);
  }
  free(l->heard_percent);
  free(l->way_median);
  free(l->way_best);
  free(l->los);
  *l = (es_map_layers){0};
}

/* --- one ray ------------------------------------------------------------------------------------------------------------------------------ */

typedef struct map_work {
  const es_setup *setup;
  const es_scenario *scenario;
  const es_map_cells *cells;
  const es_percentages *percents;
  es_fan fan;
  es_worker *workers;
  es_progress *progress;
  es_map_layers *out;
  double needed_db;
  size_t layer_at[16]; /* index in percents of each layer */
  _Atomic size_t missing, outside, failed;
} map_work;

typedef struct ray {
  es_fan_ray is;
  double azimuth, step_m;
  size_t n_samples, n_cells;
  es_fan_cell *cells;
  es_line line;
} ray;

static double ray_azimuth(const es_frame *f, const es_fan_ray *is) {
  if (f->kind == ES_FRAME_BEACON) return atan2(is->ux, is->uy);
  es_lonlat start = es_frame_place(f, 0.0, 0.0), ahead = es_frame_place(f, 1e3 * is->ux, 1e3 * is->uy);
  return es_rad(es_geodesic_between(start, ahead).azimuth_deg);
}

/* Samples along the ray: a whole number of steps from ring to ring, none longer than the elevation's own step. */
static int32_t sample_ray(const map_work *w, es_arena *arena, ray *r) {
  const es_setup *setup = w->setup;
  const es_frame *f = &setup->frame;
  double parts = ceil(r->is.ring_m / setup->facts.step_m - 1e-3);
  parts = parts < 1.0 ? 1.0 : parts;
  r->step_m = r->is.ring_m / parts;
  size_t n = r->n_samples = (size_t)((double)r->is.rings * parts) + 1;
  double *dist = ES_NEW(arena, double, n);
  es_ground_samples s = {ES_NEW(arena, double, n), setup->facts.has_canopy ? ES_NEW(arena, double, n) : NULL,
                         setup->facts.has_cover ? ES_NEW(arena, uint8_t, n) : NULL, ES_NEW(arena, uint8_t, n),
                         ES_NEW(arena, uint8_t, n)};
  if (dist == NULL || s.ground_m == NULL || s.zone == NULL || s.known == NULL ||
      (setup->facts.has_canopy && s.canopy_m == NULL) || (setup->facts.has_cover && s.cover == NULL))
    return ES_E_MEMORY;
  for (size_t i = 0; i < n; i++) dist[i] = r->step_m * (double)i;
  if (f->kind == ES_FRAME_RASTER) {
    double x, y; /* the middle of the beacon's cell */
    es_frame_cell(f, w->fan.origin_col, w->fan.origin_row, &x, &y);
    es_ground_sample_plane(setup->ground, f->beacon_x + x, f->beacon_y + y, r->is.ux, r->is.uy, dist, n, &s);
  } else {
    es_ground_sample(setup->ground, f->beacon, es_deg(r->azimuth), dist, n, &s);
  }
  es_samples samples = {n, r->step_m, dist, s.ground_m, s.canopy_m, s.cover, s.zone, s.known};
  return es_line_make(arena, &samples, setup->job->ground.fill_gap_m, &r->line);
}

/* Spots for the cells that have ground of their own and known ground before them; cells[] is compacted along. */
static size_t spots_of(map_work *w, ray *r, es_spot *spots) {
  size_t n = 0;
  double reach = r->line.n > 0 ? r->line.dist_m[r->line.n - 1] + r->step_m : 0.0;
  for (size_t c = 0; c < r->n_cells; c++) {
    const es_fan_cell *cell = &r->cells[c];
    float ground = w->cells->ground_m[cell->index];
    if (cell->dist_m > reach || isnan(ground)) continue;
    spots[n] = (es_spot){cell->dist_m, ground, w->setup->job->map.receiver.height_m, w->cells->zone[cell->index]};
    r->cells[n++] = *cell;
  }
  return n;
}

static void store_cell(const map_work *w, const ray *r, const es_chain_answer *a, size_t c, const uint8_t *los) {
  const es_percentages *p = w->percents;
  es_map_layers *out = w->out;
  size_t index = r->cells[c].index, n = a->n_rx;
  const es_beacon *b = &w->setup->job->beacon;
  double snr[sizeof p->value / sizeof *p->value];
  for (size_t k = 0; k < p->n; k++)
    snr[k] = es_level_dbm(w->scenario->power_dbm, b->feeder_db, a->system_db[k * n + c]) - out->noise_2500_dbm;
  for (size_t l = 0; l < out->n_percent; l++) {
    size_t k = w->layer_at[l];
    out->snr_db[l][index] = (float)snr[k];
    out->loss_db[l][index] = (float)a->basic_db[k * n + c];
  }
  out->los[index] = los[c];
  if (out->heard_percent == NULL) return;
  out->heard_percent[index] = (float)es_heard_percent(p->value, snr, p->n, w->needed_db);
  out->way_median[index] = a->winner[p->median * n + c];
  out->way_best[index] = a->winner[p->best * n + c];
}

static void count(map_work *w, const es_chain_answer *a) {
  size_t outside = 0, failed = 0;
  for (size_t c = 0; c < a->n_rx; c++) {
    uint8_t status = a->status[w->percents->median * a->n_rx + c];
    outside += status == ES_OUTSIDE;
    failed += status == ES_FAILED;
  }
  if (outside > 0) atomic_fetch_add(&w->outside, outside);
  if (failed > 0) atomic_fetch_add(&w->failed, failed);
}

static int32_t evaluate_ray(map_work *w, ray *r, es_worker *worker, es_error *err) {
  const es_setup *setup = w->setup;
  es_spot *spots = ES_NEW(worker->keep, es_spot, r->n_cells);
  es_radial *radial = ES_NEW(worker->keep, es_radial, 1);
  if (spots == NULL || radial == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  size_t n = spots_of(w, r, spots);
  if (n < r->n_cells) atomic_fetch_add(&w->missing, r->n_cells - n);
  if (n == 0) return 0;
  es_lonlat centre = es_sphere_ahead(setup->job->beacon.at, r->azimuth, 0.5 * spots[n - 1].dist_m);
  double radius = es_median_radius_km(setup->job->chain, setup->job->earth_radius_km, setup->climate, centre);
  es_radial_setup place = {setup->job->beacon.at,       r->azimuth, w->scenario->height_m,
                           setup->job->beacon.freq_ghz, radius,     setup->wavelength_m};
  if (es_radial_place(worker->keep, &place, &r->line, spots, n, radial) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  const es_beacon *b = &setup->job->beacon;
  es_scene scene = {.radial = radial,
                    .climate = setup->climate,
                    .beacon_antenna = &b->antenna,
                    .listener_antenna = &setup->job->map.receiver.antenna,
                    .freq_ghz = b->freq_ghz,
                    .polarisation = b->polarisation,
                    .season = w->scenario->season,
                    .percent = w->percents->value,
                    .n_percent = w->percents->n,
                    .keep = worker->keep,
                    .scratch = worker->scratch};
  es_chain_answer answer;
  int32_t status = es_chain_evaluate(&setup->chain, &scene, &answer, err);
  if (status != 0) return status;
  for (size_t c = 0; c < n; c++) store_cell(w, r, &answer, c, radial->rx.los);
  count(w, &answer);
  return 0;
}

static int32_t do_ray(void *shared, int index, size_t item, es_error *err) {
  map_work *w = shared;
  es_worker *worker = &w->workers[index];
  es_worker_reset(worker);
  int32_t stopped = es_setup_stopped(w->setup, err);
  if (stopped != 0) return stopped;
  ray r = {.is = es_fan_ray_get(&w->fan, item)};
  es_progress_step(w->progress, 1);
  if (r.is.rings == 0) return 0;
  r.azimuth = ray_azimuth(w->fan.frame, &r.is);
  r.cells = ES_NEW(worker->keep, es_fan_cell, (size_t)r.is.rings);
  if (r.cells == NULL || sample_ray(w, worker->keep, &r) != 0) return es_fail(err, ES_E_MEMORY, "out of memory");
  r.n_cells = es_fan_cells(&w->fan, &r.is, r.cells);
  return r.n_cells > 0 ? evaluate_ray(w, &r, worker, err) : 0;
}

/* --- the whole map ---------------------------------------------------------------------------------------------------------------------------- */

size_t es_map_rays(const es_setup *setup) {
  es_fan fan = es_fan_make(&setup->frame);
  return es_fan_count(&fan);
}

int32_t es_map_compute(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                       const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                       es_map_layers *out, es_error *err) {
  if (!layers_create(setup, cells->n, out)) {
    es_map_layers_free(out);
    return es_fail(err, ES_E_MEMORY, "out of memory");
  }
  const es_receiver *rx = &setup->job->map.receiver;
  const es_mode *mode = es_mode_find(&setup->job->modes, rx->mode);
  out->noise_2500_dbm = es_receiver_noise(rx, setup->job->beacon.freq_ghz, 0.0).noise_2500_dbm;
  map_work w = {.setup = setup,
                .scenario = scenario,
                .cells = cells,
                .percents = percents,
                .fan = es_fan_make(&setup->frame),
                .workers = workers,
                .progress = progress,
                .out = out,
                .needed_db = mode != NULL ? mode->snr_2500_db : NAN};
  for (size_t l = 0; l < out->n_percent; l++)
    for (size_t k = 0; k < percents->n; k++)
      if (percents->value[k] == out->percent[l] || percents->n == 1) w.layer_at[l] = k;
  int32_t status = es_pool_run(threads, es_fan_count(&w.fan), do_ray, &w, err);
  out->missing = atomic_load(&w.missing);
  out->outside = atomic_load(&w.outside);
  out->failed = atomic_load(&w.failed);
  if (status != 0) es_map_layers_free(out);
  return status;
}
