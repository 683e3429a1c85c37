/* map_rays.c - see map_rays.h.
 *
 *   rows of the ground --gather, in step--> lines, spots     neighbouring rays read the same piece of a row
 *   lines, spots ----es_radials_place-----> radials          their hulls grow side by side
 *   radials ---------es_chain_evaluate----> columns          one column a layer, one row a cell of the ray
 *   columns ---------scatter, in step-----> layers           neighbouring rays write the same piece of a row
 *
 * In step: a few cells of one ray, as many of the next, and so on, then the next few. A ray that runs north meets another
 * row at every ring, and each row lies in memory of its own; so what is fetched for one ray serves all. Neighbouring rays
 * own nearly the same number of cells up to any ring.                                                                    */
#include "run/map_rays.h"

#include <math.h>
#include <string.h>

#include "base/large.h"
#include "base/units.h"
#include "output/map_class.h"
#include "run/canopy.h"

enum { CELLS_IN_STEP = 16, RAYS_PLACED = 4 };

typedef struct ray {
  es_fan_ray is;
  double azimuth, step_m;
  size_t n_samples;
  double *dist_m;
  es_ground_samples ground;
  es_line line;
  size_t n_cells;
  es_fan_cell *cells;
  es_spot *spots; /* of the cells */
  bool gaps;      /* some cell has no ground */
  es_radial *radial;
  float *column; /* [layer of all views][cell] */
} ray;

/* --- the ground before the cells ------------------------------------------------------------------------------------------- */

static double ray_azimuth(const es_frame *f, const es_fan_ray *is) {
  if (f->kind == ES_FRAME_BEACON) return atan2(is->ux, is->uy);
  es_lonlat start = es_frame_place(f, 0.0, 0.0), ahead = es_frame_place(f, 1e3 * is->ux, 1e3 * is->uy);
  return es_rad(es_geodesic_between(start, ahead).azimuth_deg);
}

/* Steps from ring to ring: none longer than the elevation's own. On the elevation's own grid one is enough at any angle: the
 * sample stands where the ray crosses a column (or row) of pixels, and none is passed over. */
static double steps_per_ring(const es_map_work *w, const es_fan_ray *is) {
  if (w->setup->frame.kind == ES_FRAME_RASTER) return 1.0;
  double parts = ceil(is->ring_m / w->setup->facts.step_m - 1e-3);
  return parts < 1.0 ? 1.0 : parts;
}

/* Cells and memory of a ray that owns any. False: out of memory. */
static bool begin_ray(const es_map_work *w, es_arena *arena, ray *r) {
  const es_ground_facts *facts = &w->setup->facts;
  double parts = steps_per_ring(w, &r->is);
  r->azimuth = ray_azimuth(w->fan.frame, &r->is);
  r->step_m = r->is.ring_m / parts;
  /* The middle of a cell may lie beyond the last ring, by half a cell's diagonal at most. */
  double beyond_m = sqrt(0.5) * w->setup->frame.cell_m;
  size_t n = r->n_samples = (size_t)((double)r->is.rings * parts + ceil(beyond_m / r->step_m)) + 1;
  r->dist_m = ES_NEW(arena, double, n);
  r->ground = (es_ground_samples){ES_NEW(arena, double, n), facts->has_canopy ? ES_NEW(arena, double, n) : NULL,
                                  facts->has_cover ? ES_NEW(arena, uint8_t, n) : NULL, ES_NEW(arena, uint8_t, n),
                                  ES_NEW(arena, uint8_t, n)};
  r->cells = ES_NEW(arena, es_fan_cell, (size_t)r->is.rings);
  if (r->dist_m == NULL || r->ground.ground_m == NULL || r->ground.zone == NULL || r->ground.known == NULL ||
      r->cells == NULL || (facts->has_canopy && r->ground.canopy_m == NULL) ||
      (facts->has_cover && r->ground.cover == NULL))
    return false;
  for (size_t i = 0; i < n; i++) r->dist_m[i] = r->step_m * (double)i;
  r->n_cells = es_fan_cells(&w->fan, &r->is, r->cells);
  r->spots = ES_NEW(arena, es_spot, r->n_cells);
  r->radial = ES_NEW(arena, es_radial, 1);
  r->column = ES_NEW(arena, float, w->n_columns * r->n_cells);
  return r->spots != NULL && r->radial != NULL && r->column != NULL;
}

