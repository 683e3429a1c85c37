#include "job/trees.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "job/shared.h"
#include "station/word.h"

bool es_job_has_canopy(const es_job *job) {
  return job->ground.n_canopy > 0 || job->cover_table.given || job->obstacles.n > 0;
}

/* --- cover classes ------------------------------------------------------------------------------------------------------- */

static void read_table(const es_reader *reader, const es_ground_keys *keys, es_job *job) {
  if (keys->cover_table != ES_NO_NODE && keys->cover_legend >= 0)
    es_read_fault(reader, "cover_table", keys->cover_table, "want cover_table or cover_legend, not both");
  else if (keys->cover_legend >= 0)
    es_cover_table_builtin((es_cover_legend)keys->cover_legend, &job->cover_table, reader->faults);
  else if (keys->cover_table != ES_NO_NODE) {
    job->cover_table_path = es_read_path(reader, "cover_table", keys->cover_table, ES_PATH_FILE);
    if (job->cover_table_path != NULL) es_cover_table_read(job->cover_table_path, &job->cover_table, reader->faults);
  }
}

void es_cover_read(const es_reader *reader, es_node ground, const es_ground_keys *keys, es_job *job) {
  static const char *const kinds[] = {"bare-earth", "surface-model", "radar"};
  long line = es_tree_line(reader->tree, ground);
  read_table(reader, keys, job);
  bool table = keys->cover_table != ES_NO_NODE || keys->cover_legend >= 0;
  if (table && keys->cover == ES_NO_NODE)
    es_fault_add(reader->faults, reader->file, line, "ground: a table of cover classes without cover: want the raster");
  if (job->surface != ES_SURFACE_BARE && (table || keys->canopy_height != ES_NO_NODE) && keys->canopy_on_surface == 0)
    es_fault_add(reader->faults, reader->file, line,
                 "ground: surface: %s holds trees already, at least in part: canopy on top of it would count them "
                 "twice. Want bare-earth elevation, or no canopy, or canopy_on_surface: true if you know better",
                 kinds[job->surface]);
}

/* --- trees ----------------------------------------------------------------------------------------------------------------- */

/* Adds a setting of the foliage model, unless the job names it under settings as well. */
static void tell_model(const es_reader *reader, es_node node, const char *key, char *value, es_job *job) {
  bool twice = false;
  for (size_t i = 0; i < job->n_settings; i++)
    twice |= strcmp(job->settings[i].model, "foliage") == 0 && strcmp(job->settings[i].key, key) == 0;
  es_node own = es_read_child(reader, node, key);
  if (twice) es_read_fault(reader, key, own, "given under settings: foliage as well, want it once");
  es_model_setting *settings = twice ? NULL : realloc(job->settings, (job->n_settings + 1) * sizeof *settings);
  if (settings != NULL) job->settings = settings;
  es_model_setting one = {es_text_copy(reader, "foliage"), es_text_copy(reader, key), value,
                          es_tree_line(reader->tree, own)};
  if (settings != NULL && one.model != NULL && one.key != NULL && one.value != NULL) {
    settings[job->n_settings++] = one;
    return;
  }
  if (!twice) es_fault_memory(reader->faults, reader->file);
  free(one.model);
  free(one.key);
  free(one.value);
}

static void tell_model_all(const es_reader *reader, es_node node, const es_trees_keys *keys, es_job *job) {
  const struct {
    const char *key;
    double value;
  } numbers[] = {{"beam_deg", keys->beam_deg},
                 {"gamma_in_leaf_db_m", keys->gamma_in_leaf_db_m},
                 {"gamma_out_of_leaf_db_m", keys->gamma_out_of_leaf_db_m},
                 {"gamma_conifer_db_m", keys->gamma_conifer_db_m},
                 {"ceiling_in_leaf_db", keys->ceiling_in_leaf_db},
                 {"ceiling_out_of_leaf_db", keys->ceiling_out_of_leaf_db},
                 {"ceiling_conifer_db", keys->ceiling_conifer_db}};
  static const char *const words[] = {"through", "species"};
  const int32_t choices[] = {keys->through, keys->species};
  for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
    if (!isnan(numbers[i].value)) tell_model(reader, node, numbers[i].key, es_format("%.17g", numbers[i].value), job);
  for (size_t i = 0; i < 2; i++)
    if (choices[i] >= 0)
      tell_model(reader, node, words[i],
                 es_text_copy(reader, es_tree_text(reader->tree, es_read_child(reader, node, words[i]))), job);
}

