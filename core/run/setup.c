#include "run/setup.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/units.h"

static const double MARGIN_M = 2000.0; /* beyond the farthest receiver, for interpolation */
static const double FAR_M = 1e6;       /* a listener farther than this is worth a word */

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

/* About the first site, so far that the ground of every path and map lies within. */
static double reach_of(const es_job *job) {
  double radius = job->map.wanted && isfinite(job->map.radius_km) ? job->map.radius_km * 1e3 : 0.0, reach = radius;
  for (size_t i = 0; i < job->listeners.n; i++)
    reach = fmax(reach, es_geodesic_between(job->beacon.at, job->listeners.items[i].at).dist_m);
  for (size_t i = 1; i < job->n_variants; i++) {
    es_lonlat at = job->variants[i]->beacon.at;
    if (!isnan(at.lat_deg)) reach = fmax(reach, es_geodesic_between(job->beacon.at, at).dist_m + radius);
  }
  return reach + MARGIN_M;
}

/* Trees join a chain by themselves when the job knows of any and does not list its models. The openings chain is a method
 * whole in itself. */
static bool foliage_joins(const es_job *job) {
  return job->models == NULL && job->chain != ES_CHAIN_OPENINGS && es_job_has_canopy(job);
}

/* The chain's own models and foliage, in ids. */
static size_t with_foliage(const es_job *job, const char *ids[ES_CHAIN_MODELS]) {
  const char *const *own = es_chain_own_list(job->chain);
  size_t n = 0;
  for (; own[n] != NULL; n++) ids[n] = own[n];
  ids[n++] = "foliage";
  return n;
}

