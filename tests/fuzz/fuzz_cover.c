/* The user's table of what stands on each class of cover: what is kept is a height and a share. */
#include "fuzz.h"

#include <math.h>

#include "ground/cover_table.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  es_faults faults = {0};
  es_cover_table table = {0};
  bool ok = es_cover_table_read(fuzz_file("cover.csv", data, size), &table, &faults);
  if (ok == (faults.n_faults > 0)) abort();
  for (size_t i = 0; ok && i < ES_COVER_CLASSES; i++) {
    const es_cover_class *c = &table.of[i];
    if (!(c->height_m >= 0.0 && isfinite(c->height_m) && c->base_m >= 0.0 && c->density >= 0.0 && c->density <= 1.0))
      abort();
  }
  es_faults_free(&faults);
  return 0;
}
