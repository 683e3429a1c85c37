#include "job/shape.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

static const double USUAL_GUIDE_MM = 22.86;                 /* WR-90 */
static const double DOUBTFUL_DB = 1.0, IMPOSSIBLE_DB = 3.0; /* above the pattern's own limit */

int es_shape_count(const es_reader *reader, es_node node) {
  static const char *const keys[] = {"gain_dbi", "dish_m", "horn_mm", "slots", "beam_deg", "sector_deg"};
  int n = 0;
  for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) n += es_read_has(reader, node, keys[i]);
  return n;
}

/* Two numbers above 0; false and a fault for anything else. */
static bool read_pair(const es_reader *reader, const char *name, es_node node, double max, double pair[2]) {
  size_t n;
  double *values = es_read_numbers(reader, name, node, 0.0, max, false, &n);
  bool ok = values != NULL && n == 2 && values[0] > 0.0 && values[1] > 0.0;
  if (values != NULL && !ok) es_read_fault(reader, name, node, "want two numbers above 0");
  if (ok) {
    pair[0] = values[0];
    pair[1] = values[1];
  }
  free(values);
  return ok;
}

static bool make_slotted(const es_reader *reader, es_node node, const es_shape_keys *keys, double freq_ghz,
                         es_antenna *out) {
  double guide_mm = isnan(keys->guide_mm) ? USUAL_GUIDE_MM : keys->guide_mm;
  *out = es_antenna_slotted(keys->slots, 1e-3 * guide_mm, freq_ghz);
  out->ripple_db = isnan(keys->ripple_db) ? 0.0 : keys->ripple_db;
  out->peak_dbi += out->ripple_db; /* the computed gain is the mean going round */
  if (isfinite(out->peak_dbi)) return true;
  es_read_fault(reader, "guide_mm", node, "a guide of %g mm is below its cut-off at %g MHz", guide_mm, 1e3 * freq_ghz);
  return false;
}

/* Shapes whose measures are a pair of numbers. */
static bool make_pair(const es_reader *reader, const es_shape_keys *keys, double freq_ghz, int32_t polarisation,
                      es_antenna *out) {
  double pair[2];
  if (keys->horn_mm != ES_NO_NODE) {
    if (!read_pair(reader, "horn_mm", keys->horn_mm, 5000.0, pair)) return false;
    *out = es_antenna_horn(1e-3 * pair[0], 1e-3 * pair[1], polarisation == ES_HORIZONTAL, freq_ghz);
    return true;
  }
  bool beam = keys->beam_deg != ES_NO_NODE;
  if (!beam && keys->sector_deg == ES_NO_NODE) return false;
  if (!read_pair(reader, beam ? "beam_deg" : "sector_deg", beam ? keys->beam_deg : keys->sector_deg, 360.0, pair))
    return false;
  *out =
      beam ? es_antenna_beam_of(es_rad(pair[0]), es_rad(pair[1])) : es_antenna_sector(es_rad(pair[0]), es_rad(pair[1]));
  return true;
}

static es_antenna make_round(const es_shape_keys *keys) {
  es_antenna round = es_antenna_all_round(keys->gain_dbi);
  if (!isnan(keys->elevation_beam_deg)) round.beam_el = es_rad(keys->elevation_beam_deg);
  return round;
}

bool es_shape_make(const es_reader *reader, es_node node, const es_shape_keys *keys, double freq_ghz,
                   int32_t polarisation, es_antenna *out) {
  bool made = true;
  if (!isnan(keys->gain_dbi))
    *out = make_round(keys);
  else if (!isnan(keys->dish_m))
    *out = es_antenna_dish(keys->dish_m, isnan(keys->efficiency) ? ES_USUAL_EFFICIENCY : keys->efficiency, freq_ghz);
  else if (!isnan(keys->slots))
    made = make_slotted(reader, node, keys, freq_ghz, out);
  else
    made = make_pair(reader, keys, freq_ghz, polarisation, out);
  if (!made) return false;
  out->lobes = (es_side_lobes)keys->side_lobes;
  if (!isnan(keys->peak_dbi) && isnan(keys->gain_dbi)) out->peak_dbi = keys->peak_dbi;
  es_shape_check_peak(reader, node, out);
  return true;
}

void es_shape_check_peak(const es_reader *reader, es_node node, const es_antenna *a) {
  double limit_dbi = es_antenna_limit_dbi(a), excess_db = a->peak_dbi - limit_dbi;
  long line = es_tree_line(reader->tree, node);
  if (excess_db > IMPOSSIBLE_DB)
    es_fault_add(reader->faults, reader->file, line,
                 "a gain of %.1f dBi is more than the beam widths allow: want at most %.1f dBi", a->peak_dbi,
                 limit_dbi);
  else if (excess_db > DOUBTFUL_DB)
    es_note_add(reader->faults, reader->file, line,
                "a gain of %.1f dBi is %.1f dB more than the beam widths allow without any loss", a->peak_dbi,
                excess_db);
}
