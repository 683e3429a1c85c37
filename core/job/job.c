/* job.c - the whole job: each section read by its own function, all faults together. */
#include "job/job.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "job/aim.h"
#include "job/digest.h"
#include "job/power.h"
#include "job/receiver.h"
#include "job/scenario.h"
#include "job/shared.h"
#include "job/sheet.h"
#include "job/trees.h"
#include "job/vary.h"

static const double FEET = 0.3048; /* m, exact */
static const double COAST_REACH_M = 50000.0,
                    COAST_HEIGHT_M = 100.0; /* coastal land: ITU-R P.452, radio-climatic zones */
static const double SHEET_PX = 1600.0;
/* Tones about 10 Hz apart are chosen for scatter at 10 GHz: common practice, no measurement. */
static const double USUAL_SCATTER_HZ_PER_GHZ = 1.0;

/* Paths of one key of the ground section, handed over to the plan. */
static const char *const *paths(const es_reader *reader, const char *name, es_node node, size_t *n) {
  return (const char *const *)es_read_paths(reader, name, node, n);
}

static void read_ground(const es_reader *reader, es_node node, es_job *job) {
  es_ground_keys keys;
  es_ground_plan *plan = &job->ground;
  es_read_section(reader, node, &es_ground_section, &keys);
  plan->elevation = paths(reader, "elevation", keys.elevation, &plan->n_elevation);
  plan->canopy = paths(reader, "canopy_height", keys.canopy_height, &plan->n_canopy);
  plan->cover = paths(reader, "cover", keys.cover, &plan->n_cover);
  plan->mask = paths(reader, "mask", keys.mask, &plan->n_mask);
  plan->elevation_scale = keys.units == 1 ? FEET : 1.0;
  plan->canopy_scale = keys.canopy_units == 1 ? FEET : 1.0;
  plan->mask_sea = keys.mask_sea_value;
  plan->crs = keys.crs != NULL ? es_text_copy(reader, keys.crs) : NULL;
  plan->fill_gap_m = keys.fill_gap_m;
  plan->zone_coast_m = COAST_REACH_M;
  plan->zone_coast_height_m = COAST_HEIGHT_M;
  plan->want_zones = true;
  plan->job_file = job->path;
  plan->line = es_tree_line(reader->tree, node);
  job->vertical_datum = es_text_copy(reader, keys.vertical_datum != NULL ? keys.vertical_datum : "not stated");
  job->elevation_year = es_text_copy(reader, keys.year != NULL ? keys.year : "");
  job->surface_note = es_text_copy(reader, keys.note != NULL ? keys.note : "");
  job->surface = (es_surface_kind)keys.surface;
  es_cover_read(reader, node, &keys, job);
  if (node != ES_NO_NODE && keys.vertical_datum == NULL)
    es_note_add(reader->faults, reader->file, plan->line,
                "ground: vertical_datum is not stated: heights count as metres above sea");
}

static void read_beacon_place(const es_reader *reader, es_node node, es_lonlat *out) {
  *out = (es_lonlat){NAN, NAN};
  if (node == ES_NO_NODE) return;
  if (es_read_place(reader, "position", node, out) == ES_PLACE_ROUGH)
    es_note_add(reader->faults, reader->file, es_tree_line(reader->tree, node),
                "beacon: a 6-character locator stands for the position, which may be kilometres off");
}

/* What a choice sets beside the sections it replaces. */
static void aim(const es_choice *choice, es_beacon *out) {
  if (!isnan(choice->azimuth_deg)) out->antenna.azimuth = es_rad(choice->azimuth_deg);
  if (!isnan(choice->tilt_deg)) out->antenna.tilt = es_rad(choice->tilt_deg);
}

