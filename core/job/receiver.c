#include "job/receiver.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/units.h"
#include "station/word.h"

static const double USUAL_EFFICIENCY = 0.55, USUAL_DISH_M = 0.6;

es_receiver es_receiver_usual(double freq_ghz) {
  es_receiver usual = {.height_m = 10.0,
                       .antenna = es_antenna_dish(USUAL_DISH_M, USUAL_EFFICIENCY, freq_ghz),
                       .noise_figure_db = 1.0,
                       .feeder_db = 0.3,
                       .antenna_k = NAN,
                       .mode = "cw"};
  usual.antenna.tracks = true;
  return usual;
}

static double either(double given, double usual) { return isnan(given) ? usual : given; }

static void read_mode(const es_reader *reader, es_node node, const es_modes *modes, es_receiver *out) {
  if (node == ES_NO_NODE) return;
  const char *id = es_tree_text(reader->tree, node);
  const es_mode *mode = es_mode_find(modes, id);
  if (mode != NULL) {
    snprintf(out->mode, sizeof out->mode, "%s", mode->id);
    return;
  }
  es_nearest nearest = {.word = id};
  for (size_t i = 0; i < modes->n; i++) es_nearest_offer(&nearest, modes->items[i].id);
  if (nearest.best != NULL)
    es_read_fault(reader, "mode", node, "unknown mode, did you mean %s?", nearest.best);
  else
    es_read_fault(reader, "mode", node, "unknown mode, want one of the table of modes, such as cw or ssb");
}

static void point(es_antenna *antenna, const es_antenna *usual, double azimuth_deg, double tilt_deg) {
  antenna->tracks = isnan(azimuth_deg) && usual->tracks;
  antenna->azimuth = isnan(azimuth_deg) ? usual->azimuth : es_rad(azimuth_deg);
  antenna->tilt = isnan(tilt_deg) ? usual->tilt : es_rad(tilt_deg);
}

static void read_antenna(const es_reader *reader, es_node node, const es_receiver_keys *keys, const es_antenna *usual,
                         double freq_ghz, es_antenna *out) {
  double gain_dbi = keys->gain_dbi, dish_m = keys->dish_m;
  if (!isnan(gain_dbi) && !isnan(dish_m)) es_read_fault(reader, "dish_m", node, "want gain_dbi or dish_m, not both");
  if (!isnan(gain_dbi) && !isnan(keys->efficiency))
    es_read_fault(reader, "efficiency", node, "want it with a dish only, not with gain_dbi");
  if (!isnan(gain_dbi))
    *out = es_antenna_all_round(gain_dbi);
  else if (!isnan(dish_m) || (!isnan(keys->efficiency) && usual->shape == ES_SHAPE_DISH))
    *out = es_antenna_dish(either(dish_m, usual->dish_m), either(keys->efficiency, USUAL_EFFICIENCY), freq_ghz);
  else
    *out = *usual;
  point(out, usual, keys->azimuth_deg, keys->tilt_deg);
}

void es_receiver_read(const es_reader *reader, es_node node, const es_receiver *usual, double freq_ghz,
                      const es_modes *modes, es_receiver *out) {
  es_receiver_keys keys;
  es_read_section(reader, node, &es_receiver_section, &keys);
  *out = *usual;
  out->height_m = either(keys.height_m, usual->height_m);
  out->noise_figure_db = either(keys.noise_figure_db, usual->noise_figure_db);
  out->feeder_db = either(keys.feeder_loss_db, usual->feeder_db);
  out->antenna_k = either(keys.antenna_temperature_k, usual->antenna_k);
  read_antenna(reader, node, &keys, &usual->antenna, freq_ghz, &out->antenna);
  read_mode(reader, keys.mode, modes, out);
}

static void read_pattern(const es_reader *reader, const es_antenna_keys *keys, es_antenna *out) {
  char *path = es_read_path(reader, "pattern", keys->pattern, ES_PATH_FILE);
  if (path != NULL && es_pattern_read(path, out, reader->faults)) {
    if (!isnan(keys->peak_dbi)) out->peak_dbi = keys->peak_dbi;
    if (isnan(out->peak_dbi))
      es_read_fault(reader, "pattern", keys->pattern,
                    "want peak_dbi beside it, as the table holds gain_db relative to the peak");
  }
  free(path);
}

/* Faults of keys that do not go together. */
static void check_antenna(const es_reader *reader, es_node node, const es_antenna_keys *keys) {
  bool dish = es_read_has(reader, node, "dish_m"), table = keys->pattern != ES_NO_NODE;
  int shapes = es_read_has(reader, node, "gain_dbi") + dish + table;
  long line = es_tree_line(reader->tree, node);
  if (shapes != 1)
    es_fault_add(reader->faults, reader->file, line,
                 "beacon.antenna: want one of gain_dbi, dish_m and pattern, found %d", shapes);
  if (dish && !es_read_has(reader, node, "azimuth_deg"))
    es_fault_add(reader->faults, reader->file, line,
                 "beacon.antenna: azimuth_deg is missing: want where the dish points");
  if (!isnan(keys->efficiency) && !dish)
    es_fault_add(reader->faults, reader->file, line, "efficiency=%g: want it with dish_m only", keys->efficiency);
  if (!isnan(keys->peak_dbi) && !table)
    es_fault_add(reader->faults, reader->file, line, "peak_dbi=%g: want it with pattern only", keys->peak_dbi);
}

void es_beacon_antenna_read(const es_reader *reader, es_node node, double freq_ghz, es_antenna *out, double *height_m) {
  es_antenna_keys keys;
  *out = (es_antenna){0};
  es_read_section(reader, node, &es_antenna_section, &keys);
  *height_m = keys.height_m;
  if (node == ES_NO_NODE) return;
  check_antenna(reader, node, &keys);
  if (keys.pattern != ES_NO_NODE)
    read_pattern(reader, &keys, out);
  else if (!isnan(keys.dish_m))
    *out = es_antenna_dish(keys.dish_m, either(keys.efficiency, USUAL_EFFICIENCY), freq_ghz);
  else
    *out = es_antenna_all_round(keys.gain_dbi);
  out->azimuth = isnan(keys.azimuth_deg) ? 0.0 : es_rad(keys.azimuth_deg);
  out->tilt = isnan(keys.tilt_deg) ? 0.0 : es_rad(keys.tilt_deg);
}
