#include "run/profile.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "output/files.h"
#include "run/worker.h"

static const char *const way_names[ES_WAYS] = {"surface", "ducting", "troposcatter"};
static const char *const conventions[] = {"p526", "p2001", "p452"};

/* --- where -------------------------------------------------------------------------------------------------------- */

static const double LENGTH_MISMATCH = 0.005; /* told when positions and profile differ by more */
static const es_lonlat NOWHERE = {0.0, 50.0};

/* Bearing on the sphere, P.2001 (H.2.5), (H.2.6): the published examples place their path centres by it. */
static double sphere_bearing(es_lonlat a, es_lonlat b) {
  double lat_a = es_rad(a.lat_deg), lat_b = es_rad(b.lat_deg), dlon = es_rad(b.lon_deg - a.lon_deg);
  return atan2(cos(lat_b) * sin(dlon), cos(lat_a) * sin(lat_b) - sin(lat_a) * cos(lat_b) * cos(dlon));
}

static void check_length(const es_profile_job *job, es_faults *faults) {
  double km = es_geodesic_between(job->beacon_at, job->listener_at).dist_m / 1e3, own = job->dist_km[job->n - 1];
  if (fabs(km - own) > LENGTH_MISMATCH * own)
    es_note_add(faults, job->path, 0, "the positions are %.3f km apart, the profile is %.3f km long; the profile rules",
                km, own);
}

/* --- the radial --------------------------------------------------------------------------------------------------- */

static double uniform_step_m(const es_profile_job *job) {
  double step = 1e3 * job->dist_km[job->n - 1] / (double)(job->n - 1);
  for (size_t i = 0; i < job->n; i++)
    if (fabs(1e3 * job->dist_km[i] - step * (double)i) > 1e-9 * step) return 0.0;
  return step;
}

enum { FEWEST_POINTS = 3 }; /* P.2001 3.2 */
enum {
  FILLED_POINTS = 12
}; /* more than ten, as its software asks for; an even number, so that zones part in the middle */

/* A profile of two points has nothing between them that could stand in the way, not even the bulge of the earth: the
 * slope from one to the other is sampled, each half in the zone of its own end. */
static int32_t fill_between(es_arena *arena, const es_profile_job *job, es_profile_job *out) {
  *out = *job;
  if (job->n >= FEWEST_POINTS) return 0;
  out->n = FILLED_POINTS;
  out->dist_km = ES_NEW(arena, double, FILLED_POINTS);
  out->ground_m = ES_NEW(arena, double, FILLED_POINTS);
  out->zone = ES_NEW(arena, uint8_t, FILLED_POINTS);
  out->cover_m = NULL; /* what covers the ends does not count: P.452-18 (6e) */
  if (out->dist_km == NULL || out->ground_m == NULL || out->zone == NULL) return ES_E_MEMORY;
  for (int i = 0; i < FILLED_POINTS; i++) {
    double share = (double)i / (FILLED_POINTS - 1);
    out->dist_km[i] = share * job->dist_km[1];
    out->ground_m[i] = job->ground_m[0] + share * (job->ground_m[1] - job->ground_m[0]);
    out->zone[i] = job->zone[2 * i >= FILLED_POINTS];
  }
  return 0;
}

static int32_t make_line(es_arena *arena, const es_profile_job *job, es_line *line) {
  double *dist_m = ES_NEW(arena, double, job->n);
  if (dist_m == NULL) return ES_E_MEMORY;
  for (size_t i = 0; i < job->n; i++) dist_m[i] = 1e3 * job->dist_km[i];
  es_samples s = {.n = job->n,
                  .step_m = uniform_step_m(job),
                  .dist_m = dist_m,
                  .ground_m = job->ground_m,
                  .canopy_m = job->cover_m,
                  .zone = job->zone};
  return es_line_make(arena, &s, 0.0, line);
}

