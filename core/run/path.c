#include "run/path.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "model/services.h"
#include "run/canopy.h"
#include "run/path_memory.h"
#include "station/beacon_chain.h"

/* --- percentages ----------------------------------------------------------------------------------------------------------- */

static void insert(es_percentages *p, double value) {
  size_t i = 0;
  while (i < p->n && p->value[i] < value) i++;
  if ((i < p->n && p->value[i] == value) || p->n == sizeof p->value / sizeof *p->value) return;
  memmove(&p->value[i + 1], &p->value[i], (p->n - i) * sizeof *p->value);
  p->value[i] = value;
  p->n++;
}

static size_t nearest(const es_percentages *p, double value) {
  size_t best = 0;
  for (size_t i = 1; i < p->n; i++)
    if (fabs(p->value[i] - value) < fabs(p->value[best] - value)) best = i;
  return best;
}

es_percentages es_percentages_of(const es_job *job, bool timed, double highest) {
  es_percentages p = {.n = 0};
  if (!timed) insert(&p, 50.0);
  for (size_t i = 0; timed && i < ES_YEAR_STEPS; i++)
    if (es_year_percent[i] <= highest) insert(&p, es_year_percent[i]);
  for (size_t i = 0; timed && i < job->n_time_percent; i++)
    if (job->time_percent[i] <= highest) insert(&p, job->time_percent[i]);
  p.median = nearest(&p, 50.0);
  p.best = nearest(&p, 1.0);
  return p;
}

/* --- the ground of one path --------------------------------------------------------------------------------------------------- */

typedef struct raw {
  double *dist_m;
  es_ground_samples s;
  size_t n;
} raw;

static bool raw_create(es_arena *arena, size_t n, bool canopy, bool cover, raw *r) {
  r->n = n;
  r->dist_m = ES_NEW(arena, double, n);
  r->s.ground_m = ES_NEW(arena, double, n);
  r->s.canopy_m = canopy ? ES_NEW(arena, double, n) : NULL;
  r->s.cover = cover ? ES_NEW(arena, uint8_t, n) : NULL;
  r->s.zone = ES_NEW(arena, uint8_t, n);
  r->s.known = ES_NEW(arena, uint8_t, n);
  return r->dist_m != NULL && r->s.ground_m != NULL && r->s.zone != NULL && r->s.known != NULL &&
         (!canopy || r->s.canopy_m != NULL) && (!cover || r->s.cover != NULL);
}

enum { FEWEST_STEPS = 10 }; /* short paths are sampled to 11 points, never refused (P.2001 asks for more than one) */

/* Samples beacon to listener with equal steps no longer than the elevation's own. */
static int32_t sample_path(const es_setup *setup, const es_course *course, es_arena *arena, es_samples *out) {
  size_t steps = (size_t)ceil(course->dist_m / setup->facts.step_m);
  if (steps < FEWEST_STEPS) steps = FEWEST_STEPS;
  raw r = {0};
  if (!raw_create(arena, steps + 1, setup->facts.has_canopy, setup->facts.has_cover, &r)) return ES_E_MEMORY;
  double step = course->dist_m / (double)steps;
  for (size_t i = 0; i <= steps; i++) r.dist_m[i] = step * (double)i;
  es_ground_sample(setup->ground, setup->job->beacon.at, course->azimuth_deg, r.dist_m, r.n, &r.s);
  *out = (es_samples){.n = r.n,
                      .step_m = step,
                      .dist_m = r.dist_m,
                      .ground_m = r.s.ground_m,
                      .canopy_m = r.s.canopy_m,
                      .cover = r.s.cover,
                      .zone = r.s.zone,
                      .known = r.s.known};
  return 0;
}

/* The samples with what stands on them. */
static int32_t raise_line(const es_setup *setup, const es_canopy_view *view, const es_listener *listener,
                          const es_course *course, const es_samples *sampled, es_arena *arena, es_line *line,
                          size_t *wanted) {
  es_samples samples = *sampled;
  if (es_canopy_stand(setup, view, listener, course, arena, &samples) != 0) return ES_E_MEMORY;
  *wanted = samples.n;
  return es_line_make(arena, &samples, setup->job->ground.fill_gap_m, line);
}

static void flag_ground(const es_line *line, es_path_answer *out) {
  for (size_t i = 0; i < line->n; i++) {
    out->bridged |= line->known[i] == 2;
    out->by_mask |= line->known[i] == 3;
  }
}

