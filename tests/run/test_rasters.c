/* A finished map comes back to the bit, and only while every word of its ticket holds. */
#include "run/rasters.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/checksum.h"
#include "base/text.h"
#include "batch.h"
#include "run/folder.h"

enum { COLS = 5, ROWS = 4, CELLS = COLS * ROWS };

typedef struct kept {
  batch b;
  double percent[2];
  es_job job;
  es_setup setup;
  es_scenario scenario;
  es_map_need need;
  es_raster_place place;
} kept;

/* A map of a chain with time, written. */
static int keep(void **state) {
  kept *k = calloc(1, sizeof *k);
  assert_non_null(k);
  *state = k;
  batch_open(&k->b);
  k->percent[0] = 1.0, k->percent[1] = 50.0;
  k->job = (es_job){.time_percent = k->percent, .n_time_percent = 2};
  k->setup = (es_setup){.job = &k->job, .timed = true, .highest_percent = 100.0};
  es_error err = {0};
  assert_int_equal(es_frame_about_beacon((es_lonlat){-36.1, 46.5}, 300.0, 150.0, &k->setup.frame, &err), 0);
  assert_int_equal(k->setup.frame.cols, COLS);
  k->setup.frame.rows = ROWS;
  k->scenario.name = strdup("18m-27dbm");
  k->need = (es_map_need){0xfedcba9876543210, "89ABCDEF"};
  k->place = (es_raster_place){&k->setup, &k->scenario, &k->need, k->b.folder, 1};

  es_map_layers map;
  assert_true(es_map_layers_create(&k->setup, CELLS, &map));
  float *list[ES_MAP_LAYERS + 1];
  size_t n = es_map_layers_list(&map, list);
  assert_int_equal(n, 8);
  for (size_t l = 0; l < n; l++)
    for (size_t c = 0; c < CELLS; c++) list[l][c] = c == l ? NAN : (float)(100 * l + c) + 0.1f;
  map.missing = 3, map.outside = 0, map.failed = CELLS;
  assert_int_equal(es_rasters_write(&k->place, &map, &err), 0);
  es_map_layers_free(&map);
  return 0;
}

static int drop(void **state) {
  kept *k = *state;
  es_frame_fini(&k->setup.frame);
  batch_close(&k->b);
  free(k->scenario.name);
  free(k);
  return 0;
}

static bool is_found(kept *k, es_map_layers *map) {
  bool found;
  es_error err = {0};
  assert_int_equal(es_rasters_read(&k->place, CELLS, map, &found, &err), 0);
  if (!found) assert_null(map->los);
  return found;
}

static bool found(kept *k) {
  es_map_layers map = {0};
  bool is = is_found(k, &map);
  es_map_layers_free(&map);
  return is;
}

static json_t *ticket(kept *k) {
  json_t *json = json_load_file(batch_path(&k->b, ES_HIDDEN_FOLDER "/map-18m-27dbm.json"), 0, NULL);
  assert_non_null(json);
  return json;
}

/* Writes another ticket, taken over. */
static void exchange(kept *k, json_t *json) {
  assert_int_equal(json_dump_file(json, batch_path(&k->b, ES_HIDDEN_FOLDER "/map-18m-27dbm.json"), 0), 0);
  json_decref(json);
}

static void comes_back(void **state) {
  kept *k = *state;
  es_map_layers map;
  assert_true(is_found(k, &map));
  float *list[ES_MAP_LAYERS + 1];
  size_t n = es_map_layers_list(&map, list);
  assert_int_equal(n, 8);
  for (size_t l = 0; l < n; l++)
    for (size_t c = 0; c < CELLS; c++)
      assert_true(c == l ? isnan(list[l][c]) : list[l][c] == (float)(100 * l + c) + 0.1f);
  assert_int_equal(map.missing, 3);
  assert_int_equal(map.outside, 0);
  assert_int_equal(map.failed, CELLS);
  es_map_layers_free(&map);
}