/* Distances to the sea given by the user take the place of those from the profile's zones. */
static int32_t override_sea(es_arena *arena, const es_profile_job *job, es_radial *radial) {
  const double **rows[2] = {&radial->rx.sea_tx_m, &radial->rx.sea_rx_m};
  for (int end = 0; end < 2; end++) {
    if (isnan(job->sea_distance_km[end])) continue;
    double *own = ES_NEW(arena, double, 1);
    if (own == NULL) return ES_E_MEMORY;
    *own = 1e3 * job->sea_distance_km[end];
    *rows[end] = own;
  }
  return 0;
}

static int32_t make_radial(es_worker *w, const es_profile_job *job, const es_climate *climate, es_radial *radial) {
  es_line line;
  if (make_line(w->keep, job, &line) != 0) return ES_E_MEMORY;
  es_lonlat from = job->has_positions ? job->beacon_at : NOWHERE;
  double azimuth = job->has_positions ? sphere_bearing(job->beacon_at, job->listener_at) : 0.5 * ES_PI;
  size_t last = job->n - 1;
  es_lonlat centre = es_sphere_ahead(from, azimuth, 0.5 * line.dist_m[last]);
  es_radial_setup setup = {
      from,
      azimuth,
      job->beacon_height_m,
      job->freq_ghz,
      es_median_radius_km(job->chain, job->chain == ES_CHAIN_DIFFRACTION ? job->earth_radius_km : NAN, climate, centre),
      ES_LIGHT_M_S / (job->freq_ghz * 1e9),
      w->outlines};
  es_outlines_forget(w->outlines);
  es_spot spot = {line.dist_m[last], line.ground_m[last], job->listener_height_m, line.zone[last], 0.0};
  int32_t status = es_radial_place(w->keep, &setup, &line, &spot, 1, radial);
  return status == 0 ? override_sea(w->keep, job, radial) : status;
}

/* --- answers ------------------------------------------------------------------------------------------------------ */

typedef struct symbols {
  json_t **of; /* one object a percentage */
} symbols;

static void keep_symbol(void *to, size_t k, size_t r, const char *symbol, double value) {
  (void)r;
  if (isfinite(value)) json_object_set_new(((symbols *)to)->of[k], symbol, json_real(value));
}

/* A whole answer has no ways of its own; what it reports under the letters of its Recommendation stands for them. */
static void add_total_ways(json_t *ways, const json_t *symbols_of) {
  static const char *const letters[ES_WAYS] = {"Lbd", "Lba", "Lbs"};
  for (int i = 0; i < ES_WAYS; i++) {
    const json_t *value = json_object_get(symbols_of, letters[i]);
    if (value != NULL)
      json_object_set_new(ways, way_names[i], json_pack("{s:f}", "basic_loss_db", json_real_value(value)));
  }
}

static json_t *result_at(const es_profile_job *job, const es_chain_answer *a, size_t k, json_t *symbols_of) {
  static const char *const status_names[] = {"ok", "outside range", "missing", "failed"};
  json_t *result = json_object(), *ways = json_object(), *terms = json_object();
  for (int i = 0; i < ES_WAYS; i++)
    if (a->way[i].present)
      json_object_set_new(ways, way_names[i],
                          json_pack("{s:o}", "basic_loss_db", es_json_number(a->way[i].loss_db[k])));
  if (json_object_size(ways) == 0) add_total_ways(ways, symbols_of);
  for (size_t i = 0; i < a->n_terms; i++)
    json_object_set_new(terms, a->term[i].id, es_json_number(a->term[i].value[k]));
  json_object_set_new(result, "time_percent", json_real(job->time_percent[k]));
  json_object_set_new(result, "basic_loss_db", es_json_number(a->basic_db[k]));
  json_object_set_new(result, "status", json_string(status_names[a->status[k] & 3]));
  json_object_set_new(result, "ways", ways);
  json_object_set_new(result, "terms", terms);
  json_object_set_new(result, "symbols", symbols_of);
  return result;
}