/* Straight lines of the plane in which the ground is laid; from another site they are geodesics, each by itself. */
static void gather_lines(const es_map_work *w, ray *rays, size_t n) {
  const es_frame *f = &w->setup->frame;
  bool own_plane = f->kind == ES_FRAME_RASTER;
  if (w->setup->elsewhere && !own_plane) {
    for (size_t i = 0; i < n; i++)
      es_ground_sample(w->setup->ground, f->beacon, es_deg(rays[i].azimuth), rays[i].dist_m, rays[i].n_samples,
                       &rays[i].ground);
    return;
  }
  double x = 0.0, y = 0.0;
  if (own_plane) es_frame_cell(f, w->fan.origin_col, w->fan.origin_row, &x, &y); /* the middle of the beacon's cell */
  es_ground_line lines[ES_RAYS_TOGETHER];
  for (size_t i = 0; i < n; i++)
    lines[i] = (es_ground_line){f->beacon_x + x, f->beacon_y + y,   rays[i].is.ux, rays[i].is.uy,
                                rays[i].dist_m,  rays[i].n_samples, rays[i].ground};
  es_ground_sample_lines(w->setup->ground, own_plane, lines, n);
}

/* Bridges gaps and sets up what stands on the ground. */
static bool make_line(const es_map_work *w, es_arena *arena, ray *r) {
  es_samples samples = {.n = r->n_samples,
                        .step_m = r->step_m,
                        .dist_m = r->dist_m,
                        .ground_m = r->ground.ground_m,
                        .canopy_m = r->ground.canopy_m,
                        .cover = r->ground.cover,
                        .zone = r->ground.zone,
                        .known = r->ground.known};
  es_canopy_view view = {w->scenario->season, NAN};
  es_course course = {.dist_m = r->dist_m[r->n_samples - 1], .azimuth_deg = es_deg(r->azimuth)};
  return es_canopy_stand(w->setup, &view, NULL, &course, arena, &samples) == 0 &&
         es_line_make(arena, &samples, w->setup->job->ground.fill_gap_m, &r->line) == 0;
}

/* Runs over all cells, a few of each ray in turn: from..to-1. */
typedef void (*in_step_fn)(const es_map_work *w, ray *r, size_t from, size_t to);
static void in_step(const es_map_work *w, ray *rays, size_t n, in_step_fn take) {
  size_t most = 0;
  for (size_t i = 0; i < n; i++) most = rays[i].n_cells > most ? rays[i].n_cells : most;
  for (size_t from = 0; from < most; from += CELLS_IN_STEP)
    for (size_t i = 0; i < n; i++) {
      size_t to = from + CELLS_IN_STEP < rays[i].n_cells ? from + CELLS_IN_STEP : rays[i].n_cells;
      if (from < to) take(w, &rays[i], from, to);
    }
}

static void gather_spots(const es_map_work *w, ray *r, size_t from, size_t to) {
  double height_m = w->setup->job->map.receiver.height_m, foot_m = 0.5 * r->step_m;
  size_t cols = (size_t)w->setup->frame.cols;
  const es_map_cells *of = w->cells;
  for (size_t c = from; c < to; c++) {
    const es_fan_cell *cell = &r->cells[c];
    float ground_m = of->ground_m[es_fan_at(cell, of->pitch)];
    r->gaps |= isnan(ground_m) != 0;
    r->spots[c] = (es_spot){cell->dist_m, ground_m, height_m, es_map_cell_zone(of, es_fan_at(cell, cols)), foot_m};
  }
}

/* Keeps the cells that have ground of their own and known ground before them. */
static void drop_unknown(es_map_work *w, ray *r) {
  size_t n = 0;
  double reach = r->line.n > 0 ? r->line.dist_m[r->line.n - 1] + r->step_m : 0.0;
  if (!r->gaps && r->n_cells > 0 && r->spots[r->n_cells - 1].dist_m <= reach) return;
  for (size_t c = 0; c < r->n_cells; c++) {
    if (r->spots[c].dist_m > reach || isnan(r->spots[c].ground_m)) continue;
    r->spots[n] = r->spots[c];
    r->cells[n++] = r->cells[c];
  }
  if (n < r->n_cells) atomic_fetch_add(&w->missing, r->n_cells - n);
  r->n_cells = n;
}