static void read_aerial(const es_reader *reader, const es_beacon_keys *keys, const es_choice *choice, es_beacon *out) {
  bool aimed = !isnan(choice->azimuth_deg), other = choice->antenna != ES_NO_NODE;
  es_node own = keys->antenna;
  double height_m;
  if (other && es_read_has(reader, choice->antenna, "height_m"))
    es_read_fault(reader, "height_m", es_read_child(reader, choice->antenna, "height_m"),
                  "want heights in beacon.antenna or vary.height_m, not with an antenna that is compared");
  es_beacon_antenna_read(reader, own, out->freq_ghz, out->polarisation, aimed, &out->antenna, &out->height_m);
  if (other) {
    es_antenna_fini(&out->antenna);
    es_beacon_antenna_read(reader, choice->antenna, out->freq_ghz, out->polarisation, aimed, &out->antenna, &height_m);
  }
  aim(choice, out);
}

/* The beacon's own place, or that of a site. */
static es_node stand(const es_reader *reader, const es_beacon_keys *keys, const es_choice *choice, es_beacon *out) {
  es_site_keys site = {.position = keys->position};
  if (choice->site != ES_NO_NODE) es_read_section(reader, choice->site, &es_site_section, &site);
  out->site = site.name != NULL ? es_text_copy(reader, site.name) : NULL;
  return site.position;
}

static void read_beacon(const es_reader *reader, es_node node, const es_choice *choice, es_beacon *out,
                        es_sheet_plan *sheet) {
  es_beacon_keys keys;
  es_read_section(reader, node, &es_beacon_section, &keys);
  out->name = es_text_copy(reader, keys.name != NULL ? keys.name : "");
  out->call = es_text_copy(reader, keys.call != NULL ? keys.call : "");
  es_node position = stand(reader, &keys, choice, out);
  read_beacon_place(reader, position, &out->at);
  out->line = es_tree_line(reader->tree, position);
  out->freq_ghz = 1e-3 * (isnan(choice->frequency_mhz) ? keys.frequency_mhz : choice->frequency_mhz);
  out->polarisation = choice->polarisation >= 0 ? choice->polarisation : keys.polarisation;
  read_aerial(reader, &keys, choice, out);
  es_power_read(reader, keys.power, choice->feeder, choice->amplifier, out);
  es_sheet_read(reader, keys.sheet, sheet);
  es_keying_read(reader, keys.keying, out, &sheet->keying);
}

static void read_modes(const es_reader *reader, es_node node, es_modes *out) {
  es_modes_builtin(out, reader->faults);
  char *path = node != ES_NO_NODE ? es_read_path(reader, "modes", node, ES_PATH_FILE) : NULL;
  if (path != NULL) es_modes_read(path, out, reader->faults);
  free(path);
}

static void read_listeners(const es_reader *reader, const es_top_keys *top, es_job *job) {
  if (top->listeners == ES_NO_NODE) return;
  job->listeners_path = es_read_path(reader, "listeners", top->listeners, ES_PATH_FILE);
  if (job->listeners_path != NULL)
    es_listeners_read(job->listeners_path, top->listener_layer, &job->listener_defaults, job->beacon.freq_ghz,
                      &job->modes, &job->listeners, reader->faults);
}

static void read_map(const es_reader *reader, es_node node, es_job *job) {
  es_map_keys keys;
  es_map_plan *map = &job->map;
  es_read_section(reader, node, &es_map_section, &keys);
  map->wanted = node != ES_NO_NODE;
  map->radius_km = keys.radius_km;
  map->cell_m = keys.cell_m;
  map->grid = (es_grid_kind)keys.grid;
  map->width_px = isnan(keys.width_px) ? 0 : (int)keys.width_px;
  es_receiver_read(reader, keys.receiver, &job->listener_defaults, job->beacon.freq_ghz, job->beacon.polarisation,
                   &job->modes, &map->receiver);
  if (!map->wanted) return;
  long line = es_tree_line(reader->tree, node);
  if (isnan(keys.cell_m) && map->grid == ES_GRID_BEACON && !es_read_has(reader, node, "cell_m"))
    es_fault_add(reader->faults, reader->file, line, "map: cell_m is missing: want 1 to 10000 m");
  if (!isnan(keys.width_px) && fmod(keys.width_px, SHEET_PX) != 0.0)
    es_fault_add(reader->faults, reader->file, line, "width_px=%g: want 1600 or a whole multiple of it", keys.width_px);
}

