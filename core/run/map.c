#include "run/map.h"

#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "output/map_class.h"
#include "radial/fan.h"
#include "run/canopy.h"
#include "run/pool.h"
#include "station/beacon_chain.h"

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
  bool at_centre; /* the ground is laid about this beacon: rows are straight lines there */
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
  (void)err;
  row_work *w = shared;
  const es_frame *f = &w->setup->frame;
  size_t cols = (size_t)f->cols, at = item * cols, mine = (size_t)worker * cols;
  es_ground_samples s = {.ground_m = w->ground + mine, .zone = w->cells->zone + at, .known = w->known + mine};
  double x, y;
  es_frame_cell(f, 0, (int)item, &x, &y);
  if (f->kind == ES_FRAME_RASTER)
    es_ground_sample_plane(w->setup->ground, f->beacon_x + x, f->beacon_y + y, 1.0, 0.0, w->east, cols, &s);
  else if (w->at_centre)
    es_ground_sample_centred(w->setup->ground, x, y, 1.0, 0.0, w->east, cols, &s);
  else
    return sample_elsewhere(w, y, x, cols, &s);
  for (size_t c = 0; c < cols; c++) w->cells->ground_m[at + c] = s.known[c] == 0 ? NAN : (float)s.ground_m[c];
  return 0;
}

static bool same_place(es_lonlat a, es_lonlat b) { return a.lon_deg == b.lon_deg && a.lat_deg == b.lat_deg; }

int32_t es_map_cells_make(const es_setup *setup, int threads, es_map_cells *out, es_error *err) {
  size_t cols = (size_t)setup->frame.cols, rows = (size_t)setup->frame.rows, wide = cols * (size_t)threads;
  *out = (es_map_cells){cols * rows, malloc(cols * rows * sizeof(float)), malloc(cols * rows)};
  row_work w = {setup, out, malloc(cols * sizeof(double)), malloc(wide * sizeof(double)), malloc(wide), true};
  w.at_centre = setup->job->n_variants == 0 || same_place(setup->frame.beacon, setup->job->variants[0]->beacon.at);
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
  size_t stride; /* 1: every ray */
  size_t n_rays;
  size_t layer_at[16]; /* index in percents of each layer */
  _Atomic size_t missing, outside, failed;
} map_work;

typedef struct ray {
  es_fan_ray is;
  double azimuth, step_m;
  size_t n_samples, n_cells;
  es_fan_cell *cells;
  es_line line;
  es_radial *radial;
} ray;

enum { RAYS_TOGETHER = 4 };

static double ray_azimuth(const es_frame *f, const es_fan_ray *is) {
  if (f->kind == ES_FRAME_BEACON) return atan2(is->ux, is->uy);
  es_lonlat start = es_frame_place(f, 0.0, 0.0), ahead = es_frame_place(f, 1e3 * is->ux, 1e3 * is->uy);
  return es_rad(es_geodesic_between(start, ahead).azimuth_deg);
}

/* Steps from ring to ring: none longer than the elevation's own. On the elevation's own grid one is enough at any angle: the
 * sample stands where the ray crosses a column (or row) of pixels, and none is passed over. */
static double steps_per_ring(const map_work *w, const ray *r) {
  if (w->setup->frame.kind == ES_FRAME_RASTER) return 1.0;
  double parts = ceil(r->is.ring_m / w->setup->facts.step_m - 1e-3);
  return parts < 1.0 ? 1.0 : parts;
}

/* Samples along the ray, a whole number of steps from ring to ring. */
static int32_t sample_ray(const map_work *w, es_arena *arena, ray *r) {
  const es_setup *setup = w->setup;
  const es_frame *f = &setup->frame;
  double parts = steps_per_ring(w, r);
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
  es_samples samples = {.n = n,
                        .step_m = r->step_m,
                        .dist_m = dist,
                        .ground_m = s.ground_m,
                        .canopy_m = s.canopy_m,
                        .cover = s.cover,
                        .zone = s.zone,
                        .known = s.known};
  es_canopy_view view = {w->scenario->season, NAN};
  es_course course = {.dist_m = dist[n - 1], .azimuth_deg = es_deg(r->azimuth)};
  if (es_canopy_stand(setup, &view, NULL, &course, arena, &samples) != 0) return ES_E_MEMORY;
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
    spots[n] = (es_spot){cell->dist_m, ground, w->setup->job->map.receiver.height_m, w->cells->zone[cell->index],
                         0.5 * r->step_m};
    r->cells[n++] = *cell;
  }
  return n;
}