static es_placing placing_of(const es_map_work *w, const ray *r) {
  const es_setup *setup = w->setup;
  const es_job *job = setup->job;
  es_lonlat centre = es_sphere_ahead(job->beacon.at, r->azimuth, 0.5 * r->spots[r->n_cells - 1].dist_m);
  double radius = es_median_radius_km(job->chain, job->earth_radius_km, setup->climate, centre);
  es_radial_setup place = {job->beacon.at,      r->azimuth, w->scenario->height_m, job->beacon.freq_ghz, radius,
                           setup->wavelength_m, NULL};
  return (es_placing){place, &r->line, r->spots, r->n_cells, r->radial};
}

/* --- the answers ------------------------------------------------------------------------------------------------------------- */

static const double TREES_FROM_DB = 1.0;

uint8_t es_map_way(uint8_t winner, double trees_db) {
  return winner == ES_SURFACE && trees_db > TREES_FROM_DB ? ES_SURFACE + ES_MAP_TREES : winner;
}

static void put_way(const es_chain_answer *a, size_t k, float *way) {
  const double *end_db = a->way[0].present ? a->way[0].end_db : NULL; /* of the surface way */
  for (size_t c = 0, j = k * a->n_rx; c < a->n_rx; c++, j++)
    way[c] = es_map_way(a->winner[j], end_db != NULL ? end_db[j] : 0.0);
}

static double snr_at(const es_map_view *v, const es_chain_answer *a, size_t j) {
  return v->sent_dbm - a->system_db[j] - v->out->noise_2500_dbm;
}

static void put_snr(const es_map_view *v, const es_chain_answer *a, size_t k, float *snr_db) {
  for (size_t c = 0; c < a->n_rx; c++) snr_db[c] = (float)snr_at(v, a, k * a->n_rx + c);
}

static void put_loss(const es_chain_answer *a, size_t k, float *loss_db) {
  for (size_t c = 0; c < a->n_rx; c++) loss_db[c] = (float)a->basic_db[k * a->n_rx + c];
}

static void put_heard(const es_map_work *w, const es_map_view *v, const es_chain_answer *a, float *heard) {
  const es_percentages *p = w->percents;
  double snr[sizeof p->value / sizeof *p->value];
  for (size_t c = 0; c < a->n_rx; c++) {
    for (size_t k = 0; k < p->n; k++) snr[k] = snr_at(v, a, k * a->n_rx + c);
    heard[c] = (float)es_heard_percent(p->value, snr, p->n, w->needed_db);
  }
}

static void put_los(const uint8_t *los, size_t n, float *column) {
  for (size_t c = 0; c < n; c++) column[c] = los[c];
}

/* A column for each layer that is wanted, in the order of es_map_layers_list(). */
static void put_columns(const es_map_work *w, const es_map_view *v, const es_chain_answer *a, const uint8_t *los,
                        float *column) {
  const es_map_layers *out = v->out;
  size_t n = a->n_rx;
  for (size_t l = 0; l < out->n_percent; l++) {
    if (out->snr_db[l] != NULL) put_snr(v, a, w->layer_at[l], column), column += n;
    if (out->loss_db[l] != NULL) put_loss(a, w->layer_at[l], column), column += n;
  }
  if (out->los != NULL) put_los(los, n, column), column += n;
  if (out->heard_percent != NULL) put_heard(w, v, a, column), column += n;
  if (out->way_median != NULL) put_way(a, w->percents->median, column), column += n;
  if (out->way_best != NULL) put_way(a, w->percents->best, column);
}

static void count(es_map_work *w, const es_chain_answer *a) {
  size_t outside = 0, failed = 0;
  for (size_t c = 0; c < a->n_rx; c++) {
    uint8_t status = a->status[w->percents->median * a->n_rx + c];
    outside += status == ES_OUTSIDE;
    failed += status == ES_FAILED;
  }
  if (outside > 0) atomic_fetch_add(&w->outside, outside);
  if (failed > 0) atomic_fetch_add(&w->failed, failed);
}

static int32_t evaluate_ray(es_map_work *w, ray *r, es_worker *worker, es_error *err) {
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
  float *column = r->column;
  for (size_t v = 0; v < w->n_views; v++) {
    put_columns(w, &w->view[v], &answer, r->radial->rx.los, column);
    column += w->view[v].n_layers * r->n_cells;
  }
  count(w, &answer);
  es_arena_back_to(worker->keep, mark);
  return 0;
}

