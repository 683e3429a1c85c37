#include "run/record.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/checksum.h"
#include "base/units.h"
#include "job/scenario.h"
#include "output/files.h"
#include "run/answer_record.h"
#include "run/table.h"

static json_t *numbers(const double *values, size_t n) {
  json_t *list = json_array();
  for (size_t i = 0; values != NULL && i < n; i++) json_array_append_new(list, es_json_number(values[i]));
  return list;
}

static json_t *hex(uint64_t value) {
  char text[17];
  snprintf(text, sizeof text, "%016llx", (unsigned long long)value);
  return json_string(text);
}

/* --- inputs ------------------------------------------------------------------------------------------------------------------ */

static const char *base_name(const char *path) {
  const char *slash = strrchr(path, '/');
  return slash != NULL ? slash + 1 : path;
}

static json_t *file_record(const char *path, es_error *err) {
  uint64_t sum, bytes;
  if (es_checksum_file(path, &sum, &bytes, err) != 0) return NULL;
  return json_pack("{s:o,s:I,s:o}", "file", es_json_word(base_name(path)), "bytes", (json_int_t)bytes, "xxh3",
                   hex(sum));
}

static json_t *beacon_record(const es_beacon *b) {
  return json_pack("{s:o,s:o,s:[o,o],s:o,s:s,s:o,s:o}", "name", es_json_word(b->name), "call", es_json_word(b->call),
                   "position", es_json_number(b->at.lon_deg), es_json_number(b->at.lat_deg), "frequency_mhz",
                   es_json_number(b->freq_ghz * 1e3), "polarisation",
                   b->polarisation == ES_VERTICAL ? "vertical" : "horizontal", "antenna_peak_dbi",
                   es_json_number(b->antenna.peak_dbi), "feeder_loss_db", es_json_number(b->feeder_db));
}

/* What of the beacon may be another in each scenario. */
static void add_variant(const es_job *in, json_t *scenario) {
  const es_beacon *b = &in->beacon;
  if (b->site != NULL) json_object_set_new(scenario, "site", es_json_word(b->site));
  json_object_set_new(scenario, "beacon", beacon_record(b));
  json_object_set_new(scenario, "azimuth_deg", es_json_number(es_deg(b->antenna.azimuth)));
  json_object_set_new(scenario, "tilt_deg", es_json_number(es_deg(b->antenna.tilt)));
  json_object_set_new(scenario, "amplifier", json_string(b->feeder.at_antenna ? "antenna" : "foot"));
  json_object_set_new(scenario, "growth_m", es_json_number(in->trees.growth_m));
}

static json_t *scenario_records(const es_job *job) {
  json_t *list = json_array();
  for (size_t i = 0; i < job->n_scenarios; i++) {
    const es_scenario *s = &job->scenarios[i];
    json_t *scenario =
        json_pack("{s:o,s:o,s:o,s:s}", "name", es_json_word(s->name), "height_m", es_json_number(s->height_m),
                  "power_dbm", es_json_number(s->power_dbm), "season", es_season_name(s->season));
    if (scenario != NULL && job->n_variants > 1) add_variant(es_job_in(job, i), scenario);
    json_array_append_new(list, scenario);
  }
  return list;
}

static json_t *data_records(const es_setup *setup) {
  size_t n;
  const es_data_set *sets = es_ground_data_sets(setup->ground, &n);
  json_t *list = json_array();
  for (size_t i = 0; i < n; i++) {
    const es_data_set *d = &sets[i];
    json_array_append_new(list, json_pack("{s:o,s:o,s:o,s:o,s:o,s:i,s:i,s:o,s:I,s:o}", "what", es_json_word(d->what),
                                          "file", es_json_word(base_name(d->path)), "format", es_json_word(d->driver),
                                          "crs", es_json_word(d->crs), "date", es_json_word(d->date), "columns",
                                          d->cols, "rows", d->rows, "step_m", es_json_number(d->step_m), "bytes",
                                          (json_int_t)d->bytes, "xxh3", hex(d->checksum)));
  }
  return list;
}

static json_t *ground_record(const es_setup *setup) {
  const es_job *job = setup->job;
  const es_ground_facts *f = &setup->facts;
  return json_pack("{s:o,s:o,s:o,s:o,s:I,s:I,s:o}", "vertical_datum", es_json_word(job->vertical_datum), "step_m",
                   es_json_number(f->step_m), "fill_gap_m", es_json_number(job->ground.fill_gap_m), "zones_from",
                   es_json_word(f->zone_basis), "sea_by_mask", (json_int_t)f->sea_by_mask, "missing",
                   (json_int_t)f->missing, "data_sets", data_records(setup));
}