static const double TREES_FROM_DB = 1.0;

uint8_t es_map_way(uint8_t winner, double trees_db) {
  return winner == ES_SURFACE && trees_db > TREES_FROM_DB ? ES_SURFACE + ES_MAP_TREES : winner;
}

static float way_at(const es_chain_answer *a, size_t k, size_t c) {
  size_t j = k * a->n_rx + c;
  const double *end_db = a->way[0].present ? a->way[0].end_db : NULL; /* of the surface way */
  return es_map_way(a->winner[j], end_db != NULL ? end_db[j] : 0.0);
}

static void store_cell(const map_work *w, const ray *r, const es_chain_answer *a, size_t c, const uint8_t *los) {
  const es_percentages *p = w->percents;
  es_map_layers *out = w->out;
  size_t index = r->cells[c].index, n = a->n_rx;
  double feeder_db = es_beacon_feeder_db(&w->setup->job->beacon, w->scenario->height_m) +
                     es_receiver_polarisation_db(&w->setup->job->map.receiver, w->setup->job->beacon.polarisation);
  double snr[sizeof p->value / sizeof *p->value];
  for (size_t k = 0; k < p->n; k++)
    snr[k] = es_level_dbm(w->scenario->power_dbm, feeder_db, a->system_db[k * n + c]) - out->noise_2500_dbm;
  for (size_t l = 0; l < out->n_percent; l++) {
    size_t k = w->layer_at[l];
    out->snr_db[l][index] = (float)snr[k];
    out->loss_db[l][index] = (float)a->basic_db[k * n + c];
  }
  out->los[index] = los[c];
  if (out->heard_percent == NULL) return;
  out->heard_percent[index] = (float)es_heard_percent(p->value, snr, p->n, w->needed_db);
  out->way_median[index] = way_at(a, p->median, c);
  out->way_best[index] = way_at(a, p->best, c);
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

static bool place_ray(map_work *w, ray *r, es_worker *worker, es_placing *out) {
  const es_setup *setup = w->setup;
  es_spot *spots = ES_NEW(worker->keep, es_spot, r->n_cells);
  r->radial = ES_NEW(worker->keep, es_radial, 1);
  if (spots == NULL || r->radial == NULL) return false;
  size_t n = spots_of(w, r, spots);
  if (n < r->n_cells) atomic_fetch_add(&w->missing, r->n_cells - n);
  r->n_cells = n;
  if (n == 0) return true;
  es_lonlat centre = es_sphere_ahead(setup->job->beacon.at, r->azimuth, 0.5 * spots[n - 1].dist_m);
  double radius = es_median_radius_km(setup->job->chain, setup->job->earth_radius_km, setup->climate, centre);
  es_radial_setup place = {setup->job->beacon.at,       r->azimuth, w->scenario->height_m,
                           setup->job->beacon.freq_ghz, radius,     setup->wavelength_m};
  *out = (es_placing){place, &r->line, spots, n, r->radial};
  return true;
}

static int32_t evaluate_ray(map_work *w, const ray *r, es_worker *worker, es_error *err) {
  const es_setup *setup = w->setup;
  const es_beacon *b = &setup->job->beacon;
  es_scene scene = {.radial = r->radial,
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
  es_arena_mark mark = es_arena_now(worker->keep);
  es_chain_answer answer;
  int32_t status = es_chain_evaluate(&setup->chain, &scene, &answer, err);
  if (status != 0) return status;
  for (size_t c = 0; c < r->n_cells; c++) store_cell(w, r, &answer, c, r->radial->rx.los);
  count(w, &answer);
  es_arena_back_to(worker->keep, mark);
  return 0;
}

/* Ground and cells of one ray; no cells: nothing to do. */
static bool begin_ray(map_work *w, size_t index, es_arena *arena, ray *r) {
  *r = (ray){.is = es_fan_ray_get(&w->fan, index)};
  if (r->is.rings == 0) return true;
  r->azimuth = ray_azimuth(w->fan.frame, &r->is);
  r->cells = ES_NEW(arena, es_fan_cell, (size_t)r->is.rings);
  if (r->cells == NULL || sample_ray(w, arena, r) != 0) return false;
  r->n_cells = es_fan_cells(&w->fan, &r->is, r->cells);
  return true;
}

/* A few neighbouring rays: their hulls grow side by side. */
static int32_t do_rays(void *shared, int index, size_t item, es_error *err) {
  map_work *w = shared;
  es_worker *worker = &w->workers[index];
  ray rays[RAYS_TOGETHER];
  es_placing placing[RAYS_TOGETHER];
  size_t first = item * RAYS_TOGETHER, n = 0;
  es_worker_reset(worker);
  for (size_t i = first; i < first + RAYS_TOGETHER && i < w->n_rays; i++) {
    ray *r = &rays[n];
    es_progress_step(w->progress, 1);
    if (!begin_ray(w, i * w->stride, worker->keep, r)) return es_fail(err, ES_E_MEMORY, "out of memory");
    if (r->n_cells > 0 && !place_ray(w, r, worker, &placing[n])) return es_fail(err, ES_E_MEMORY, "out of memory");
    n += r->n_cells > 0;
  }
  if (es_radials_place(worker->keep, es_chain_unread(&w->setup->chain), placing, n) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  int32_t status = 0;
  for (size_t i = 0; status == 0 && i < n; i++) status = evaluate_ray(w, &rays[i], worker, err);
  return status;
}

/* --- the whole map ---------------------------------------------------------------------------------------------------------------------------- */

size_t es_map_rays(const es_setup *setup) {
  es_fan fan = es_fan_make(&setup->frame);
  return es_fan_count(&fan);
}

static int32_t compute(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                       const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                       size_t stride, es_map_layers *out, es_error *err) {
  if (!layers_create(setup, cells->n, out)) {
    es_map_layers_free(out);
    return es_fail(err, ES_E_MEMORY, "out of memory");
  }
  const es_receiver *rx = &setup->job->map.receiver;
  const es_mode *mode = es_mode_find(&setup->job->modes, rx->mode);
  out->noise_2500_dbm = es_receiver_noise(rx, setup->job->beacon.freq_ghz, rx->antenna.tilt).noise_2500_dbm;
  es_fan fan = es_fan_make(&setup->frame);
  map_work w = {.setup = setup,
                .scenario = scenario,
                .cells = cells,
                .percents = percents,
                .fan = fan,
                .workers = workers,
                .progress = progress,
                .out = out,
                .needed_db = mode != NULL ? mode->snr_2500_db : NAN,
                .stride = stride,
                .n_rays = es_fan_count(&fan) / stride};
  for (size_t l = 0; l < out->n_percent; l++)
    for (size_t k = 0; k < percents->n; k++)
      if (percents->value[k] == out->percent[l] || percents->n == 1) w.layer_at[l] = k;
  int32_t status = es_pool_run(threads, (w.n_rays + RAYS_TOGETHER - 1) / RAYS_TOGETHER, do_rays, &w, err);
  out->missing = atomic_load(&w.missing);
  out->outside = atomic_load(&w.outside);
  out->failed = atomic_load(&w.failed);
  if (status != 0) es_map_layers_free(out);
  return status;
}

int32_t es_map_compute(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                       const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                       es_map_layers *out, es_error *err) {
  return compute(setup, scenario, cells, percents, threads, workers, progress, 1, out, err);
}

int32_t es_map_try(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                   const es_percentages *percents, int threads, es_worker *workers, size_t stride, es_error *err) {
  es_map_layers layers;
  int32_t status = compute(setup, scenario, cells, percents, threads, workers, NULL, stride, &layers, err);
  if (status == 0) es_map_layers_free(&layers);
  return status;
}

size_t es_map_layer_count(const es_setup *setup) {
  size_t n = 1;
  for (size_t i = 0; i < setup->job->n_time_percent && i < 16; i++)
    n += setup->job->time_percent[i] <= setup->highest_percent ? 2 : 0;
  return n + (setup->timed ? 3 : 0);
}
