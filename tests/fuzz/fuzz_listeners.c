/* A list of listeners as CSV: each one kept stands somewhere and has numbers. */
#include "fuzz.h"

#include <math.h>

#include "job/receiver.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  static es_modes modes;
  es_faults faults = {0};
  if (modes.n == 0 && !es_modes_builtin(&modes, &faults)) abort();
  es_receiver usual = es_receiver_usual(10.0);
  es_listeners list;
  bool ok = es_listeners_read(fuzz_file("list.csv", data, size), NULL, &usual, 10.0, &modes, &list, &faults);
  if (ok == (faults.n_faults > 0)) abort();
  for (size_t i = 0; i < list.n; i++) {
    const es_listener *l = &list.items[i];
    if (!(fabs(l->at.lon_deg) <= 180.0 && fabs(l->at.lat_deg) <= 90.0 && l->rx.height_m >= 0.0) || l->name == NULL)
      abort();
  }
  es_listeners_free(&list);
  es_faults_free(&faults);
  return 0;
}