/* Values of one thing that varies: the list, else the one value given elsewhere. */
static double *varied(const es_reader *reader, const char *name, es_node list, double single, double min, double max,
                      size_t *n) {
  double *values = NULL;
  *n = 0;
  if (list != ES_NO_NODE)
    values = es_read_numbers(reader, name, list, min, max, false, n);
  else if (!isnan(single)) {
    values = malloc(sizeof *values);
    if (values != NULL)
      values[(*n)++] = single;
    else
      es_fault_memory(reader->faults, reader->file);
  }
  for (size_t i = 0; i < *n; i++)
    for (size_t j = 0; j < i; j++)
      if (values[i] == values[j]) es_read_fault(reader, name, list, "%g is there twice, want it once", values[i]);
  return values;
}

static int32_t *read_seasons(const es_reader *reader, es_node node, size_t *n) {
  static const char choices[] = "no-trees|in-leaf|out-of-leaf"; /* as ES_NO_TREES, ES_IN_LEAF, ES_OUT_OF_LEAF */
  bool list = es_tree_kind(reader->tree, node) == ES_NODE_LIST;
  size_t count = list ? es_tree_count(reader->tree, node) : 1;
  int32_t *seasons = calloc(count + 1, sizeof *seasons);
  *n = seasons != NULL && node == ES_NO_NODE; /* [no-trees] */
  if (seasons == NULL) es_fault_memory(reader->faults, reader->file);
  if (count == 0) es_read_fault(reader, "season", node, "want at least one");
  for (size_t i = 0; seasons != NULL && node != ES_NO_NODE && i < count; i++) {
    es_node item = list ? es_tree_item(reader->tree, node, i) : node;
    int32_t season = es_read_choice(reader, "season", item, choices);
    if (season < 0) continue;
    for (size_t j = 0; j < *n; j++)
      if (seasons[j] == season) es_read_fault(reader, "season", item, "there twice, want it once");
    seasons[(*n)++] = season;
  }
  return seasons;
}

static void read_spread(const es_reader *reader, es_node node, double freq_ghz, es_spread_plan *out) {
  es_spread_keys keys;
  es_read_section(reader, node, &es_spread_section, &keys);
  double scatter_hz = isnan(keys.scatter_hz) ? USUAL_SCATTER_HZ_PER_GHZ * freq_ghz : keys.scatter_hz;
  *out = (es_spread_plan){keys.pattern_db, keys.model_db, keys.foliage_db, keys.ear_db, scatter_hz, keys.drift_hz};
}

/* Everything that hangs on where the beacon stands, what it sends and how. */
static void read_ends(const es_reader *reader, const es_top_keys *top, const es_choice *choice, es_job *job) {
  read_beacon(reader, top->beacon, choice, &job->beacon, &job->sheet);
  job->site = choice->site_index;
  job->beam = choice->beam_index;
  es_receiver usual = es_receiver_usual(job->beacon.freq_ghz);
  es_receiver_read(reader, top->listener_defaults, &usual, job->beacon.freq_ghz, job->beacon.polarisation, &job->modes,
                   &job->listener_defaults);
  read_spread(reader, top->spread, job->beacon.freq_ghz, &job->spread);
}

/* The list again where dishes and horns have another gain; else that of the first variant. */
static void read_variant_listeners(const es_reader *reader, const es_top_keys *top, const es_job *first, es_job *job) {
  bool same = job->beacon.freq_ghz == first->beacon.freq_ghz && job->beacon.polarisation == first->beacon.polarisation;
  job->own_listeners = !same;
  if (same) return;
  job->listeners = (es_listeners){0};
  if (job->listeners_path != NULL)
    es_listeners_read(job->listeners_path, top->listener_layer, &job->listener_defaults, job->beacon.freq_ghz,
                      &job->modes, &job->listeners, reader->faults);
}