/* --- results ---------------------------------------------------------------------------------------------------------------------- */

static bool answer_create(es_arena *results, size_t n, es_path_answer *out) {
  out->n = n;
  double **rows[] = {&out->basic_db, &out->system_db, &out->level_dbm, &out->snr_db};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    if ((*rows[i] = ES_NEW(results, double, n)) == NULL) return false;
    for (size_t k = 0; k < n; k++) (*rows[i])[k] = NAN;
  }
  out->winner = es_arena_zeroed(results, n);
  out->answer_status = es_arena_zeroed(results, n);
  return out->winner != NULL && out->answer_status != NULL;
}

static bool copy_ways(es_arena *results, const es_chain_answer *chain, const es_percentages *percents,
                      es_path_answer *out) {
  size_t n = percents->n;
  for (int i = 0; i < ES_WAYS; i++) {
    if (!chain->way[i].present) continue;
    if ((out->way_db[i] = ES_NEW(results, double, n)) == NULL) return false;
    memcpy(out->way_db[i], chain->way[i].loss_db, n * sizeof(double));
  }
  out->n_terms = chain->n_terms;
  for (size_t i = 0; i < chain->n_terms; i++) {
    out->term_id[i] = chain->term[i].id;
    if ((out->term_db[i] = ES_NEW(results, double, n)) == NULL) return false;
    memcpy(out->term_db[i], chain->term[i].value, n * sizeof(double));
  }
  return true;
}

/* Canopy over the straight way to each horizon (in line of sight: to the other end), where it stands out most, in first
 * Fresnel zones of that place. Rays over the effective earth of P.526. */
static void find_trees(const es_radial *radial, es_path_answer *out) {
  const es_line *line = &radial->line;
  const es_receivers *rx = &radial->rx;
  double dist = rx->dist_m[0], bend = 1.0 / (2e3 * radial->earth_radius_km);
  double rise_tx = tan(rx->el_tx[0]), rise_rx = tan(rx->el_rx[0]);
  double zone_2 = ES_LIGHT_M_S / (1e9 * out->freq_ghz) / dist;
  double most = -0.6; /* of the zone's radius: farther below, trees cost nothing */
  out->trees_m = out->trees_above_m = NAN;
  for (size_t i = 1; line->top_m != NULL && i + 1 < line->n; i++) {
    double d = line->dist_m[i], rest = dist - d, top = line->top_m[i];
    if (top - line->ground_m[i] < 1.0 || rest <= 0.0) continue;
    double ray = d < rest ? radial->beacon.antenna_m + d * (rise_tx + d * bend)
                          : rx->at[0].antenna_m + rest * (rise_rx + rest * bend);
    double over = top - ray;
    if (most >= 0.0 && over <= 0.0) continue;
    double zones = over / sqrt(zone_2 * d * rest);
    if (!(zones > most)) continue;
    most = zones;
    out->trees_m = d;
    out->trees_above_m = over;
  }
}

/* How far both ends see over an earth as smooth as the path's mean ground. */
static double smooth_horizon_m(const es_radial *radial) {
  const es_receivers *rx = &radial->rx;
  double tx = fmax(0.0, radial->beacon.antenna_m - rx->smooth_tx_m[0]);
  double listener = fmax(0.0, rx->at[0].antenna_m - rx->smooth_rx_m[0]);
  double twice = 2e3 * fmax(0.0, radial->earth_radius_km);
  return sqrt(twice * tx) + sqrt(twice * listener);
}

static void copy_geometry(const es_radial *radial, es_path_answer *out) {
  const es_receivers *rx = &radial->rx;
  out->los = rx->los[0] != 0;
  out->el_tx = rx->el_tx[0];
  out->el_rx = rx->el_rx[0];
  out->clearance_m = radial->clearance_m[0];
  out->clearance_f1 = radial->clearance_f1[0];
  out->worst_m = radial->worst_m[0];
  out->horizon_tx_m = rx->d_tx_m[0];
  out->horizon_rx_m = rx->d_rx_m[0];
  out->smooth_horizon_m = smooth_horizon_m(radial);
  find_trees(radial, out);
  out->sea_share = rx->sea_share[0];
  out->beacon_ground_m = radial->beacon.ground_m;
  out->ground_m = rx->at[0].ground_m;
}

static int way_of(uint8_t winner) { return winner == ES_SCATTER ? 2 : winner == ES_DUCT ? 1 : 0; }

