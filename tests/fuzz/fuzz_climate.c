/* The user's copy of a digital map: the first byte says which, the rest is the file; {N} at its start repeats the first
 * line, so that a whole map fits into few bytes. */
#include "fuzz.h"

#include <math.h>

#include "model/climate_maps.h"

enum { MOST = 1 << 20 };

/* "{121}1 2 3\n4" becomes 121 lines of "1 2 3" and then "4"; "3*5" within a line is left to the reader. */
static size_t unfold(const uint8_t *data, size_t size, char *out) {
  int times = 0, head = 0;
  char start[16] = "";
  memcpy(start, data, size < sizeof start - 1 ? size : sizeof start - 1);
  if (sscanf(start, "{%3d}%n", &times, &head) != 1 || head == 0 || times < 0) times = 0, head = 0;
  const uint8_t *line = data + head, *end = (size_t)head < size ? memchr(line, '\n', size - (size_t)head) : NULL;
  size_t length = end != NULL ? (size_t)(end - line) + 1 : 0, n = 0;
  for (int i = 1; i < times && n + length < MOST / 2; i++, n += length) memcpy(out + n, line, length);
  memcpy(out + n, line, size - (size_t)head);
  return n + size - (size_t)head;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  static const char *const names[] = {"DN50.txt", "h0.txt", "Esarain_Beta_v5.txt", "TropoClim.txt"};
  static char text[MOST];
  if (size < 1 || size > MOST / 2) return 0;
  const char *name = names[data[0] & 3];
  char path[128];
  snprintf(path, sizeof path, "%s", fuzz_file(name, text, unfold(data + 1, size - 1, text)));
  es_faults faults = {0};
  es_climate_maps *maps = es_climate_maps_open(fuzz_folder(), "job.yaml", &faults);
  if ((maps == NULL) != (faults.n_faults > 0)) abort();
  for (int key = 0; maps != NULL && key < ES_CLIMATE_KEYS; key++) {
    bool there = es_climate_maps_file(maps, (es_climate_key)key) != NULL;
    double value = es_climate_maps_value(maps, (es_climate_key)key, (es_lonlat){-36.0, 46.0});
    if (there != isfinite(value)) abort();
  }
  es_climate_maps_close(maps);
  es_faults_free(&faults);
  unlink(path);
  return 0;
}
