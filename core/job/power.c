#include "job/power.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "station/feeder.h"
#include "station/word.h"

static const double USUAL_SIGMA_DB = 1.0; /* common practice, no source */

/* --- feeder -------------------------------------------------------------------------------------------------------- */

static const es_line_kind *find_line(const es_reader *reader, es_node node, const char *id,
                                     const es_line_kinds *lines) {
  const es_line_kind *line = es_line_find(lines, id);
  if (line != NULL && line->form != ES_LINE_EACH) return line;
  es_nearest nearest = {.word = id};
  for (size_t i = 0; i < lines->n; i++)
    if (lines->items[i].form != ES_LINE_EACH) es_nearest_offer(&nearest, lines->items[i].id);
  es_read_fault(reader, "line", node, "%s is no line of the table%s%s", id,
                nearest.best != NULL ? ", did you mean " : ": want one such as waveguide-wr90-copper or foam-coax-10mm",
                nearest.best != NULL ? nearest.best : "");
  return NULL;
}

/* The line's loss per metre; told when the line is not made for the frequency. */
static double line_db_m(const es_reader *reader, es_node node, const es_line_kind *line, double freq_ghz) {
  long at = es_tree_line(reader->tree, node);
  double cutoff_ghz = es_line_cutoff_ghz(line), mhz = 1e3 * freq_ghz;
  switch (es_line_fit_at(line, freq_ghz)) {
  case ES_LINE_REFUSED:
    if (freq_ghz <= cutoff_ghz)
      es_fault_add(reader->faults, reader->file, at, "line=%s: %g MHz is below its cut-off, want more than %.0f MHz",
                   line->id, mhz, 1e3 * cutoff_ghz);
    else
      es_fault_add(reader->faults, reader->file, at, "line=%s: %g MHz is too high for it, want at most %g MHz",
                   line->id, mhz, line->refuse_mhz);
    return NAN;
  case ES_LINE_OUT_OF_BAND:
    es_note_add(reader->faults, reader->file, at,
                "line=%s: made for %g to %g MHz, not for %g MHz: its loss there is doubtful", line->id, line->min_mhz,
                line->max_mhz, mhz);
    break;
  case ES_LINE_AT_HOME:
  default: break;
  }
  return es_line_loss_db_m(line, freq_ghz);
}

static double pieces_db(const es_line_kinds *lines, const char *id, double count) {
  const es_line_kind *piece = es_line_find(lines, id);
  return piece != NULL ? count * piece->a : 0.0;
}

static double connectors_db(const es_reader *reader, es_node node, const es_line_kinds *lines) {
  es_connector_keys keys;
  es_read_section(reader, node, &es_connector_section, &keys);
  if (node == ES_NO_NODE) return 0.0;
  return pieces_db(lines, "connector-sma", keys.sma) + pieces_db(lines, "connector-n", keys.n) +
         pieces_db(lines, "transition", keys.transition);
}

static void read_line(const es_reader *reader, es_node node, const es_feeder_keys *keys, const es_line_kinds *lines,
                      es_beacon *out) {
  es_feeder *f = &out->feeder;
  f->at_antenna = keys->amplifier == 1;
  f->connectors_db = connectors_db(reader, keys->connectors, lines);
  out->feeder_db = f->connectors_db;
  if (keys->line == NULL) return;
  const es_line_kind *line = find_line(reader, node, keys->line, lines);
  if (line == NULL || isnan(out->freq_ghz)) return;
  f->db_per_m = (1.0 + keys->extra_percent / 100.0) * line_db_m(reader, node, line, out->freq_ghz);
  f->length_m = isnan(keys->length_m) ? 0.0 : keys->length_m;
  snprintf(f->line, sizeof f->line, "%s", line->id);
  snprintf(f->source, sizeof f->source, "%s", line->source);
  if (!f->at_antenna) out->feeder_db += f->db_per_m * f->length_m;
}