static json_t *model_records(const es_chain *chain) {
  json_t *list = json_array();
  for (size_t i = 0; i < chain->n; i++) {
    const es_loaded_model *m = chain->models[i];
    json_t *settings = json_object();
    for (size_t j = 0; j < m->is.n_settings; j++) {
      char text[64];
      es_setting_text(&m->is.settings[j], m->values[j], text, sizeof text);
      json_object_set_new(settings, m->is.settings[j].key, json_string(text));
    }
    json_array_append_new(list,
                          json_pack("{s:o,s:s,s:o,s:o}", "id", es_json_word(m->is.id), "role", es_role_name(m->is.role),
                                    "source", es_json_word(m->is.source), "settings", settings));
  }
  return list;
}

static json_t *climate_record(const es_setup *setup) {
  json_t *record = json_object();
  for (int key = 0; key < ES_CLIMATE_KEYS; key++) {
    es_climate_source source;
    double value = es_climate_value(setup->climate, (es_climate_key)key, 0, setup->job->beacon.at, &source);
    json_object_set_new(record, es_climate_key_name((es_climate_key)key),
                        json_pack("{s:o,s:s,s:s}", "value", es_json_number(value), "unit",
                                  es_climate_key_unit((es_climate_key)key), "source", es_climate_source_name(source)));
  }
  return record;
}

/* Files that a job may name besides: a change in them is a change of the run. */
static bool add_file(json_t *record, const char *key, const char *path, es_error *err) {
  if (path == NULL) return true;
  json_t *file = file_record(path, err);
  return file != NULL && json_object_set_new(record, key, file) == 0;
}

json_t *es_record_inputs(const es_setup *setup, const es_percentages *percents, es_error *err) {
  const es_job *job = setup->job;
  json_t *job_file = file_record(job->path, err);
  json_t *list = job->listeners_path != NULL ? file_record(job->listeners_path, err) : json_null();
  if (job_file == NULL || list == NULL) {
    json_decref(job_file);
    json_decref(list);
    return NULL;
  }
  json_t *record = json_pack("{s:s,s:o,s:o,s:o,s:o,s:s,s:o,s:o,s:o,s:o}", "program", "earshot " ES_VERSION, "job",
                             job_file, "listeners", list, "beacon", beacon_record(&job->beacon), "scenarios",
                             scenario_records(job), "chain", es_chain_name(job->chain), "time_percent",
                             numbers(percents->value, percents->n), "models", model_records(&setup->chain),
                             "climate_at_beacon", climate_record(setup), "ground", ground_record(setup));
  if (add_file(record, "obstacles", job->obstacles_path, err) &&
      add_file(record, "cover_table", job->cover_table_path, err))
    return record;
  json_decref(record);
  return NULL;
}

void es_record_id(const json_t *inputs, char out[9]) {
  char *text = json_dumps(inputs, JSON_COMPACT | JSON_REAL_PRECISION(12));
  uint64_t sum = text != NULL ? es_checksum(text, strlen(text)) : 0;
  free(text);
  snprintf(out, 9, "%08llX", (unsigned long long)(sum & 0xFFFFFFFFu));
}

/* --- one path ---------------------------------------------------------------------------------------------------------------------- */

static json_t *geometry_record(const es_path_answer *a) {
  return json_pack("{s:o,s:o,s:o,s:b,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "distance_km",
                   es_json_number(a->course.dist_m / 1e3), "bearing_deg", es_json_number(a->course.azimuth_deg),
                   "back_bearing_deg", es_json_number(a->course.back_azimuth_deg), "line_of_sight", a->los,
                   "elevation_deg", es_json_number(es_deg(a->el_tx)), "back_elevation_deg",
                   es_json_number(es_deg(a->el_rx)), "horizon_km", es_json_number(a->horizon_tx_m / 1e3),
                   "back_horizon_km", es_json_number(a->horizon_rx_m / 1e3), "clearance_m",
                   es_json_number(a->clearance_m), "clearance_f1", es_json_number(a->clearance_f1), "worst_point_km",
                   es_json_number(a->worst_m / 1e3), "beacon_ground_m", es_json_number(a->beacon_ground_m),
                   "listener_ground_m", es_json_number(a->ground_m));
}

static json_t *budget_record(const es_path_answer *a) {
  return json_pack("{s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "eirp_dbm", es_json_number(a->eirp_dbm), "erp_dbm",
                   es_json_number(a->eirp_dbm - ES_ERP_TO_EIRP_DB), "polarisation_loss_db",
                   es_json_number(a->polarisation_db), "far_field_m", es_json_number(a->doubt.far_m),
                   "listener_gain_dbi", es_json_number(a->gain_rx_dbi), "antenna_k", es_json_number(a->noise.antenna_k),
                   "system_k", es_json_number(a->noise.system_k), "noise_2500hz_dbm",
                   es_json_number(a->noise.noise_2500_dbm));
}