static void note_geometry(const es_radial *radial, symbols *s, size_t n_percent) {
  const es_receivers *rx = &radial->rx;
  const struct {
    const char *letter;
    double value;
  } of[] = {{"Thetat", 1e3 * rx->el_tx[0]},
            {"Thetar", 1e3 * rx->el_rx[0]},
            {"Dlt", rx->d_tx_m[0] / 1e3},
            {"Dlr", rx->d_rx_m[0] / 1e3},
            {"Hts", radial->beacon.antenna_m},
            {"Hrs", rx->at[0].antenna_m},
            {"Htep", radial->beacon.antenna_m - rx->smooth_tx_m[0]},
            {"Hrep", rx->at[0].antenna_m - rx->smooth_rx_m[0]},
            {"Htea", radial->beacon.antenna_m - rx->fit_tx_m[0]},
            {"Hrea", rx->at[0].antenna_m - rx->fit_rx_m[0]},
            {"Hm", rx->rough_m[0]},
            {"Hmid", rx->mid_ground_m[0]},
            {"Dtcv", rx->cv_tx_m[0] / 1e3},
            {"Hcv", rx->cv_height_m[0]},
            {"Dtm", rx->land_m[0] / 1e3},
            {"Dlm", rx->inland_m[0] / 1e3},
            {"Dct", rx->sea_tx_m[0] / 1e3},
            {"Dcr", rx->sea_rx_m[0] / 1e3},
            {"Fsea", rx->sea_share[0]},
            {"FlagLos50", rx->los[0]},
            {"Reff50", radial->earth_radius_km}};
  for (size_t k = 0; k < n_percent; k++)
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) keep_symbol(s, k, 0, of[i].letter, of[i].value);
}

static json_t *evaluate(const es_profile_job *given, const es_chain *chain, const es_climate *climate, es_worker *w,
                        es_faults *faults) {
  es_profile_job filled;
  const es_profile_job *job = &filled;
  es_radial radial;
  es_error err = {0};
  symbols s = {ES_NEW(w->keep, json_t *, given->n_time_percent)};
  if (s.of == NULL || fill_between(w->keep, given, &filled) != 0 || make_radial(w, job, climate, &radial) != 0) {
    es_fault_memory(faults, given->path);
    return NULL;
  }
  es_antenna tx = {.peak_dbi = job->beacon_gain_dbi}, rx = {.peak_dbi = job->listener_gain_dbi};
  es_scene scene = {.radial = &radial,
                    .climate = climate,
                    .beacon_antenna = &tx,
                    .listener_antenna = &rx,
                    .freq_ghz = job->freq_ghz,
                    .polarisation = job->polarisation,
                    .percent = job->time_percent,
                    .n_percent = job->n_time_percent,
                    .note = keep_symbol,
                    .note_to = &s,
                    .keep = w->keep,
                    .scratch = w->scratch};
  for (size_t k = 0; k < job->n_time_percent; k++) s.of[k] = json_object();
  note_geometry(&radial, &s, job->n_time_percent);
  es_chain_answer answer;
  if (es_chain_evaluate(chain, &scene, &answer, &err) != 0) {
    es_fault_error(faults, job->path, &err);
    for (size_t k = 0; k < job->n_time_percent; k++) json_decref(s.of[k]);
    return NULL;
  }
  json_t *results = json_array();
  for (size_t k = 0; k < job->n_time_percent; k++) json_array_append_new(results, result_at(job, &answer, k, s.of[k]));
  return json_pack("{s:o}", "results", results);
}

json_t *es_profile_evaluate(const es_profile_job *job, const es_model_folders *folders, es_faults *faults) {
  es_model_set set = {0};
  es_chain chain;
  json_t *answer = NULL;
  es_climate *climate = es_climate_open(&job->climate, job->path, faults);
  es_worker *worker = es_workers_create(1);
  bool ok = es_folders_open(folders, &set, faults);
  ok &= es_chain_make(job->chain, NULL, 0, &set, job->settings, job->n_settings, conventions[job->convention],
                      job->path, faults, &chain);
  if (job->has_positions) check_length(job, faults);
  if (job->n < FEWEST_POINTS)
    es_note_add(faults, job->profile_path, 0, "only the ends are given: the ground between them is taken as one slope");
  if (worker == NULL) es_fault_memory(faults, job->path);
  if (ok && climate != NULL && worker != NULL) answer = evaluate(job, &chain, climate, worker, faults);
  es_workers_destroy(worker, 1);
  es_climate_close(climate);
  es_models_close(&set);
  return answer;
}