static void of_another_need(void **state) {
  kept *k = *state;
  k->need.key ^= 1;
  assert_false(found(k));
  k->need.key ^= 1;
  assert_true(found(k));
}

static void torn_or_gone(void **state) {
  kept *k = *state;
  const char *path = batch_path(&k->b, ES_HIDDEN_FOLDER "/map-18m-27dbm.json");
  struct stat s;
  assert_int_equal(stat(path, &s), 0);
  for (off_t size = s.st_size - 3; size >= 0; size -= 7) {
    assert_int_equal(truncate(path, size), 0);
    assert_false(found(k));
  }
  assert_int_equal(unlink(path), 0);
  assert_false(found(k));
}

static void counts_that_cannot_be(void **state) {
  kept *k = *state;
  static const char *const bad[] = {"[-1,0,0]", "[0,21,0]",   "[0,0,9223372036854775807]", "[0,0]", "[0,0,1.5]", "{}",
                                    "null",     "[0,0,\"1\"]"};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    json_t *json = ticket(k);
    assert_int_equal(json_object_set_new(json, "counts", json_loads(bad[i], JSON_DECODE_ANY, NULL)), 0);
    exchange(k, json);
    assert_false(found(k));
  }
  json_t *json = ticket(k);
  json_object_set_new(json, "counts", json_loads("[20,0,20]", 0, NULL));
  exchange(k, json);
  assert_true(found(k));
}

static void a_raster_changed_or_gone(void **state) {
  kept *k = *state;
  const char *path = batch_path(&k->b, "map-way-best-18m-27dbm.tif");
  FILE *file = fopen(path, "r+b");
  assert_non_null(file);
  assert_int_equal(fseek(file, -1, SEEK_END), 0);
  int last = fgetc(file);
  assert_int_equal(fseek(file, -1, SEEK_END), 0);
  assert_int_equal(fputc(last ^ 1, file), last ^ 1);
  assert_int_equal(fclose(file), 0);
  assert_false(found(k));
  assert_int_equal(unlink(path), 0);
  assert_false(found(k));
}

/* Sealed as it should be, and still not taken: a raster of another format could name files elsewhere. */
static void sealed_but_of_another_format(void **state) {
  kept *k = *state;
  const char *path = batch_write(&k->b, "map-sight-18m-27dbm.tif",
                                 "ncols %d\nnrows %d\nxllcorner 0\nyllcorner 0\ncellsize 150\n"
                                 "1 1 1 1 1\n1 1 1 1 1\n1 1 1 1 1\n1 1 1 1 1\n",
                                 COLS, ROWS);
  uint64_t sum, bytes;
  assert_int_equal(es_checksum_file(path, &sum, &bytes, NULL), 0);
  char *text = es_format("%016llx", (unsigned long long)sum);
  json_t *json = ticket(k);
  json_object_set_new(json_object_get(json, "rasters"), "sight", json_pack("[I,s]", (json_int_t)bytes, text));
  exchange(k, json);
  free(text);
  assert_false(found(k));
  layer as_gdal_sees_it;
  layer_read(&as_gdal_sees_it, path); /* it is a raster, only not one of ours */
  assert_int_equal(as_gdal_sees_it.cols, COLS);
  layer_fini(&as_gdal_sees_it);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(comes_back, keep, drop),
      cmocka_unit_test_setup_teardown(of_another_need, keep, drop),
      cmocka_unit_test_setup_teardown(torn_or_gone, keep, drop),
      cmocka_unit_test_setup_teardown(counts_that_cannot_be, keep, drop),
      cmocka_unit_test_setup_teardown(a_raster_changed_or_gone, keep, drop),
      cmocka_unit_test_setup_teardown(sealed_but_of_another_format, keep, drop),
  };
  return cmocka_run_group_tests_name("rasters", tests, NULL, NULL);
}