void es_trees_read(const es_reader *reader, es_node node, es_job *job) {
  es_trees_keys keys;
  es_read_section(reader, node, &es_trees_section, &keys);
  job->trees = (es_trees_plan){.height_factor = keys.height_factor,
                               .growth_m = keys.growth_m_per_year * keys.years,
                               .leaf = (uint8_t)(ES_BROADLEAF + keys.leaf),
                               .leaf_months = keys.leaf_months,
                               .wind_m_s = keys.wind_m_s,
                               .trim_to_m = keys.trim_to_m};
  job->growth_m_per_year = keys.growth_m_per_year;
  tell_model_all(reader, node, &keys, job);
  if (node != ES_NO_NODE && !es_job_has_canopy(job))
    es_note_add(reader->faults, reader->file, es_tree_line(reader->tree, node),
                "trees: the job knows of none: want ground.canopy_height, ground.cover with a table, or obstacles");
}

void es_trees_grow(const es_reader *reader, es_node vary, double years, es_job *job) {
  if (isnan(years)) return;
  job->trees.growth_m = job->growth_m_per_year * years;
  if (!(job->growth_m_per_year > 0.0) && years > 0.0)
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, vary),
                 "vary.years: want trees.growth_m_per_year, how much they grow");
}

/* --- obstacles --------------------------------------------------------------------------------------------------------------- */

static void read_item(const es_reader *reader, es_node node, es_obstacles *out) {
  size_t before = reader->faults->n_faults;
  es_obstacle_keys k;
  es_read_section(reader, node, &es_obstacle_section, &k);
  if (reader->faults->n_faults > before) return;
  es_obstacle o = {es_text_copy(reader, k.station),
                   k.azimuth_from_deg,
                   k.azimuth_to_deg,
                   k.distance_m,
                   k.depth_m,
                   k.top_m,
                   k.base_m,
                   k.density,
                   ES_MIXED_LEAF,
                   es_tree_line(reader->tree, node)};
  es_obstacle_add(out, reader->file, o, k.kind != NULL ? k.kind : "tree", k.leaf != NULL ? k.leaf : "mixed",
                  reader->faults);
}

/* One of the places that are compared, by its name. */
static bool is_site(const es_reader *reader, const es_axis *sites, const char *name) {
  for (size_t i = 0; i < sites->n; i++)
    if (strcmp(es_tree_text(reader->tree, es_read_child(reader, sites->node[i], "name")), name) == 0) return true;
  return false;
}

static void check_station(const es_reader *reader, const es_job *job, const es_axis *sites, const es_obstacle *o,
                          const char *file) {
  es_nearest nearest = {.word = o->station};
  bool beacon = strcmp(o->station, "beacon") == 0 || strcmp(o->station, job->beacon.name) == 0 ||
                (job->beacon.call[0] != '\0' && strcmp(o->station, job->beacon.call) == 0);
  if (beacon && sites->n > 1)
    es_fault_add(reader->faults, file, o->line, "station=%.100s: the job compares %zu sites: want the name of one",
                 o->station, sites->n);
  if (beacon || is_site(reader, sites, o->station)) return;
  for (size_t i = 0; i < job->listeners.n; i++) {
    if (strcmp(o->station, job->listeners.items[i].name) == 0) return;
    es_nearest_offer(&nearest, job->listeners.items[i].name);
  }
  es_fault_add(reader->faults, file, o->line, "station=%.100s: no listener has that name%s%s%s", o->station,
               nearest.best != NULL ? ", did you mean " : "", nearest.best != NULL ? nearest.best : "",
               nearest.best != NULL ? "?" : "; want beacon, or a name of the list");
}

void es_obstacle_list_read(const es_reader *reader, es_node node, const es_axis *sites, es_job *job) {
  es_node_kind kind = es_tree_kind(reader->tree, node);
  if (kind == ES_NODE_NONE || kind == ES_NODE_EMPTY) return;
  if (kind == ES_NODE_TEXT) {
    job->obstacles_path = es_read_path(reader, "obstacles", node, ES_PATH_FILE);
    if (job->obstacles_path != NULL) es_obstacles_read(job->obstacles_path, &job->obstacles, reader->faults);
  } else if (kind == ES_NODE_LIST) {
    for (size_t i = 0; i < es_tree_count(reader->tree, node); i++)
      read_item(reader, es_tree_item(reader->tree, node, i), &job->obstacles);
  } else
    es_read_fault(reader, "obstacles", node, "want a list of sections, or the name of a CSV file");
  for (size_t i = 0; i < job->obstacles.n && !reader->faults->no_memory; i++) /* names may be missing then */
    check_station(reader, job, sites, &job->obstacles.items[i],
                  job->obstacles_path != NULL ? job->obstacles_path : reader->file);
}
