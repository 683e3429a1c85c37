/* The same input gives the same bytes: again, with any number of threads, in feet or metres, in tiles or in one file. */
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "batch.h"

static int open_batch(void **state) {
  static batch b;
  batch_open(&b);
  *state = &b;
  return 0;
}

static int close_batch(void **state) {
  batch_close(*state);
  return 0;
}

/* --- bytes ------------------------------------------------------------------------------------------------------------ */

static char *bytes_of(const char *path, size_t *n) {
  FILE *file = fopen(path, "rb");
  if (file == NULL) fail_msg("%s is not there", path);
  fseek(file, 0, SEEK_END);
  *n = (size_t)ftell(file);
  rewind(file);
  char *bytes = malloc(*n + 1);
  assert_non_null(bytes);
  assert_int_equal(fread(bytes, 1, *n, file), *n);
  fclose(file);
  return bytes;
}

static void assert_same_file(const char *a, const char *b) {
  size_t n, m;
  char *one = bytes_of(a, &n), *other = bytes_of(b, &m);
  if (n != m || memcmp(one, other, n) != 0) fail_msg("%s and %s differ", a, b);
  free(one);
  free(other);
}

static int is_answer(const struct dirent *e) { return e->d_name[0] != '.' && strcmp(e->d_name, "run-log.json") != 0; }

/* Every file in both folders, run-log.json aside, which holds times. Returns how many were compared. */
static size_t assert_same_folder(const char *a, const char *b) {
  struct dirent **in_a, **in_b;
  int n = scandir(a, &in_a, is_answer, alphasort), m = scandir(b, &in_b, is_answer, alphasort);
  size_t files = 0;
  assert_true(n > 0);
  assert_int_equal(n, m);
  for (int i = 0; i < n; i++) {
    char one[1024], other[1024];
    struct stat s;
    assert_string_equal(in_a[i]->d_name, in_b[i]->d_name);
    snprintf(one, sizeof one, "%s/%s", a, in_a[i]->d_name);
    snprintf(other, sizeof other, "%s/%s", b, in_b[i]->d_name);
    assert_int_equal(stat(one, &s), 0);
    if (S_ISDIR(s.st_mode))
      files += assert_same_folder(one, other);
    else
      assert_same_file(one, other), files++;
    free(in_a[i]);
    free(in_b[i]);
  }
  free(in_a);
  free(in_b);
  return files;
}

/* --- jobs ------------------------------------------------------------------------------------------------------------- */

static const char *write_job(batch *b, const char *name, const char *ground, const char *chain, const char *more) {
  char file[64];
  snprintf(file, sizeof file, "%s.yaml", name);
  batch_write(b, "who.csv",
              "name,lon,lat,height_m,mode\nQ1AAA,-36.2,46.6,10,cw\nQ1BBB,-36.05,46.5,2,ssb\nQ1CCC,-36.18,46.47,,\n");
  return batch_write(b, file,
                     "beacon:\n"
                     "  name: Test\n"
                     "  position: [-36.1234, 46.5678]\n"
                     "  frequency_mhz: 10368\n"
                     "  antenna: {gain_dbi: 10, height_m: 18}\n"
                     "  power: {at_amplifier_dbm: 20}\n"
                     "listeners: who.csv\n"
                     "ground: {elevation: %s, vertical_datum: invented}\n"
                     "chain: %s\n"
                     "map: {radius_km: 12, cell_m: 200}\n"
                     "%s",
                     ground, chain, more);
}

static const char *tiles(void) {
  static char path[1024];
  assert_non_null(realpath("terrain-samples/elevation", path));
  return path;
}

static void threads_and_repetition(void **state) {
  const char *job = write_job(*state, "again", tiles(), "whole-year", "time_percent: [1, 50, 99]\n");
  batch_run(*state, job, "one", 1);
  for (int threads = 1; threads <= 4; threads++) { /* the first is the repetition */
    char out[16];
    snprintf(out, sizeof out, "by-%d", threads);
    batch_run(*state, job, out, threads);
    size_t n = assert_same_folder(batch_path(*state, "one"), batch_path(*state, out));
    assert_true(n >= 2 + 3 + 1 + 6 + 1 + 3 + 2); /* tables, paths, record, layers of percentages, sight, ways, sheets */
  }
}

