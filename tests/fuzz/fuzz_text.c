/* Tables of text: every cell is there, every number is a number or a fault. */
#include "fuzz.h"

#include <math.h>

#include "base/text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  es_error err = {0};
  es_text_table *t = es_text_table_parse("table.csv", (const char *)data, size, &err);
  if (t == NULL) return 0;
  es_faults faults = {0};
  size_t length = 0;
  for (size_t r = 0; r < es_text_table_rows(t); r++)
    for (size_t c = 0; c < 4; c++) {
      double value;
      length += strlen(es_text_table_cell(t, r, c));
      bool ok = es_text_table_number(t, r, c, -10.0, 10.0, &value, &faults);
      if (ok && !isnan(value) && !(value >= -10.0 && value <= 10.0)) abort();
      if (es_text_table_line(t, r) < 1) abort();
    }
  if (length > size) abort();
  es_text_table_column(t, "name");
  es_faults_free(&faults);
  es_text_table_close(t);
  return 0;
}
