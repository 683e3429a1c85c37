#include "job/shared.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

char *es_text_copy(const es_reader *reader, const char *text) {
  char *copy = strdup(text);
  if (copy == NULL) es_fault_memory(reader->faults, reader->file);
  return copy;
}

void es_climate_read(const es_reader *reader, const es_node nodes[3], es_climate_plan *out) {
  static const es_section *const sections[3] = {&es_climate_section, &es_climate_side_section,
                                                &es_climate_side_section};
  for (int side = 0; side < 3; side++) {
    es_weather_keys keys = {.maps = ES_NO_NODE};
    es_read_section(reader, nodes[side], sections[side], &keys);
    memcpy(out->value[side], keys.value, sizeof keys.value);
    if (keys.maps != ES_NO_NODE) out->maps = es_read_path(reader, "maps", keys.maps, ES_PATH_FOLDER);
  }
}

void es_settings_free(es_model_setting *settings, size_t n) {
  for (size_t i = 0; settings != NULL && i < n; i++) {
    free(settings[i].model);
    free(settings[i].key);
    free(settings[i].value);
  }
  free(settings);
}

static bool repeated(const es_model_setting *settings, size_t n, const char *model, const char *key) {
  for (size_t i = 0; i < n; i++)
    if (strcmp(settings[i].model, model) == 0 && strcmp(settings[i].key, key) == 0) return true;
  return false;
}

static void read_setting(const es_reader *reader, const char *model, es_node key, es_node value,
                         es_model_setting *settings, size_t *n) {
  const es_tree *tree = reader->tree;
  const char *name = es_tree_text(tree, key), *text = es_tree_text(tree, value);
  if (name[0] == '\0' || text[0] == '\0')
    es_read_fault(reader, name, value, "want a setting of %s and its value", model);
  else if (repeated(settings, *n, model, name))
    es_read_fault(reader, name, key, "repeated setting of %s", model);
  else {
    es_model_setting one = {es_text_copy(reader, model), es_text_copy(reader, name), es_text_copy(reader, text),
                            es_tree_line(tree, key)};
    if (one.model != NULL && one.key != NULL && one.value != NULL) {
      settings[(*n)++] = one;
      return;
    }
    free(one.model);
    free(one.key);
    free(one.value);
  }
}

static size_t settings_in(const es_tree *tree, es_node node) {
  size_t total = 0;
  for (size_t i = 0; i < es_tree_count(tree, node); i++) total += es_tree_count(tree, es_tree_value(tree, node, i));
  return total;
}

es_model_setting *es_settings_read(const es_reader *reader, es_node node, size_t *n) {
  const es_tree *tree = reader->tree;
  es_node_kind kind = es_tree_kind(tree, node);
  *n = 0;
  if (kind == ES_NODE_NONE || kind == ES_NODE_EMPTY) return NULL;
  if (kind != ES_NODE_MAP) {
    es_read_fault(reader, "settings", node, "want {model: {key: value}}");
    return NULL;
  }
  es_model_setting *settings = calloc(settings_in(tree, node) + 1, sizeof *settings);
  if (settings == NULL) es_fault_memory(reader->faults, reader->file);
  for (size_t i = 0; settings != NULL && i < es_tree_count(tree, node); i++) {
    const char *model = es_tree_text(tree, es_tree_key(tree, node, i));
    es_node keys = es_tree_value(tree, node, i);
    if (model[0] == '\0' || es_tree_kind(tree, keys) != ES_NODE_MAP)
      es_read_fault(reader, model, keys, "want the settings of a model as {key: value}");
    else
      for (size_t k = 0; k < es_tree_count(tree, keys); k++)
        read_setting(reader, model, es_tree_key(tree, keys, k), es_tree_value(tree, keys, k), settings, n);
  }
  return settings;
}

double *es_percent_read(const es_reader *reader, es_node node, bool increasing, size_t *n) {
  double *percent;
  if (node == ES_NO_NODE) {
    percent = malloc(sizeof *percent);
    *n = percent != NULL;
    if (percent != NULL)
      percent[0] = 50.0;
    else
      es_fault_memory(reader->faults, reader->file);
    return percent;
  }
  percent = es_read_numbers(reader, "time_percent", node, 0.0, 100.0, true, n);
  for (size_t i = 1; increasing && i < *n; i++)
    if (!(percent[i] > percent[i - 1])) {
      es_read_fault(reader, "time_percent", node, "want increasing percentages, %g stands before %g", percent[i - 1],
                    percent[i]);
      break;
    }
  return percent;
}

void es_radius_check(const es_reader *reader, double radius_km, es_chain_kind chain) {
  if (!isnan(radius_km) && chain != ES_CHAIN_DIFFRACTION)
    es_note_add(reader->faults, reader->file, 0,
                "effective_earth_radius_km=%g is not used: only chain: diffraction has one radius for all percentages",
                radius_km);
}
