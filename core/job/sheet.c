#include "job/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "place/locator.h"

/* By es_reference: free-running oscillator, crystal, OCXO, GPS-disciplined 1e-10; common practice. */
static const double USUAL_ERROR_PPM[] = {20.0, 10.0, 0.1, 1e-4};

static void take_text(const es_reader *reader, const char *name, es_node section, const char *text, char *out,
                      size_t room) {
  if (text == NULL) return;
  if (strlen(text) >= room)
    es_read_fault(reader, name, es_read_child(reader, section, name), "want at most %zu bytes", room - 1);
  else
    snprintf(out, room, "%s", text);
}

static void read_factors(const es_reader *reader, es_node node, es_sheet_plan *out) {
  size_t n = 0, most = sizeof out->multiply / sizeof *out->multiply;
  if (node == ES_NO_NODE) return;
  double *factors = es_read_numbers(reader, "multiply", node, 1.0, 10000.0, false, &n);
  if (n > most) es_read_fault(reader, "multiply", node, "want at most %zu factors", most);
  for (size_t i = 0; i < n && i < most; i++) out->multiply[out->n_multiply++] = factors[i];
  free(factors);
}

void es_sheet_read(const es_reader *reader, es_node node, es_sheet_plan *out) {
  es_sheet_keys keys;
  es_read_section(reader, node, &es_sheet_section, &keys);
  take_text(reader, "keeper", node, keys.keeper, out->keeper, sizeof out->keeper);
  take_text(reader, "report_to", node, keys.report_to, out->report_to, sizeof out->report_to);
  take_text(reader, "schedule", node, keys.schedule, out->schedule, sizeof out->schedule);
  take_text(reader, "status", node, keys.status, out->status, sizeof out->status);
  take_text(reader, "last_checked", node, keys.last_checked, out->last_checked, sizeof out->last_checked);
  take_text(reader, "licence", node, keys.licence, out->licence, sizeof out->licence);
  out->reference = (es_reference)keys.reference;
  out->reference_mhz = keys.reference_mhz;
  out->error_ppm = isnan(keys.error_ppm) ? USUAL_ERROR_PPM[out->reference] : keys.error_ppm;
  out->rules = keys.exposure_rules;
  read_factors(reader, keys.multiply, out);
}

void es_keying_read(const es_reader *reader, es_node node, const es_beacon *beacon, es_keying *out) {
  es_keying_keys keys;
  char locator[11] = "";
  es_read_section(reader, node, &es_keying_section, &keys);
  *out = (es_keying){.kind = (es_keying_kind)keys.kind,
                     .wpm = keys.wpm,
                     .shift_hz = keys.shift_hz,
                     .digital_s = keys.digital_s,
                     .carrier_s = keys.carrier_s,
                     .pause_s = keys.pause_s};
  if (!isnan(beacon->at.lon_deg)) es_locator_format(beacon->at, 6, locator, NULL);
  const char *call = beacon->call != NULL ? beacon->call : ""; /* NULL out of memory, which is told */
  snprintf(out->message, sizeof out->message, "%.60s%s%s", call, call[0] != '\0' ? " " : "", locator);
  take_text(reader, "message", node, keys.message, out->message, sizeof out->message);
  size_t unknown = es_morse_measure(out->message).unknown;
  if (keys.message != NULL && unknown > 0)
    es_note_add(reader->faults, reader->file, es_tree_line(reader->tree, node),
                "message=%s: %zu characters have no Morse code and are left out", keys.message, unknown);
}