static json_t *winners(const es_path_answer *a) {
  json_t *list = json_array();
  for (size_t k = 0; k < a->n; k++) json_array_append_new(list, es_json_word(es_way_name(a->winner[k])));
  return list;
}

static json_t *series_record(const es_percentages *p, const es_path_answer *a) {
  json_t *ways = json_object(), *terms = json_object();
  for (int i = 0; i < ES_WAYS; i++)
    if (a->way_db[i] != NULL) json_object_set_new(ways, es_way_name((uint8_t)(1 << i)), numbers(a->way_db[i], a->n));
  for (size_t i = 0; i < a->n_terms; i++) json_object_set_new(terms, a->term_id[i], numbers(a->term_db[i], a->n));
  return json_pack("{s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "time_percent", numbers(p->value, p->n), "basic_loss_db",
                   numbers(a->basic_db, a->n), "received_dbm", numbers(a->level_dbm, a->n), "snr_2500hz_db",
                   numbers(a->snr_db, a->n), "way", winners(a), "loss_by_way_db", ways, "surface_terms_db", terms);
}

static json_t *path_climate(const es_setup *setup, const es_path_answer *a) {
  json_t *record = json_object();
  es_lonlat centre = es_geodesic_ahead(setup->job->beacon.at, a->course.azimuth_deg, 0.5 * a->course.dist_m);
  for (int key = 0; key < ES_CLIMATE_KEYS; key++) {
    es_climate_source source;
    double value = es_climate_value(setup->climate, (es_climate_key)key, 0, centre, &source);
    json_object_set_new(
        record, es_climate_key_name((es_climate_key)key),
        json_pack("{s:o,s:s}", "value", es_json_number(value), "source", es_climate_source_name(source)));
  }
  return record;
}

json_t *es_record_path(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                       const es_percentages *percents, const es_path_answer *a) {
  es_arena *arena = es_arena_create();
  const char *flags = arena != NULL ? es_flags_text(arena, listener, a) : "";
  if (arena == NULL || es_arena_starved(arena)) {
    es_arena_destroy(arena);
    return NULL;
  }
  json_t *record = json_pack("{s:o,s:o,s:[o,o],s:o}", "listener", es_json_word(listener->name), "scenario",
                             es_json_word(scenario->name), "position", es_json_number(listener->at.lon_deg),
                             es_json_number(listener->at.lat_deg), "flags", es_json_word(flags));
  es_arena_destroy(arena);
  if (a->status != ES_OK) {
    json_object_set_new(record, "ground_known_to_km", es_json_number(a->reach_m / 1e3));
    return record;
  }
  json_object_set_new(record, "geometry", geometry_record(a));
  json_object_set_new(record, "budget", budget_record(a));
  json_object_set_new(record, "mode", es_json_word(listener->rx.mode));
  json_object_set_new(record, "needed_snr_db", es_json_number(a->needed_db));
  json_object_set_new(record, "heard_percent", es_json_number(a->heard_percent));
  json_object_set_new(record, "spread", es_record_spread(a));
  json_object_set_new(record, "verdict", es_record_verdict(a));
  if (a->trees.stands) json_object_set_new(record, "trees", es_trees_record(&a->trees, &setup->job->trees));
  json_object_set_new(record, "by_time", series_record(percents, a));
  json_object_set_new(record, "climate_at_centre", path_climate(setup, a));
  return record;
}

/* --- counts -------------------------------------------------------------------------------------------------------------------------- */

json_t *es_record_counts(const es_setup *setup, const es_listener_answers *answers, const es_map_layers *layers) {
  json_int_t missing = 0, outside = 0, failed = 0;
  for (size_t i = 0; i < answers->n_scenarios * answers->n_listeners; i++) {
    const es_path_answer *a = &answers->items[i];
    missing += a->status == ES_MISSING;
    bool is_outside = false, is_failed = false;
    for (size_t k = 0; k < a->n; k++) {
      is_outside |= a->answer_status[k] == ES_OUTSIDE;
      is_failed |= a->answer_status[k] == ES_FAILED;
    }
    outside += is_outside;
    failed += is_failed;
  }
  json_t *record =
      json_pack("{s:{s:I,s:I,s:I,s:I}}", "paths", "all", (json_int_t)(answers->n_scenarios * answers->n_listeners),
                "missing", missing, "outside_range", outside, "failed", failed);
  json_t *maps = json_array();
  for (size_t i = 0; layers != NULL && i < setup->job->n_scenarios; i++)
    json_array_append_new(maps, json_pack("{s:s,s:I,s:I,s:I,s:I}", "scenario", setup->job->scenarios[i].name, "cells",
                                          (json_int_t)layers[i].n_cells, "missing", (json_int_t)layers[i].missing,
                                          "outside_range", (json_int_t)layers[i].outside, "failed",
                                          (json_int_t)layers[i].failed));
  json_object_set_new(record, "maps", maps);
  return record;
}