static es_job *read_variant(const es_reader *reader, const es_top_keys *top, const es_vary *vary, size_t i,
                            const es_job *first) {
  es_choice choice = es_vary_choice(vary, i);
  es_job *job = malloc(sizeof *job);
  if (job == NULL) return NULL;
  *job = *first;
  job->beacon = (es_beacon){.name = NULL};
  read_ends(reader, top, &choice, job);
  read_variant_listeners(reader, top, first, job);
  read_map(reader, top->map, job);
  es_trees_grow(reader, top->vary, choice.years, job);
  job->variant = es_vary_name(vary, i);
  return job;
}

/* All variants; false: out of memory, told. */
static bool read_variants(const es_reader *reader, const es_top_keys *top, const es_vary *vary, es_job *job) {
  size_t n = (size_t)es_vary_count(vary);
  job->variants = calloc(n, sizeof *job->variants);
  job->variant = es_vary_name(vary, 0);
  bool ok = job->variants != NULL && job->variant != NULL;
  for (size_t i = 0; ok && i < n; i++) {
    job->variants[i] = i == 0 ? job : read_variant(reader, top, vary, i, job);
    ok = job->variants[i] != NULL;
    job->n_variants += ok;
    ok = ok && job->variants[i]->variant != NULL;
  }
  for (size_t i = 1; i < job->n_variants; i++) {
    ((es_job *)job->variants[i])->variants = job->variants;
    ((es_job *)job->variants[i])->n_variants = job->n_variants;
  }
  if (!ok) es_fault_memory(reader->faults, reader->file);
  return ok;
}

/* Radiated power is the same with every antenna and line: comparing those would find nothing. */
static void check_compared(const es_reader *reader, const es_top_keys *top, const es_vary *vary) {
  es_node power = es_read_child(reader, top->beacon, "power");
  bool radiated = es_read_has(reader, power, "eirp_dbm") || es_read_has(reader, power, "erp_dbm");
  bool matters =
      es_vary_has(vary, ES_AXIS_ANTENNA) || es_vary_has(vary, ES_AXIS_FEEDER) || es_vary_has(vary, ES_AXIS_AMPLIFIER);
  if (radiated && matters && vary->power_dbm == ES_NO_NODE)
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, power),
                 "beacon.power: eirp_dbm and erp_dbm hold the radiated power fast: want at_amplifier_dbm to compare "
                 "antennas, feeders or places of the amplifier");
}

/* The names of all variants and the power each has by itself. */
static bool lay_variants(const es_job *job, es_variation *v) {
  char **names = calloc(job->n_variants, sizeof *names);
  double *powers = malloc(job->n_variants * sizeof *powers);
  for (size_t i = 0; names != NULL && powers != NULL && i < job->n_variants; i++) {
    names[i] = job->variants[i]->variant;
    powers[i] = job->variants[i]->beacon.power_dbm;
  }
  v->variant = names;
  v->variant_power_dbm = powers;
  v->n_variants = job->n_variants;
  return names != NULL && powers != NULL;
}

/* More than the limit: told, and nothing is made. */
static bool too_many(const es_reader *reader, const es_top_keys *top, const es_vary *vary, const es_variation *v) {
  double n = (double)v->n_heights * (double)v->n_seasons * (v->n_powers > 0 ? (double)v->n_powers : 1.0);
  n *= es_vary_count(vary);
  if (n <= ES_MOST_SCENARIOS) return false;
  es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, top->vary),
               "vary: every combination is a scenario, and these are %.0f: want at most %d", n, ES_MOST_SCENARIOS);
  return true;
}

/* A height or power that only `vary` gives: the first stands for the beacon's own. */
static void settle_beacon(es_job *variant, const es_variation *v) {
  if (isnan(variant->beacon.height_m)) variant->beacon.height_m = v->height_m[0];
  if (isnan(variant->beacon.power_dbm) && v->n_powers > 0) variant->beacon.power_dbm = v->power_dbm[0];
}

