/* The list of what stands near the stations: what is kept has a top above its base and crosses some bearing or none. */
#include "fuzz.h"

#include <math.h>

#include "station/obstacle.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  es_faults faults = {0};
  es_obstacles list = {0};
  bool ok = es_obstacles_read(fuzz_file("obstacles.csv", data, size), &list, &faults);
  if (ok == (faults.n_faults > 0)) abort();
  for (size_t i = 0; i < list.n; i++) {
    const es_obstacle *o = &list.items[i];
    if (o->station == NULL || !isfinite(o->top_m) || !(o->depth_m >= 0.0) || !(o->distance_m >= 0.0)) abort();
    if (!es_obstacle_crossed(o, o->azimuth_from_deg)) abort();
  }
  es_obstacles_free(&list);
  es_faults_free(&faults);
  return 0;
}
