#include "run/setup.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

static const double MARGIN_M = 2000.0; /* beyond the farthest receiver, for interpolation */

bool es_folders_open(const es_model_folders *folders, es_model_set *set, es_faults *faults) {
  bool ok = es_models_open(folders->named, folders->n_named, true, set, faults);
  if (folders->installed != NULL) es_models_open(&folders->installed, 1, false, set, faults);
  return ok;
}

double es_median_radius_km(es_chain_kind chain, double given_km, const es_climate *climate, es_lonlat at) {
  if (!isnan(given_km)) return given_km;
  es_climate_key lapse = chain == ES_CHAIN_OPENINGS ? ES_DELTA_N : ES_DELTA_N_MEDIAN;
  return 157.0 * ES_EARTH_KM / (157.0 - es_climate_value(climate, lapse, 0, at, NULL)); /* P.2001 (3.5.1) */
}

static double reach_of(const es_job *job) {
  double reach = job->map.wanted ? job->map.radius_km * 1e3 : 0.0;
  for (size_t i = 0; i < job->listeners.n; i++)
    reach = fmax(reach, es_geodesic_between(job->beacon.at, job->listeners.items[i].at).dist_m);
  return reach + MARGIN_M;
}

bool es_setup_plan(const es_job *job, const es_model_folders *folders, es_setup *out, es_faults *faults) {
  static const char *const conventions[] = {"p526", "p2001", "p452"};
  *out = (es_setup){.job = job, .reach_m = reach_of(job)};
  out->wavelength_m = ES_LIGHT_M_S / (job->beacon.freq_ghz * 1e9);
  out->timed = job->chain != ES_CHAIN_DIFFRACTION;
  out->highest_percent = job->chain == ES_CHAIN_OPENINGS ? 50.0 : 100.0;
  const char *convention = job->convention >= 0 ? conventions[job->convention] : NULL;
  bool ok = es_folders_open(folders, &out->models, faults);
  ok &= es_chain_make(job->chain, job->models, job->n_models, &out->models, job->settings, job->n_settings, convention,
                      job->path, faults, &out->chain);
  out->climate = es_climate_open(&job->climate, job->path, faults);
  return ok && out->climate != NULL;
}

static bool lay_frame(es_setup *s, es_faults *faults) {
  const es_job *job = s->job;
  es_error err = {0};
  double radius_m = job->map.radius_km * 1e3;
  int32_t status;
  if (job->map.grid == ES_GRID_BEACON) {
    status = es_frame_about_beacon(job->beacon.at, radius_m, job->map.cell_m, &s->frame, &err);
  } else {
    const char *wkt;
    double x0, y0, cell;
    int cols, rows;
    if (!es_ground_projected_grid(s->ground, &wkt, &x0, &y0, &cell, &cols, &rows)) {
      es_fault_add(faults, job->path, 0,
                   "map: grid: elevation: want one projected elevation raster in metres, north up, "
                   "with square cells; leave grid out to use a plane about the beacon");
      return false;
    }
    status = es_frame_of_raster(job->beacon.at, wkt, x0, y0, cell, cols, rows, radius_m, &s->frame, &err);
  }
  if (status != 0) es_fault_add(faults, job->path, 0, "map: %s", err.detail);
  s->has_frame = status == 0;
  return s->has_frame;
}

bool es_setup_ground(es_setup *s, es_faults *faults, es_progress *progress) {
  s->ground = es_ground_open(&s->job->ground, (es_ground_area){s->job->beacon.at, s->reach_m}, faults, progress);
  if (s->ground == NULL) return false;
  s->facts = es_ground_facts_get(s->ground);
  return !s->job->map.wanted || lay_frame(s, faults);
}

double es_setup_map_bytes(const es_setup *s) {
  if (!s->job->map.wanted) return 0.0;
  double side = s->has_frame ? 0.0 : 2.0 * ceil(s->job->map.radius_km * 1e3 / s->job->map.cell_m) + 1.0;
  double cells = s->has_frame ? (double)s->frame.cols * s->frame.rows : side * side;
  double layers = 2.0 * (double)s->job->n_time_percent + 1.0 + (s->timed ? 3.0 : 0.0);
  return cells * (sizeof(float) + 1.0 + layers * sizeof(float));
}

int32_t es_setup_stopped(const es_setup *s, es_error *err) {
  if (s->stop == NULL || atomic_load(s->stop) == 0) return 0;
  return es_fail(err, ES_E_STOPPED, "stopped by a signal");
}

void es_setup_close(es_setup *s) {
  if (s->has_frame) es_frame_fini(&s->frame);
  es_ground_close(s->ground);
  es_climate_close(s->climate);
  es_models_close(&s->models);
  *s = (es_setup){0};
}