static void make_scenarios(const es_reader *reader, const es_variation *v, es_job *job) {
  for (size_t i = 0; i < job->n_variants; i++) settle_beacon((es_job *)job->variants[i], v);
  job->scenarios = es_scenarios_make(v, &job->n_scenarios);
  if (job->scenarios == NULL) es_fault_memory(reader->faults, reader->file);
  for (size_t i = 1; i < job->n_variants; i++) {
    es_job *variant = (es_job *)job->variants[i];
    variant->scenarios = job->scenarios;
    variant->n_scenarios = job->n_scenarios;
  }
}

static void read_scenarios(const es_reader *reader, const es_top_keys *top, const es_vary *vary, es_job *job) {
  es_variation v = {.name_season = top->season != ES_NO_NODE || vary->season != ES_NO_NODE};
  if (top->season != ES_NO_NODE && vary->season != ES_NO_NODE)
    es_read_fault(reader, "season", vary->season, "given at the top as well, want it once");
  double *heights = varied(reader, "height_m", vary->height_m, job->beacon.height_m, 0.0, 1000.0, &v.n_heights);
  double *powers = varied(reader, "power_dbm", vary->power_dbm, NAN, -60.0, 90.0, &v.n_powers);
  int32_t *seasons = read_seasons(reader, vary->season != ES_NO_NODE ? vary->season : top->season, &v.n_seasons);
  v.height_m = heights;
  v.power_dbm = powers;
  v.season = seasons;
  bool power = v.n_powers > 0 || !isnan(job->beacon.power_dbm);
  check_compared(reader, top, vary);
  if (v.n_heights > 0 && power && v.n_seasons > 0 && !too_many(reader, top, vary, &v) &&
      read_variants(reader, top, vary, job)) {
    if (lay_variants(job, &v))
      make_scenarios(reader, &v, job);
    else
      es_fault_memory(reader->faults, reader->file);
  }
  free((void *)v.variant);
  free((void *)v.variant_power_dbm);
  free(heights);
  free(powers);
  free(seasons);
}

/* Power is there in one form or another, good or bad. */
static bool power_given(const es_reader *reader, es_node power) {
  static const char *const forms[] = {"at_amplifier_dbm", "meter", "eirp_dbm", "erp_dbm"};
  for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
    if (es_read_has(reader, power, forms[i])) return true;
  return false;
}

/* Height and power are wanted either with the beacon or under vary. */
static void check_beacon(const es_reader *reader, const es_top_keys *top, const es_job *job) {
  long line = es_tree_line(reader->tree, top->beacon);
  es_node vary = top->vary, antenna = es_read_child(reader, top->beacon, "antenna");
  es_node power = es_read_child(reader, top->beacon, "power");
  if (top->beacon == ES_NO_NODE) return;
  if (isnan(job->beacon.height_m) && !es_read_has(reader, antenna, "height_m") &&
      !es_read_has(reader, vary, "height_m"))
    es_fault_add(reader->faults, reader->file, line,
                 "beacon.antenna: height_m is missing: want 0 to 1000 m, or vary.height_m");
  if (isnan(job->beacon.power_dbm) && !power_given(reader, power) && !es_read_has(reader, vary, "power_dbm"))
    es_fault_add(reader->faults, reader->file, line,
                 "beacon.power: at_amplifier_dbm is missing: want -60 to 90 dBm, or vary.power_dbm");
}