bool es_setup_plan(const es_job *job, const es_model_folders *folders, es_setup *out, es_faults *faults) {
  static const char *const conventions[] = {"p526", "p2001", "p452"};
  *out = (es_setup){.job = job, .reach_m = reach_of(job)};
  out->wavelength_m = ES_LIGHT_M_S / (job->beacon.freq_ghz * 1e9);
  out->timed = job->chain != ES_CHAIN_DIFFRACTION;
  out->highest_percent = job->chain == ES_CHAIN_OPENINGS ? 50.0 : 100.0;
  const char *convention = job->convention >= 0 ? conventions[job->convention] : NULL;
  bool ok = es_folders_open(folders, &out->models, faults);
  const char *joined[ES_CHAIN_MODELS];
  bool joins = foliage_joins(job);
  size_t n_ids = joins ? with_foliage(job, joined) : job->n_models;
  ok &= es_chain_make(job->chain, joins ? (char *const *)joined : job->models, n_ids, &out->models, job->settings,
                      job->n_settings, convention, job->path, faults, &out->chain);
  out->climate = es_climate_open(&job->climate, job->path, faults);
  ok &= es_model_sigma_builtin(job->beacon.freq_ghz, &out->model_sigma, faults);
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

static void no_ground_fault(const es_job *job, const es_listener *l, es_faults *faults) {
  char feature[32] = "";
  bool lines = job->listeners.has_lines;
  if (!lines) snprintf(feature, sizeof feature, "feature %ld: ", l->line);
  es_fault_add(faults, job->listeners_path, lines ? l->line : 0,
               "%s%s at lon=%.6f lat=%.6f: no elevation there, and no sea by a mask", feature, l->name, l->at.lon_deg,
               l->at.lat_deg);
}

/* A station without ground of its own is bad input: it stands beside every raster, or in a void. */
static void check_stations(const es_setup *s, es_faults *faults) {
  const es_job *job = s->job;
  size_t n = job->listeners.n;
  es_lonlat *at = malloc((n + 1) * sizeof *at);
  uint8_t *known = malloc(n + 1);
  if (at == NULL || known == NULL) {
    es_fault_memory(faults, job->path);
  } else {
    at[0] = job->beacon.at;
    for (size_t i = 0; i < n; i++) at[i + 1] = job->listeners.items[i].at;
    es_ground_sample_places(s->ground, at, n + 1, &(es_ground_samples){.known = known});
    if (known[0] == 0) {
      es_fault_add(faults, job->path, job->beacon.line,
                   "beacon: position=[%.6f, %.6f]: no elevation there, and no sea by a mask", at[0].lon_deg,
                   at[0].lat_deg);
      n = 0; /* nothing can be told of any path */
    }
    for (size_t i = 0; i < n; i++)
      if (known[i + 1] == 0) no_ground_fault(job, &job->listeners.items[i], faults);
  }
  free(at);
  free(known);
}

/* A place mistyped makes the ground enormous: say which one. */
static void note_farthest(const es_setup *s, es_faults *faults) {
  const es_job *job = s->job;
  const es_listener *farthest = NULL;
  double farthest_m = FAR_M;
  for (size_t i = 0; i < job->listeners.n; i++) {
    double dist_m = es_geodesic_between(job->beacon.at, job->listeners.items[i].at).dist_m;
    if (dist_m > farthest_m) farthest = &job->listeners.items[i], farthest_m = dist_m;
  }
  if (farthest != NULL)
    es_note_add(faults, job->listeners_path, job->listeners.has_lines ? farthest->line : 0,
                "%s is %.0f km from the beacon: the ground is read that far", farthest->name, farthest_m / 1e3);
}

static bool has_place(const es_job *job) { return !isnan(job->beacon.at.lat_deg); }

/* What is a variant's own: its job, its wavelength, the plane of its map. */
static bool lay_variants(es_setup *s, es_faults *faults) {
  const es_job *job = s->job;
  if (job->n_variants < 2) return true;
  es_setup *all = calloc(job->n_variants, sizeof *all);
  if (all == NULL) {
    es_fault_memory(faults, job->path);
    return false;
  }
  s->variants = all;
  bool ok = true;
  for (size_t i = 0; i < job->n_variants; i++) {
    all[i] = *s;
    all[i].job = job->variants[i];
    if (i == 0) continue;
    all[i].has_frame = false;
    all[i].elsewhere = all[i].job->site != job->site;
    all[i].wavelength_m = ES_LIGHT_M_S / (all[i].job->beacon.freq_ghz * 1e9);
    ok &= has_place(all[i].job) && es_model_sigma_builtin(all[i].job->beacon.freq_ghz, &all[i].model_sigma, faults);
    if (!ok) continue;
    if (all[i].elsewhere) {
      all[i].facts.step_m = es_ground_step_m(s->ground, all[i].job->beacon.at); /* as if it were the first */
      check_stations(&all[i], faults);
    }
    if (s->has_frame) lay_frame(&all[i], faults);
  }
  return ok;
}

const es_setup *es_setup_in(const es_setup *s, size_t scenario) {
  return s->variants != NULL ? &s->variants[s->job->scenarios[scenario].variant] : s;
}

/* Asked of the headers, before a pixel is read. */
static bool ground_fits(const es_setup *s, es_faults *faults) {
  if (s->memory_bytes == 0) return true;
  size_t before = faults->n_faults;
  size_t bytes = es_ground_bytes(&s->job->ground, (es_ground_area){s->job->beacon.at, s->reach_m}, faults);
  if (faults->n_faults > before) return false;
  if (bytes <= s->memory_bytes) return true;
  es_fault_add(faults, s->job->path, 0,
               "--memory: the job needs %.0f MB for %.1f km of ground alone, %.0f MB are allowed: want more of them, a "
               "smaller map, or no listener so far away",
               ceil((double)bytes / 1e6), s->reach_m / 1e3, (double)s->memory_bytes / 1e6);
  return false;
}

bool es_setup_ground(es_setup *s, es_faults *faults, es_progress *progress) {
  const es_job *job = s->job;
  if (isnan(job->beacon.at.lat_deg) || job->ground.n_elevation == 0) return false; /* a faulty job: told already */
  size_t before = faults->n_faults;
  note_farthest(s, faults);
  if (!ground_fits(s, faults)) return false;
  s->ground = es_ground_open(&job->ground, (es_ground_area){job->beacon.at, s->reach_m}, faults, progress);
  if (s->ground == NULL) return false;
  s->facts = es_ground_facts_get(s->ground);
  check_stations(s, faults);
  if (job->map.wanted && isfinite(job->map.radius_km)) lay_frame(s, faults);
  return lay_variants(s, faults) && faults->n_faults == before;
}

int32_t es_setup_stopped(const es_setup *s, es_error *err) {
  if (s->stop == NULL || atomic_load(s->stop) == 0) return 0;
  return es_fail(err, ES_E_STOPPED, "stopped by a signal");
}

void es_setup_close(es_setup *s) {
  for (size_t i = 1; s->variants != NULL && i < s->job->n_variants; i++)
    if (s->variants[i].has_frame) es_frame_fini(&s->variants[i].frame);
  free(s->variants);
  if (s->has_frame) es_frame_fini(&s->frame);
  es_ground_close(s->ground);
  es_climate_close(s->climate);
  es_models_close(&s->models);
  *s = (es_setup){0};
}
