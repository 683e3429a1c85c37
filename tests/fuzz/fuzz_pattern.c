/* A measured antenna: whatever is accepted has a finite gain in every direction. */
#include "fuzz.h"

#include <math.h>

#include "station/antenna.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  es_faults faults = {0};
  es_antenna antenna;
  if (es_pattern_read(fuzz_file("pattern.csv", data, size), &antenna, &faults)) {
    if (isnan(antenna.peak_dbi)) antenna.peak_dbi = 10.0;
    for (int k = -8; k <= 8; k++)
      if (!isfinite(es_antenna_gain(&antenna, 10.0, 0.4 * k, 0.19 * k, 0.0))) abort();
    es_antenna_fini(&antenna);
  } else if (faults.n_faults == 0) {
    abort(); /* refused without a word */
  }
  es_faults_free(&faults);
  return 0;
}
