#include "run/map.h"

#include <math.h>

#include "run/map_rays.h"
#include "run/pool.h"
#include "station/beacon_chain.h"

size_t es_map_rays(const es_setup *setup) {
  es_fan fan = es_fan_make(&setup->frame);
  return es_fan_count(&fan);
}

size_t es_map_turns(const es_setup *setup) { return (es_map_rays(setup) + ES_RAYS_A_TURN - 1) / ES_RAYS_A_TURN; }

/* Everything that is the same for all rays. */
static es_map_work work_of(const es_setup *setup, const es_scenario *scenario, const es_percentages *percents,
                           const es_map_layers *out) {
  const es_mode *mode = es_mode_find(&setup->job->modes, setup->job->map.receiver.mode);
  es_map_work w = {.setup = setup,
                   .scenario = scenario,
                   .percents = percents,
                   .fan = es_fan_make(&setup->frame),
                   .needed_db = mode != NULL ? mode->snr_2500_db : NAN,
                   .stride = 1};
  for (size_t l = 0; l < out->n_percent; l++)
    for (size_t k = 0; k < percents->n; k++)
      if (percents->value[k] == out->percent[l] || percents->n == 1) w.layer_at[l] = k;
  return w;
}

/* What a scenario adds to the losses: power, feeder, the standard listener's noise. */
static void add_view(const es_setup *setup, const es_scenario *scenario, es_map_layers *out, es_map_work *w) {
  const es_beacon *beacon = &setup->job->beacon;
  const es_receiver *rx = &setup->job->map.receiver;
  es_map_view *v = &w->view[w->n_views++];
  double lost_db =
      es_beacon_feeder_db(beacon, scenario->height_m) + es_receiver_polarisation_db(rx, beacon->polarisation);
  out->noise_2500_dbm = es_receiver_noise(rx, beacon->freq_ghz, rx->antenna.tilt).noise_2500_dbm;
  v->out = out;
  v->n_layers = es_map_layers_list(out, v->layer);
  v->sent_dbm = scenario->power_dbm - lost_db;
  w->n_columns += v->n_layers;
}

static int32_t run_turns(es_map_work *w, int threads, es_error *err) {
  size_t turns = (es_map_turns(w->setup) + w->stride - 1) / w->stride;
  int32_t status = es_pool_run(threads, turns, es_map_rays_do, w, err);
  for (size_t v = 0; v < w->n_views; v++) {
    w->view[v].out->missing = atomic_load(&w->missing);
    w->view[v].out->outside = atomic_load(&w->outside);
    w->view[v].out->failed = atomic_load(&w->failed);
  }
  return status;
}

int32_t es_map_fill(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                    const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                    size_t stride, es_map_layers *out, es_error *err) {
  es_map_work w = work_of(setup, scenario, percents, out);
  w.cells = cells;
  w.workers = workers;
  w.progress = progress;
  w.stride = stride;
  add_view(setup, scenario, out, &w);
  return run_turns(&w, threads, err);
}

int32_t es_map_fill_many(const es_setup *const *setups, const size_t *which, size_t n, const es_map_cells *cells,
                         const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                         es_map_layers *const *out, es_error *err) {
  es_map_work w = work_of(setups[0], &setups[0]->job->scenarios[which[0]], percents, out[0]);
  w.cells = cells;
  w.workers = workers;
  w.progress = progress;
  for (size_t i = 0; i < n; i++) add_view(setups[i], &setups[i]->job->scenarios[which[i]], out[i], &w);
  return run_turns(&w, threads, err);
}

int32_t es_map_compute(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                       const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                       es_map_layers *out, es_error *err) {
  int32_t status = es_map_layers_create(setup, cells->n, out) ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = es_map_fill(setup, scenario, cells, percents, threads, workers, progress, 1, out, err);
  if (status != 0) es_map_layers_free(out);
  return status;
}

int32_t es_map_try(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                   const es_percentages *percents, int threads, es_worker *workers, size_t stride, float *layer,
                   es_error *err) {
  es_map_layers layers = es_map_layers_over(setup, cells->n, layer);
  return es_map_fill(setup, scenario, cells, percents, threads, workers, NULL, stride, &layers, err);
}