static void read_all(const es_reader *reader, es_job *job) {
  es_top_keys top;
  es_read_section(reader, es_tree_root(reader->tree), &es_top_section, &top);
  const es_node climate[3] = {top.climate, top.climate_beacon_side, top.climate_listener_side};
  es_vary vary;
  es_vary_read(reader, top.vary, &vary);
  es_choice choice = es_vary_choice(&vary, 0);
  read_modes(reader, top.modes, &job->modes);
  read_ends(reader, &top, &choice, job);
  check_beacon(reader, &top, job);
  read_listeners(reader, &top, job);
  read_ground(reader, top.ground, job);
  es_climate_read(reader, climate, &job->climate);
  job->chain = (es_chain_kind)top.chain;
  job->convention = top.convention;
  job->earth_radius_km = top.effective_earth_radius_km;
  es_radius_check(reader, job->earth_radius_km, job->chain);
  job->models = es_read_texts(reader, "models", top.models, &job->n_models);
  job->settings = es_settings_read(reader, top.settings, &job->n_settings);
  es_obstacle_list_read(reader, top.obstacles, &vary.axis[ES_AXIS_SITE], job);
  es_trees_read(reader, top.trees, job);
  es_trees_grow(reader, top.vary, choice.years, job);
  job->time_percent = es_percent_read(reader, top.time_percent, true, &job->n_time_percent);
  read_map(reader, top.map, job);
  job->want_help = top.help == 0;
  es_report_keys report;
  es_read_section(reader, top.report, &es_report_section, &report);
  job->report_max_mb = report.max_mb;
  es_aim_read(reader, top.aim, job);
  read_scenarios(reader, &top, &vary, job);
  es_compare_read(reader, top.compare, job);
  es_vary_fini(&vary);
  if (top.listeners == ES_NO_NODE && top.map == ES_NO_NODE)
    es_fault_add(reader->faults, reader->file, 1, "nothing to answer: want listeners, or map, or both");
}

es_job *es_job_read(const char *path, es_faults *faults) {
  es_tree *tree = es_tree_open(path, faults);
  if (tree == NULL) return NULL;
  es_reader reader = {tree, path, faults};
  es_job *job = calloc(1, sizeof *job);
  if (job == NULL)
    es_fault_memory(faults, path);
  else {
    job->path = es_text_copy(&reader, path);
    read_all(&reader, job);
    job->digest = es_job_digest(tree, path, faults);
  }
  es_tree_close(tree);
  if (!faults->no_memory) return job;
  es_job_close(job); /* nothing in it can be relied upon */
  return NULL;
}

es_job *es_job_open(const char *path, es_faults *faults) {
  size_t before = faults->n_faults;
  es_job *job = es_job_read(path, faults);
  if (faults->n_faults == before) return job;
  es_job_close(job);
  return NULL;
}

static void free_texts(const char *const *texts, size_t n) {
  for (size_t i = 0; texts != NULL && i < n; i++) free((void *)texts[i]);
  free((void *)texts);
}

static void free_ground(es_job *job) {
  es_ground_plan *plan = &job->ground;
  free_texts(plan->elevation, plan->n_elevation);
  free_texts(plan->canopy, plan->n_canopy);
  free_texts(plan->cover, plan->n_cover);
  free_texts(plan->mask, plan->n_mask);
  free((void *)plan->crs);
  free(job->vertical_datum);
  free(job->elevation_year);
  free(job->surface_note);
  free(job->obstacles_path);
  free(job->cover_table_path);
  es_obstacles_free(&job->obstacles);
}

/* A variant owns what it read for itself. */
static void free_variants(es_job *job) {
  for (size_t i = 1; i < job->n_variants; i++) {
    es_job *variant = (es_job *)job->variants[i];
    es_beacon_fini(&variant->beacon);
    if (variant->own_listeners) es_listeners_free(&variant->listeners);
    free(variant->variant);
    free(variant);
  }
  free((void *)job->variants);
  free(job->variant);
}

const es_job *es_job_in(const es_job *job, size_t scenario) {
  return job->n_variants > 1 ? job->variants[job->scenarios[scenario].variant] : job;
}

void es_job_close(es_job *job) {
  if (job == NULL) return;
  free_variants(job);
  es_beacon_fini(&job->beacon);
  es_modes_free(&job->modes);
  es_listeners_free(&job->listeners);
  free_ground(job);
  free(job->climate.maps);
  free_texts((const char *const *)job->models, job->n_models);
  es_settings_free(job->settings, job->n_settings);
  es_scenarios_free(job->scenarios, job->n_scenarios);
  free(job->time_percent);
  free(job->aim.first);
  free(job->pairs);
  free(job->listeners_path);
  free(job->path);
  free(job);
}