static void scatter(const es_map_work *w, ray *r, size_t from, size_t to) {
  const float *column = r->column;
  size_t cols = (size_t)w->setup->frame.cols;
  for (size_t v = 0; v < w->n_views; v++)
    for (size_t l = 0; l < w->view[v].n_layers; l++, column += r->n_cells) {
      float *layer = w->view[v].layer[l];
      for (size_t c = from; c < to; c++) layer[es_fan_at(&r->cells[c], cols)] = column[c];
    }
}

/* Layers in a file: one at a time, and what has been written leaves memory. */
static void scatter_to_disk(const es_map_work *w, const ray *rays, size_t n) {
  size_t cols = (size_t)w->setup->frame.cols;
  for (size_t v = 0, column = 0; v < w->n_views; v++)
    for (size_t l = 0; l < w->view[v].n_layers; l++, column++) {
      float *layer = w->view[v].layer[l];
      for (const ray *r = rays; r < rays + n; r++)
        for (size_t c = 0; c < r->n_cells; c++)
          layer[es_fan_at(&r->cells[c], cols)] = r->column[column * r->n_cells + c];
      es_large_rest(layer);
    }
}

static void store(const es_map_work *w, ray *rays, size_t n) {
  if (w->setup->scratch != NULL)
    scatter_to_disk(w, rays, n);
  else
    in_step(w, rays, n, scatter);
}

/* --- together ---------------------------------------------------------------------------------------------------------------- */

/* The rays that own cells. */
static size_t take_rays(const es_map_work *w, size_t first, ray *rays) {
  size_t n = 0, all = es_fan_count(&w->fan);
  for (size_t i = first; i < first + ES_RAYS_TOGETHER && i < all; i++) {
    es_progress_step(w->progress, 1);
    rays[n] = (ray){.is = es_fan_ray_get(&w->fan, i)};
    n += rays[n].is.rings > 0;
  }
  return n;
}

/* Lines and spots; rays without a cell on known ground are dropped. False: out of memory. */
static bool gather(es_map_work *w, es_arena *arena, ray *rays, size_t *n) {
  for (size_t i = 0; i < *n; i++)
    if (!begin_ray(w, arena, &rays[i])) return false;
  gather_lines(w, rays, *n);
  in_step(w, rays, *n, gather_spots);
  size_t kept = 0;
  for (size_t i = 0; i < *n; i++) {
    if (!make_line(w, arena, &rays[i])) return false;
    drop_unknown(w, &rays[i]);
    if (rays[i].n_cells > 0) rays[kept++] = rays[i];
  }
  *n = kept;
  return true;
}

/* Four at a time: what they hold then stays in the cache. */
static int32_t evaluate(es_map_work *w, ray *rays, size_t n, es_worker *worker, es_error *err) {
  es_placing placing[ES_RAYS_TOGETHER];
  es_arena_mark mark = es_arena_now(worker->keep);
  for (size_t i = 0; i < n; i++) placing[i] = placing_of(w, &rays[i]);
  if (es_radials_place(worker->keep, es_chain_unread(&w->setup->chain), placing, n) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  int32_t status = 0;
  for (size_t i = 0; status == 0 && i < n; i++) status = evaluate_ray(w, &rays[i], worker, err);
  es_arena_back_to(worker->keep, mark);
  return status;
}

static int32_t do_bundle(es_map_work *w, size_t first, es_worker *worker, es_error *err) {
  ray rays[ES_RAYS_TOGETHER];
  size_t n = take_rays(w, first, rays);
  es_worker_reset(worker);
  if (!gather(w, worker->keep, rays, &n)) return es_fail(err, ES_E_MEMORY, "out of memory");
  int32_t status = 0;
  for (size_t i = 0; status == 0 && i < n; i += RAYS_PLACED)
    status = evaluate(w, rays + i, n - i < RAYS_PLACED ? n - i : RAYS_PLACED, worker, err);
  if (status == 0) store(w, rays, n);
  return status;
}

int32_t es_map_rays_do(void *work, int index, size_t item, es_error *err) {
  es_map_work *w = work;
  int32_t status = es_setup_stopped(w->setup, err);
  size_t first = item * w->stride * ES_RAYS_A_TURN;
  for (size_t i = 0; status == 0 && i < ES_RAYS_A_TURN; i += ES_RAYS_TOGETHER)
    status = do_bundle(w, first + i, &w->workers[index], err);
  return status;
}