static void read_feeder(const es_reader *reader, es_node power, es_node node, int32_t amplifier, es_beacon *out) {
  es_feeder_keys keys;
  es_line_kinds lines = {0};
  es_read_section(reader, node, &es_feeder_section, &keys);
  if (amplifier >= 0 && node == ES_NO_NODE)
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, power),
                 "vary.amplifier: want beacon.power.feeder or vary.feeder, the line that it saves");
  if (node == ES_NO_NODE) return;
  if (amplifier >= 0) keys.amplifier = amplifier;
  long at = es_tree_line(reader->tree, node);
  es_lines_builtin(&lines, reader->faults);
  char *path = keys.table != ES_NO_NODE ? es_read_path(reader, "table", keys.table, ES_PATH_FILE) : NULL;
  if (path != NULL) es_lines_read(path, &lines, reader->faults);
  if (keys.amplifier == 0 && keys.line == NULL)
    es_fault_add(reader->faults, reader->file, at, "beacon.power.feeder: line is missing: want its kind");
  if (keys.amplifier == 0 && isnan(keys.length_m) && !es_read_has(reader, node, "length_m"))
    es_fault_add(reader->faults, reader->file, at, "beacon.power.feeder: length_m is missing: want the line's length");
  read_line(reader, node, &keys, &lines, out);
  free(path);
  es_lines_free(&lines);
}

/* --- power --------------------------------------------------------------------------------------------------------- */

static void basis(es_beacon *out, const char *text, double sigma_db) {
  snprintf(out->power_basis, sizeof out->power_basis, "%s", text);
  out->power_sigma_db = sigma_db;
}

/* A meter behind an attenuator: what the amplifier gives is the reading and the attenuation. */
static void read_meter(const es_reader *reader, es_node node, es_beacon *out) {
  es_meter_keys keys;
  es_read_section(reader, node, &es_meter_section, &keys);
  if (node == ES_NO_NODE) return;
  out->power_dbm = keys.reading_dbm + keys.attenuator_db;
  basis(out, "meter reading and attenuator", keys.sigma_db);
}

/* A bare "erp" or "power" would leave 2.15 dB open; unknown keys are faults already, these get a better word. */
static void check_words(const es_reader *reader, es_node node) {
  static const char *const vague[] = {"erp", "eirp", "radiated", "radiated_dbm", "watts", "power_dbm"};
  for (size_t i = 0; i < sizeof vague / sizeof *vague; i++)
    if (es_read_has(reader, node, vague[i]))
      es_note_add(reader->faults, reader->file, es_tree_line(reader->tree, es_read_child(reader, node, vague[i])),
                  "%s: say at_amplifier_dbm, eirp_dbm or erp_dbm: ERP is 2.15 dB less than EIRP", vague[i]);
}

static void check_one(const es_reader *reader, es_node node) {
  static const char *const ways[] = {"at_amplifier_dbm", "meter", "eirp_dbm", "erp_dbm"};
  int n = 0;
  for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) n += es_read_has(reader, node, ways[i]);
  if (n > 1)
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, node),
                 "beacon.power: want one of at_amplifier_dbm, meter, eirp_dbm and erp_dbm, found %d", n);
  if (es_read_has(reader, node, "feeder") && es_read_has(reader, node, "feeder_loss_db"))
    es_fault_add(reader->faults, reader->file, es_tree_line(reader->tree, node),
                 "beacon.power: want feeder or feeder_loss_db, not both");
}

void es_power_read(const es_reader *reader, es_node node, es_node feeder, int32_t amplifier, es_beacon *out) {
  es_power_keys keys;
  es_read_section(reader, node, &es_power_section, &keys);
  check_words(reader, node);
  check_one(reader, node);
  out->power_dbm = keys.at_amplifier_dbm;
  out->feeder_db = isnan(keys.feeder_loss_db) ? 0.0 : keys.feeder_loss_db;
  basis(out, "as stated; its spread is common practice", USUAL_SIGMA_DB);
  if (feeder != ES_NO_NODE && !isnan(keys.feeder_loss_db))
    es_read_fault(reader, "feeder_loss_db", node, "want vary.feeder or beacon.power.feeder_loss_db, not both");
  read_feeder(reader, node, feeder != ES_NO_NODE ? feeder : keys.feeder, amplifier, out);
  read_meter(reader, keys.meter, out);
  double eirp_dbm = isnan(keys.erp_dbm) ? keys.eirp_dbm : keys.erp_dbm + ES_ERP_TO_EIRP_DB;
  if (!isnan(eirp_dbm)) {
    out->power_dbm = eirp_dbm - out->antenna.peak_dbi + out->feeder_db;
    basis(out, isnan(keys.erp_dbm) ? "stated EIRP" : "stated ERP", USUAL_SIGMA_DB);
  }
  if (!isnan(keys.sigma_db)) out->power_sigma_db = keys.sigma_db;
}
