/* The user's table of lines: a loss is a number of 0 or more where the line is not refused. */
#include "fuzz.h"

#include <math.h>

#include "station/feeder.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  static const double freq_ghz[] = {1.0, 10.368, 24.048, 50.0};
  es_faults faults = {0};
  es_line_kinds lines = {0};
  bool ok = es_lines_read(fuzz_file("lines.csv", data, size), &lines, &faults);
  if (ok == (faults.n_faults > 0)) abort();
  for (size_t i = 0; ok && i < lines.n; i++) {
    const es_line_kind *line = &lines.items[i];
    if (es_line_find(&lines, line->id) == NULL) abort();
    for (size_t f = 0; f < sizeof freq_ghz / sizeof *freq_ghz; f++) {
      double loss = es_line_loss_db_m(line, freq_ghz[f]);
      bool none = line->form == ES_LINE_EACH || es_line_fit_at(line, freq_ghz[f]) == ES_LINE_REFUSED;
      if (none ? !isnan(loss) : !(loss >= 0.0)) abort();
    }
  }
  es_lines_free(&lines);
  es_faults_free(&faults);
  return 0;
}
