#include "job/receiver.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/units.h"
#include "job/shape.h"
#include "station/polarisation.h"
#include "station/word.h"

static const double USUAL_DISH_M = 0.6;

es_receiver es_receiver_usual(double freq_ghz) {
  es_receiver usual = {.height_m = 10.0,
                       .antenna = es_antenna_dish(USUAL_DISH_M, ES_USUAL_EFFICIENCY, freq_ghz),
                       .noise_figure_db = 1.0,
                       .feeder_db = 0.3,
                       .antenna_k = NAN,
                       .xpd_db = 25.0,
                       .lnb_lo_mhz = 9750.0,
                       .lnb_error_ppm = 10.0,
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
                         double freq_ghz, int32_t polarisation, es_antenna *out) {
  es_shape_keys shape = keys->shape;
  int shapes = es_shape_count(reader, node);
  if (shapes > 1)
    es_read_fault(reader, "dish_m", node, "want gain_dbi or dish_m, not both; of all shapes one, found %d", shapes);
  if (!isnan(shape.gain_dbi) && !isnan(shape.efficiency))
    es_read_fault(reader, "efficiency", node, "want it with a dish only, not with gain_dbi");
  bool dish = usual->shape == ES_SHAPE_DISH && shapes == 0;
  if (dish && (!isnan(shape.efficiency) || es_read_has(reader, node, "side_lobes"))) {
    shape.dish_m = usual->dish_m;
    if (isnan(shape.efficiency)) shape.efficiency = usual->efficiency;
    shapes = 1;
  }
  if (shapes == 0 || !es_shape_make(reader, node, &shape, freq_ghz, polarisation, out)) *out = *usual;
  point(out, usual, keys->azimuth_deg, keys->tilt_deg);
  if (!isnan(shape.pointing_error_deg)) out->azimuth += es_rad(shape.pointing_error_deg);
}

void es_receiver_read(const es_reader *reader, es_node node, const es_receiver *usual, double freq_ghz,
                      int32_t polarisation, const es_modes *modes, es_receiver *out) {
  es_receiver_keys keys;
  es_read_section(reader, node, &es_receiver_section, &keys);
  *out = *usual;
  out->height_m = either(keys.height_m, usual->height_m);
  out->noise_figure_db = either(keys.noise_figure_db, usual->noise_figure_db);
  out->feeder_db = either(keys.feeder_loss_db, usual->feeder_db);
  out->antenna_k = either(keys.antenna_temperature_k, usual->antenna_k);
  out->xpd_db = either(keys.cross_polar_db, usual->xpd_db);
  out->lnb_lo_mhz = either(keys.lnb_lo_mhz, usual->lnb_lo_mhz);
  out->lnb_error_ppm = either(keys.lnb_error_ppm, usual->lnb_error_ppm);
  if (keys.polarisation >= 0) out->polarisation = keys.polarisation;
  bool upright =
      out->polarisation == ES_POLAR_VERTICAL || (out->polarisation == ES_POLAR_SAME && polarisation == ES_VERTICAL);
  read_antenna(reader, node, &keys, &usual->antenna, freq_ghz, upright ? ES_VERTICAL : ES_HORIZONTAL, &out->antenna);
  read_mode(reader, keys.mode, modes, out);
}

static void read_pattern(const es_reader *reader, const es_antenna_keys *keys, es_antenna *out) {
  char *path = es_read_path(reader, "pattern", keys->pattern, ES_PATH_FILE);
  if (path != NULL && es_pattern_read(path, out, reader->faults)) {
    if (!isnan(keys->shape.peak_dbi)) out->peak_dbi = keys->shape.peak_dbi;
    if (isnan(out->peak_dbi))
      es_read_fault(reader, "pattern", keys->pattern,
                    "want peak_dbi beside it, as the table holds gain_db relative to the peak");
    else
      es_shape_check_peak(reader, keys->pattern, out);
  }
  free(path);
}

/* Faults of keys that do not go together. */
static void check_antenna(const es_reader *reader, es_node node, const es_antenna_keys *keys, bool aimed) {
  static const char *const narrow[] = {"dish_m", "horn_mm", "beam_deg", "sector_deg"};
  bool dish = es_read_has(reader, node, "dish_m"), table = keys->pattern != ES_NO_NODE;
  int shapes = es_shape_count(reader, node) + table;
  long line = es_tree_line(reader->tree, node);
  if (shapes != 1)
    es_fault_add(
        reader->faults, reader->file, line,
        "beacon.antenna: want one of gain_dbi, dish_m, horn_mm, slots, beam_deg, sector_deg and pattern, found %d",
        shapes);
  for (size_t i = 0; !aimed && i < sizeof narrow / sizeof *narrow; i++)
    if (es_read_has(reader, node, narrow[i]) && !es_read_has(reader, node, "azimuth_deg"))
      es_fault_add(reader->faults, reader->file, line,
                   "beacon.antenna: azimuth_deg is missing: want where the %s points", i == 0 ? "dish" : "antenna");
  if (!isnan(keys->shape.efficiency) && !dish)
    es_fault_add(reader->faults, reader->file, line, "efficiency=%g: want it with dish_m only", keys->shape.efficiency);
  if (!isnan(keys->shape.peak_dbi) && !table && es_read_has(reader, node, "gain_dbi"))
    es_fault_add(reader->faults, reader->file, line, "peak_dbi=%g: gain_dbi is the peak already", keys->shape.peak_dbi);
}

void es_beacon_antenna_read(const es_reader *reader, es_node node, double freq_ghz, int32_t polarisation, bool aimed,
                            es_antenna *out, double *height_m) {
  es_antenna_keys keys;
  *out = (es_antenna){0};
  es_read_section(reader, node, &es_antenna_section, &keys);
  *height_m = keys.height_m;
  if (node == ES_NO_NODE) return;
  check_antenna(reader, node, &keys, aimed);
  if (keys.pattern != ES_NO_NODE)
    read_pattern(reader, &keys, out);
  else
    es_shape_make(reader, node, &keys.shape, freq_ghz, polarisation, out);
  double error_deg = isnan(keys.shape.pointing_error_deg) ? 0.0 : keys.shape.pointing_error_deg;
  out->azimuth = es_rad((isnan(keys.azimuth_deg) ? 0.0 : keys.azimuth_deg) + error_deg);
  out->tilt = isnan(keys.tilt_deg) ? 0.0 : es_rad(keys.tilt_deg);
}
