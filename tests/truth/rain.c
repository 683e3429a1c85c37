#include "rain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "common/p838.h"

typedef struct tables {
  es_text_table *links, *samples;
} tables;

static es_text_table *open_table(const char *folder, const char *name, es_faults *faults) {
  es_error err = {0};
  char *file = es_format("%s/%s", folder, name);
  es_text_table *table = file != NULL ? es_text_table_open(file, &err) : NULL;
  if (table == NULL) es_fault_add(faults, file, 0, "%s", err.detail);
  free(file);
  return table;
}

static const char *word(const es_text_table *t, size_t row, const char *column) {
  return es_text_table_cell(t, row, es_text_table_column(t, column));
}

static double number(const es_text_table *t, size_t row, const char *column, es_faults *faults) {
  double value = NAN;
  es_text_table_number(t, row, es_text_table_column(t, column), -1e3, 1e3, &value, faults);
  return value;
}

static size_t link_of(const es_text_table *links, const char *name) {
  for (size_t i = 0; i < es_text_table_rows(links); i++)
    if (strcmp(word(links, i, "link"), name) == 0) return i;
  return SIZE_MAX;
}

/* A level path: the links climb less than two degrees. */
static double predicted_db(const es_text_table *links, size_t link, double rain_mmh, es_faults *faults) {
  p838_linear linear = p838_at(number(links, link, "f_ghz", faults));
  double k, alpha, horizontal = word(links, link, "pol")[0] == 'H' ? 1.0 : -1.0;
  p838_path(&linear, 0.0, horizontal, &k, &alpha);
  return k * pow(rain_mmh, alpha) * number(links, link, "length_km", faults);
}

bool truth_rain_judge(const char *folder, truth_rain *out, es_faults *faults) {
  size_t before = faults->n_faults;
  tables t = {open_table(folder, "rain_links.csv", faults), open_table(folder, "rain_samples.csv", faults)};
  *out = (truth_rain){0};
  for (size_t i = 0; t.links != NULL && t.samples != NULL && i < es_text_table_rows(t.samples); i++) {
    size_t link = link_of(t.links, word(t.samples, i, "link"));
    if (link == SIZE_MAX) {
      es_fault_add(faults, "rain_samples.csv", es_text_table_line(t.samples, i), "no such link");
      continue;
    }
    out->samples++;
    out->measured_db += number(t.samples, i, "a_mean_db", faults);
    out->predicted_db += predicted_db(t.links, link, number(t.samples, i, "rain_mmh", faults), faults);
  }
  if (t.links != NULL) out->links = es_text_table_rows(t.links);
  es_text_table_close(t.links);
  es_text_table_close(t.samples);
  return faults->n_faults == before;
}