/* A run into a folder that holds the answers already replaces them by the same. */
static void the_same_folder_again(void **state) {
  const char *job = write_job(*state, "over", tiles(), "diffraction", "");
  batch_run(*state, job, "first", 2);
  batch_run(*state, job, "second", 2);
  batch_run(*state, job, "second", 1);
  assert_same_folder(batch_path(*state, "first"), batch_path(*state, "second"));
}

/* Pixels of the layers and the table are equal; the record names other files. */
static void assert_same_answers(batch *b, const char *one, const char *other) {
  static const char *const layers[] = {"map-loss-p50-18m-20dbm.tif", "map-sight-18m-20dbm.tif"};
  char a[128], c[128];
  for (size_t i = 0; i < 2; i++) {
    layer x, y;
    snprintf(a, sizeof a, "%s/%s", one, layers[i]);
    snprintf(c, sizeof c, "%s/%s", other, layers[i]);
    layer_read(&x, batch_path(b, a));
    layer_read(&y, batch_path(b, c));
    assert_int_equal(x.cols, y.cols);
    assert_int_equal(x.rows, y.rows);
    size_t n = (size_t)x.cols * (size_t)x.rows, answers = 0;
    for (size_t k = 0; k < n; k++) {
      if (isnan(x.value[k]) != isnan(y.value[k])) fail_msg("%s: cell %zu is there in one only", layers[i], k);
      if (isnan(x.value[k])) continue;
      assert_near(x.value[k], y.value[k], 1e-4);
      answers++;
    }
    assert_true(answers > n / 2);
    layer_fini(&x);
    layer_fini(&y);
  }
  snprintf(a, sizeof a, "%s/listeners.csv", one);
  snprintf(c, sizeof c, "%s/listeners.csv", other);
  assert_same_file(batch_path(b, a), batch_path(b, c));
}

/* The four tiles pasted together: 2401 x 2401, the shared rows and columns once. */
static void paste_tiles(layer *all) {
  static const char *const names[2][2] = {{"N47W037", "N47W036"}, {"N46W037", "N46W036"}};
  *all = (layer){.cols = 2401, .rows = 2401, .value = malloc(sizeof(float) * 2401 * 2401)};
  assert_non_null(all->value);
  for (int down = 0; down < 2; down++)
    for (int across = 0; across < 2; across++) {
      char path[128];
      layer tile;
      snprintf(path, sizeof path, "terrain-samples/elevation/%s.tif", names[down][across]);
      layer_read(&tile, path);
      assert_int_equal(tile.cols, 1201);
      for (int r = 0; r < 1201; r++)
        memcpy(all->value + (size_t)(1200 * down + r) * 2401 + (size_t)(1200 * across), tile.value + (size_t)r * 1201,
               1201 * sizeof(float));
      if (down == 0 && across == 0) {
        memcpy(all->gt, tile.gt, sizeof all->gt);
        all->wkt = strdup(tile.wkt);
      }
      layer_fini(&tile);
    }
}

static void tiles_or_one_file(void **state) {
  layer all;
  paste_tiles(&all);
  layer_write(&all, batch_path(*state, "all.tif"));
  layer_fini(&all);
  batch_run(*state, write_job(*state, "tiles", tiles(), "diffraction", ""), "tiles", 2);
  batch_run(*state, write_job(*state, "whole", "all.tif", "diffraction", ""), "whole", 2);
  assert_same_answers(*state, "tiles", "whole");
}

static void feet_or_metres(void **state) {
  layer all;
  paste_tiles(&all);
  size_t n = (size_t)all.cols * (size_t)all.rows;
  for (size_t i = 0; i < n; i++) all.value[i] = (float)(all.value[i] / 0.3048);
  layer_write(&all, batch_path(*state, "feet.tif"));
  for (size_t i = 0; i < n; i++) all.value[i] = (float)(all.value[i] * 0.3048); /* what those feet are, rounded too */
  layer_write(&all, batch_path(*state, "metres.tif"));
  layer_fini(&all);
  batch_run(*state, write_job(*state, "feet", "feet.tif, units: feet", "diffraction", ""), "feet", 2);
  batch_run(*state, write_job(*state, "metres", "metres.tif", "diffraction", ""), "metres", 2);
  assert_same_answers(*state, "feet", "metres");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(threads_and_repetition),
      cmocka_unit_test(the_same_folder_again),
      cmocka_unit_test(tiles_or_one_file),
      cmocka_unit_test(feet_or_metres),
  };
  return cmocka_run_group_tests_name("same answers", tests, open_batch, close_batch);
}
