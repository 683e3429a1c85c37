#include "run/rasters.h"

#include <inttypes.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/checksum.h"
#include "base/large.h"
#include "base/text.h"
#include "output/output.h"
#include "run/folder.h"

#define WAY_NUMBERS "1 surface, 2 ducting, 4 troposcatter, 9 surface through trees"

typedef struct layer {
  char what[64], description[128];
  const char *unit;
  float *values;
} layer;

typedef struct layers {
  layer items[ES_MAP_LAYERS];
  size_t n;
} layers;

static void add(layers *list, const char *what, const char *description, const char *unit, float *values) {
  layer *l = &list->items[list->n++];
  snprintf(l->what, sizeof l->what, "%s", what);
  snprintf(l->description, sizeof l->description, "%s", description);
  l->unit = unit;
  l->values = values;
}

static void add_percent(layers *list, double percent, float *snr_db, float *loss_db) {
  char what[64], description[128];
  snprintf(what, sizeof what, "snr-p%g", percent);
  snprintf(description, sizeof description, "SNR in 2500 Hz reached for %g %% of the time", percent);
  add(list, what, description, "dB", snr_db);
  snprintf(what, sizeof what, "loss-p%g", percent);
  snprintf(description, sizeof description, "basic transmission loss not exceeded for %g %% of the time", percent);
  add(list, what, description, "dB", loss_db);
}

static void list_layers(const es_map_layers *l, layers *list) {
  list->n = 0;
  for (size_t k = 0; k < l->n_percent; k++) add_percent(list, l->percent[k], l->snr_db[k], l->loss_db[k]);
  add(list, "sight", "line of sight: 1 clear, 0 not", "", l->los);
  if (l->heard_percent == NULL) return;
  add(list, "heard", "share of the year heard", "%", l->heard_percent);
  add(list, "way", "winning way at 50 %: " WAY_NUMBERS, "", l->way_median);
  add(list, "way-best", "winning way at the best 1 %: " WAY_NUMBERS, "", l->way_best);
}

static char *name_of(const es_raster_place *at, const char *what) {
  return es_format("%s/map-%s-%s.tif", at->folder, what, at->scenario->name);
}

static int32_t no_memory(es_error *err) { return es_fail(err, ES_E_MEMORY, "out of memory"); }

static int32_t write_one(const es_raster_place *at, const char *path, const layer *l, const char *map_id,
                         es_error *err) {
  const char *keys[] = {"EARSHOT_SCENARIO", "EARSHOT_MAP", "EARSHOT_VERSION"};
  const char *texts[] = {at->scenario->name, map_id, ES_VERSION};
  return es_map_raster_write(path, &at->setup->frame, l->values, l->description, l->unit, keys, texts, 3, at->threads,
                             err);
}

/* --- the ticket -------------------------------------------------------------------------------------------------------------- */

static char *ticket_name(const es_raster_place *at) {
  return es_format("%s/" ES_HIDDEN_FOLDER "/map-%s.json", at->folder, at->scenario->name);
}

/* Size and checksum of a file, as the ticket has them. */
static json_t *seal(const char *path, es_error *err) {
  uint64_t sum, bytes;
  char text[17];
  if (es_checksum_file(path, &sum, &bytes, err) != 0) return NULL;
  snprintf(text, sizeof text, "%016" PRIx64, sum);
  return json_pack("[I,s]", (json_int_t)bytes, text);
}

static json_t *key_of(const es_map_need *need) {
  char text[17];
  snprintf(text, sizeof text, "%016" PRIx64, need->key);
  return json_string(text);
}

/* `rasters` is taken over. */
static int32_t write_ticket(const es_raster_place *at, const es_map_layers *l, json_t *rasters, es_error *err) {
  json_t *ticket = json_pack("{s:o,s:[I,I,I],s:o}", "needs", key_of(at->need), "counts", (json_int_t)l->missing,
                             (json_int_t)l->outside, (json_int_t)l->failed, "rasters", rasters);
  char *path = ticket_name(at), *folder = es_format("%s/" ES_HIDDEN_FOLDER, at->folder);
  int32_t status = ticket != NULL && path != NULL && folder != NULL ? es_folder_make(folder, err) : no_memory(err);
  if (status == 0) status = es_json_write(path, ticket, err);
  json_decref(ticket);
  free(folder);
  free(path);
  return status;
}

int32_t es_rasters_write(const es_raster_place *at, const es_map_layers *map, es_error *err) {
  layers list;
  list_layers(map, &list);
  json_t *rasters = json_object();
  int32_t status = rasters != NULL ? 0 : no_memory(err);
  for (size_t i = 0; status == 0 && i < list.n; i++) {
    char *path = name_of(at, list.items[i].what);
    status = path != NULL ? write_one(at, path, &list.items[i], at->need->id, err) : no_memory(err);
    es_large_rest(list.items[i].values);
    json_t *sealed = status == 0 ? seal(path, err) : NULL;
    if (status == 0 && sealed == NULL) status = err->status;
    if (sealed != NULL && json_object_set_new(rasters, list.items[i].what, sealed) != 0) status = no_memory(err);
    free(path);
  }
  if (status == 0) return write_ticket(at, map, rasters, err);
  json_decref(rasters);
  return status;
}

/* --- back ---------------------------------------------------------------------------------------------------------------------- */

static bool take_count(const json_t *counts, size_t index, size_t n_cells, size_t *out) {
  const json_t *count = json_array_get(counts, index);
  json_int_t n = json_is_integer(count) ? json_integer_value(count) : -1;
  if (n < 0 || (uint64_t)n > n_cells) return false;
  *out = (size_t)n;
  return true;
}

static bool take_counts(const json_t *ticket, es_map_layers *out) {
  const json_t *counts = json_object_get(ticket, "counts");
  return take_count(counts, 0, out->n_cells, &out->missing) && take_count(counts, 1, out->n_cells, &out->outside) &&
         take_count(counts, 2, out->n_cells, &out->failed);
}

/* The raster is there with the bytes the ticket has, and read. */
static bool read_one(const es_raster_place *at, const json_t *rasters, const layer *l) {
  char *path = name_of(at, l->what);
  json_t *sealed = path != NULL ? seal(path, NULL) : NULL;
  bool ok = sealed != NULL && json_equal(sealed, json_object_get(rasters, l->what)) != 0 &&
            es_map_raster_read(path, &at->setup->frame, l->values, NULL) == 0;
  es_large_rest(l->values);
  json_decref(sealed);
  free(path);
  return ok;
}

static bool read_all(const es_raster_place *at, const json_t *ticket, es_map_layers *out) {
  layers list;
  list_layers(out, &list);
  json_t *key = key_of(at->need);
  bool ok = key != NULL && json_equal(key, json_object_get(ticket, "needs")) != 0 && take_counts(ticket, out);
  for (size_t i = 0; ok && i < list.n; i++) ok = read_one(at, json_object_get(ticket, "rasters"), &list.items[i]);
  json_decref(key);
  return ok;
}

int32_t es_rasters_read(const es_raster_place *at, size_t n_cells, es_map_layers *out, bool *found, es_error *err) {
  char *path = ticket_name(at);
  *found = false;
  if (path == NULL) return no_memory(err);
  json_t *ticket = json_load_file(path, 0, NULL);
  free(path);
  if (ticket == NULL) return 0;
  int32_t status = es_map_layers_create(at->setup, n_cells, out) ? 0 : no_memory(err);
  if (status == 0) *found = read_all(at, ticket, out);
  if (!*found) es_map_layers_free(out);
  json_decref(ticket);
  return status;
}
