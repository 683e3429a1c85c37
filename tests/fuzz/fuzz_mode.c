/* The user's table of modes. */
#include "fuzz.h"

#include <math.h>

#include "station/mode.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  es_faults faults = {0};
  es_modes modes = {0};
  bool ok = es_modes_read(fuzz_file("modes.csv", data, size), &modes, &faults);
  if (ok == (faults.n_faults > 0)) abort();
  for (size_t i = 0; i < modes.n; i++)
    if (!isfinite(modes.items[i].snr_2500_db) || es_mode_find(&modes, modes.items[i].id) == NULL) abort();
  es_modes_free(&modes);
  es_faults_free(&faults);
  return 0;
}