/* Levels are at the receiving antenna's port, before its feeder: the feeder counts in the system temperature. */
static void budget(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                   const es_percentages *percents, const es_scene *scene, const es_chain_answer *chain,
                   es_path_answer *out) {
  const es_way_answer *way = &chain->way[way_of(chain->winner[percents->median])];
  double el_tx = way->present ? way->el_tx[0] : out->el_tx, el_rx = way->present ? way->el_rx[0] : out->el_rx;
  out->way_el_rx = el_rx;
  out->end_db = way->present && way->end_db != NULL ? way->end_db[percents->median] : 0.0;
  double gain_tx = es_scene_gain_dbi(scene, ES_BEACON, 0, el_tx);
  double feeder_db = es_beacon_feeder_db(&setup->job->beacon, scenario->height_m);
  out->gain_tx_dbi = gain_tx;
  out->eirp_dbm = scenario->power_dbm - feeder_db + gain_tx;
  out->gain_rx_dbi = es_scene_gain_dbi(scene, ES_LISTENER, 0, el_rx);
  double horizon = out->los ? fmin(0.0, out->el_rx) : out->el_rx; /* what hides the beacon fills the beam from below */
  out->noise = es_receiver_noise_over(&listener->rx, scene->freq_ghz, es_scene_beam_el(scene, ES_LISTENER, 0), horizon);
  out->polarisation_db = es_receiver_polarisation_db(&listener->rx, setup->job->beacon.polarisation);
  for (size_t k = 0; k < percents->n; k++) {
    out->basic_db[k] = chain->basic_db[k];
    out->system_db[k] = chain->system_db[k];
    out->level_dbm[k] = es_level_dbm(scenario->power_dbm, feeder_db + out->polarisation_db, chain->system_db[k]);
    out->snr_db[k] = out->level_dbm[k] - out->noise.noise_2500_dbm;
    out->winner[k] = chain->winner[k];
    out->answer_status[k] = chain->status[k];
  }
}

static es_scene scene_for(const es_setup *setup, const es_scenario *scenario, const es_antenna *listener,
                          const es_percentages *percents, es_worker *worker, const es_radial *radial) {
  const es_beacon *b = &setup->job->beacon;
  return (es_scene){.radial = radial,
                    .climate = setup->climate,
                    .beacon_antenna = &b->antenna,
                    .listener_antenna = listener,
                    .freq_ghz = b->freq_ghz,
                    .polarisation = b->polarisation,
                    .season = scenario->season,
                    .percent = percents->value,
                    .n_percent = percents->n,
                    .keep = worker->keep,
                    .scratch = worker->scratch};
}

static es_radial_setup radial_setup_for(const es_setup *setup, const es_scenario *scenario, const es_course *course,
                                        es_outlines *outlines) {
  double azimuth = es_rad(course->azimuth_deg);
  es_lonlat centre = es_sphere_ahead(setup->job->beacon.at, azimuth, 0.5 * course->dist_m);
  double radius = es_median_radius_km(setup->job->chain, setup->job->earth_radius_km, setup->climate, centre);
  return (es_radial_setup){setup->job->beacon.at, azimuth, scenario->height_m, setup->job->beacon.freq_ghz, radius,
                           setup->wavelength_m,   outlines};
}

/* --- trees -------------------------------------------------------------------------------------------------------------------------- */

/* Takes what the foliage model says at the median, and hands everything on. */
typedef struct listening {
  es_trees_answer *trees;
  size_t median;
  es_note_fn next;
  void *next_to;
} listening;

static void listen(void *to, size_t k, size_t r, const char *symbol, double value) {
  listening *l = to;
  if (k == l->median) es_trees_note(l->trees, symbol, value);
  if (l->next != NULL) l->next(l->next_to, k, r, symbol, value);
}

static void judge_trees(const es_setup *setup, const es_percentages *percents, const es_radial *radial,
                        const es_chain_answer *chain, es_path_answer *out) {
  es_trees_answer *t = &out->trees;
  size_t m = percents->median;
  for (int i = 0; i < ES_WAYS; i++)
    if (chain->way[i].present && chain->way[i].end_db != NULL) t->end_db[i] = chain->way[i].end_db[m];
  if (!t->stands) return;
  if (chain->free_ends_basic_db != NULL) {
    t->no_trees_loss_db = chain->free_ends_basic_db[m];
    t->no_trees_snr_db = out->snr_db[m] + chain->system_db[m] - chain->free_ends_system_db[m];
  }
  for (int end = ES_BEACON; end <= ES_LISTENER; end++) {
    es_blocking_find(radial, 0, end, setup->wavelength_m, &t->block[end]);
    t->under_m[end] = es_under_canopy_m(radial, 0, end);
  }
  es_trees_close(t, way_of(chain->winner[m]), setup->job->trees.wind_m_s);
}

