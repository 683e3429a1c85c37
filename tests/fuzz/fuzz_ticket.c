/* What a folder keeps of a finished map: the bytes up to the first 0 are the ticket, the rest is every raster. NEED in the
 * ticket stands for the number that is asked for, SEAL for size and checksum of the raster, so that a change of a few bytes
 * comes past both. A map is found only when the ticket seals all its layers, its counts are those of its cells, and the
 * rasters are GeoTIFFs: another format could name files elsewhere. */
#include "fuzz.h"

#include <inttypes.h>

#include "base/checksum.h"
#include "run/folder.h"
#include "run/rasters.h"

enum { COLS = 3, ROWS = 2, MOST = 1 << 16 };
static const char *const rasters[] = {"map-snr-p50-x.tif", "map-loss-p50-x.tif", "map-sight-x.tif"};
static const es_map_need need = {0x0123456789abcdef, "89ABCDEF"};

/* `text` with what NEED and SEAL stand for; false: no room. */
static bool unfold(const uint8_t *text, size_t size, const char *number, const char *seal, char *out, size_t *length) {
  *length = 0;
  for (size_t i = 0, step; i < size; i += step) {
    const char *word = NULL;
    if (size - i >= 4 && memcmp(text + i, "NEED", 4) == 0) word = number;
    if (size - i >= 4 && memcmp(text + i, "SEAL", 4) == 0) word = seal;
    size_t n = word != NULL ? strlen(word) : 1;
    if (*length + n > MOST) return false;
    memcpy(out + *length, word != NULL ? word : (const char *)text + i, n);
    *length += n;
    step = word != NULL ? 4 : 1;
  }
  return true;
}

static void check_found(const es_map_layers *map, const char *ticket, size_t length, const uint8_t *raster, size_t n) {
  if (map->los == NULL || map->snr_db[0] == NULL || map->loss_db[0] == NULL) abort();
  if (map->missing > map->n_cells || map->outside > map->n_cells || map->failed > map->n_cells) abort();
  if (n < 8 || (memcmp(raster, "II", 2) != 0 && memcmp(raster, "MM", 2) != 0)) abort();
  if (memmem(ticket, length, "0123456789abcdef", 16) == NULL) abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  static char ticket[MOST];
  double percent = 50.0;
  es_job job = {.time_percent = &percent, .n_time_percent = 1};
  es_setup setup = {.job = &job, .highest_percent = 100.0, .frame = {.cols = COLS, .rows = ROWS}};
  es_scenario scenario = {.name = (char[]){"x"}};
  const uint8_t *cut = size > 0 ? memchr(data, 0, size) : NULL;
  size_t head = cut != NULL ? (size_t)(cut - data) : size, rest = cut != NULL ? size - head - 1 : 0;
  size_t length;
  const uint8_t *raster = data + size - rest;
  char number[32], seal[64], hidden[128];
  snprintf(number, sizeof number, "\"%016" PRIx64 "\"", need.key);
  snprintf(seal, sizeof seal, "[%zu,\"%016" PRIx64 "\"]", rest, es_checksum(raster, rest));
  if (!unfold(data, head, number, seal, ticket, &length)) return 0;
  snprintf(hidden, sizeof hidden, "%s/" ES_HIDDEN_FOLDER, fuzz_folder());
  mkdir(hidden, 0777);
  fuzz_file(ES_HIDDEN_FOLDER "/map-x.json", ticket, length);
  for (size_t i = 0; i < sizeof rasters / sizeof *rasters; i++) fuzz_file(rasters[i], raster, rest);
  es_raster_place place = {&setup, &scenario, &need, fuzz_folder(), 1};
  es_map_layers map = {0};
  es_error err = {0};
  bool found;
  if (es_rasters_read(&place, COLS * ROWS, &map, &found, &err) != 0) abort();
  if (found) check_found(&map, ticket, length, raster, rest);
  if (!found && (map.los != NULL || map.n_cells != 0)) abort();
  es_map_layers_free(&map);
  return 0;
}