/* The same path with its trees cut: what is left of the loss. */
static int32_t trim_trees(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                          const es_samples *samples, const es_scene *scene, const es_chain_answer *chain,
                          const es_percentages *percents, es_path_answer *out, es_error *err) {
  es_canopy_view view = {scenario->season, setup->job->trees.trim_to_m};
  es_scene trimmed = *scene;
  es_radial radial;
  es_line line;
  size_t wanted;
  if (raise_line(setup, &view, listener, &out->course, samples, scene->keep, &line, &wanted) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  es_radial_setup place = radial_setup_for(setup, scenario, &out->course, NULL);
  es_spot spot = {out->course.dist_m, line.ground_m[wanted - 1], listener->rx.height_m, line.zone[wanted - 1], 0.0};
  if (es_radial_place(scene->keep, &place, &line, &spot, 1, &radial) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  trimmed.radial = &radial;
  trimmed.note = NULL;
  es_chain_answer answer;
  int32_t status = es_chain_evaluate(&setup->chain, &trimmed, &answer, err);
  if (status != 0) return status;
  size_t m = percents->median;
  out->trees.trimmed_loss_db = answer.basic_db[m];
  out->trees.trimmed_snr_db = out->snr_db[m] + chain->system_db[m] - answer.system_db[m];
  return 0;
}

/* --- memory ------------------------------------------------------------------------------------------------------------------------- */

static bool same_place(es_lonlat a, es_lonlat b) { return a.lon_deg == b.lon_deg && a.lat_deg == b.lat_deg; }

/* Lets go of everything above a level, in the worker's arena too. */
static void forget(es_path_memory *m, int level, es_worker *worker) {
  if (m->holds > level) m->holds = level;
  if (level < ES_MEMORY_LINE) es_outlines_forget(worker->outlines);
  es_arena_back_to(worker->keep, m->holds > ES_MEMORY_NOTHING ? m->after[m->holds] : (es_arena_mark){0});
  es_arena_back_to(worker->scratch, (es_arena_mark){0});
}

static void remember(es_path_memory *m, int level, const es_worker *worker) {
  m->holds = level;
  m->after[level] = es_arena_now(worker->keep);
}

/* One of the list, which nobody changes; a copy may hold something else by the next time. */
static bool is_listed(const es_job *job, const es_listener *listener) {
  return job->listeners.n > 0 && listener >= job->listeners.items && listener < job->listeners.items + job->listeners.n;
}

static int32_t recall_line(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                           const es_course *course, es_path_memory *m, es_worker *worker) {
  const es_job *job = setup->job;
  es_canopy_view view = {scenario->season, NAN};
  if (m->site != job->site || !same_place(m->at, listener->at)) forget(m, ES_MEMORY_NOTHING, worker);
  if (m->holds < ES_MEMORY_SAMPLES) {
    if (sample_path(setup, course, worker->keep, &m->samples) != 0) return ES_E_MEMORY;
    m->site = job->site;
    m->at = listener->at;
    remember(m, ES_MEMORY_SAMPLES, worker);
  }
  if (m->holds >= ES_MEMORY_LINE &&
      (m->season != scenario->season || m->growth_m != job->trees.growth_m || strcmp(m->name, listener->name) != 0))
    forget(m, ES_MEMORY_SAMPLES, worker);
  if (m->holds >= ES_MEMORY_LINE) return 0;
  if (raise_line(setup, &view, listener, course, &m->samples, worker->keep, &m->line, &m->wanted) != 0)
    return ES_E_MEMORY;
  m->season = scenario->season;
  m->growth_m = job->trees.growth_m;
  m->name = listener->name;
  remember(m, ES_MEMORY_LINE, worker);
  return 0;
}

/* The radial and what the chain says of it. */
static int32_t find_losses(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                           const es_percentages *percents, const es_course *course, es_worker *worker,
                           es_path_memory *m, es_note_fn note, void *note_to, es_error *err) {
  size_t last = m->wanted - 1;
  es_spot spot = {course->dist_m, m->line.ground_m[last], listener->rx.height_m, m->line.zone[last], 0.0};
  es_radial_setup radial_setup = radial_setup_for(setup, scenario, course, worker->outlines);
  m->radial = ES_NEW(worker->keep, es_radial, 1);
  if (m->radial == NULL || es_radial_place(worker->keep, &radial_setup, &m->line, &spot, 1, m->radial) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  m->scene = scene_for(setup, scenario, &listener->rx.antenna, percents, worker, m->radial);
  m->trees = es_trees_nothing();
  m->trees.stands = m->line.top_m != NULL;
  listening ear = {&m->trees, percents->median, note, note_to};
  m->scene.note = m->trees.stands ? listen : note;
  m->scene.note_to = m->trees.stands ? &ear : note_to;
  int32_t status = es_chain_evaluate(&setup->chain, &m->scene, &m->chain, err);
  m->scene.note = NULL;
  m->scene.note_to = NULL;
  return status;
}

/* Losses that still hold, unless somebody listens to how they come about. */
static int32_t recall_losses(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                             const es_percentages *percents, const es_course *course, es_worker *worker,
                             es_path_memory *m, es_note_fn note, void *note_to, es_error *err) {
  bool same = m->beam == setup->job->beam && m->height_m == scenario->height_m && m->listener == listener;
  forget(m, same && note == NULL ? ES_MEMORY_LOSSES : ES_MEMORY_LINE, worker);
  if (m->holds >= ES_MEMORY_LOSSES) return 0;
  int32_t status = find_losses(setup, scenario, listener, percents, course, worker, m, note, note_to, err);
  if (status != 0) return status;
  m->beam = setup->job->beam;
  m->height_m = scenario->height_m;
  m->listener = is_listed(setup->job, listener) ? listener : NULL;
  remember(m, ES_MEMORY_LOSSES, worker);
  return 0;
}

/* --- one listener --------------------------------------------------------------------------------------------------------------------- */

static es_path_answer answer_of(const es_setup *setup, const es_listener *listener) {
  const es_mode *mode = es_mode_find(&setup->job->modes, listener->rx.mode);
  return (es_path_answer){.course = es_geodesic_between(setup->job->beacon.at, listener->at),
                          .status = ES_MISSING,
                          .heard_percent = NAN,
                          .doubt = {.heard_low_percent = NAN, .heard_high_percent = NAN, .confidence_percent = NAN},
                          .needed_db = mode != NULL ? mode->snr_2500_db : NAN,
                          .clearance_m = NAN,
                          .clearance_f1 = NAN,
                          .worst_m = NAN,
                          .eirp_dbm = NAN,
                          .trees = es_trees_nothing(),
                          .trees_m = NAN,
                          .verdict = {.opening_percent = NAN},
                          .freq_ghz = setup->job->beacon.freq_ghz};
}

int32_t es_path_evaluate(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                         const es_percentages *percents, es_worker *worker, es_arena *results, es_note_fn note,
                         void *note_to, es_path_answer *out, es_radial *radial_out, es_error *err) {
  es_path_memory once = {0}, *m = worker->memory != NULL ? worker->memory : &once;
  *out = answer_of(setup, listener);
  forget(m, m->holds, worker);
  if (!answer_create(results, percents->n, out)) return es_fail(err, ES_E_MEMORY, "out of memory");
  if (!(out->course.dist_m > 0.0)) return 0; /* the same place: no path to speak of */
  if (recall_line(setup, scenario, listener, &out->course, m, worker) != 0)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  flag_ground(&m->line, out);
  out->reach_m = m->line.n > 0 ? m->line.dist_m[m->line.n - 1] : 0.0;
  if (m->line.n < m->wanted) return 0;
  out->status = ES_OK;
  int32_t status = recall_losses(setup, scenario, listener, percents, &out->course, worker, m, note, note_to, err);
  if (status != 0) return status;
  out->trees = m->trees;
  copy_geometry(m->radial, out);
  budget(setup, scenario, listener, percents, &m->scene, &m->chain, out);
  judge_trees(setup, percents, m->radial, &m->chain, out);
  if (out->trees.stands && !isnan(setup->job->trees.trim_to_m))
    status = trim_trees(setup, scenario, listener, &m->samples, &m->scene, &m->chain, percents, out, err);
  if (status != 0) return status;
  if (radial_out != NULL) *radial_out = *m->radial;
  if (!copy_ways(results, &m->chain, percents, out)) return es_fail(err, ES_E_MEMORY, "out of memory");
  return es_answer_doubt(setup, listener, percents, results, out, err);
}
