/* The listener's way against the map's way: 500 listeners in the middle of cells, each with a line of its own, against what
 * the fan of radials says of those cells. They differ by where the radial crosses a cell: at most half a cell beside. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "batch.h"
#include "place/frame.h"

enum { LISTENERS = 500 };
static const es_lonlat beacon = {-36.1234, 46.5678};
static const double CELL_M = 200.0;

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

static uint32_t next_random(uint32_t *seed) { return *seed = *seed * 1664525u + 1013904223u; }

/* Cells drawn at random over the disc, from five cells outward; the list, and offsets (east, north) of each. */
static void place_listeners(batch *b, double radius_km, double offsets[LISTENERS][2]) {
  const char *path = batch_path(b, "cells.csv");
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  fputs("name,lon,lat\n", file);
  uint32_t seed = 20;
  double reach = radius_km * 1e3 / CELL_M;
  for (int i = 0; i < LISTENERS;) {
    double east = floor((next_random(&seed) / 4294967296.0 * 2.0 - 1.0) * reach);
    double north = floor((next_random(&seed) / 4294967296.0 * 2.0 - 1.0) * reach);
    if (hypot(east, north) > reach || hypot(east, north) < 5.0) continue;
    offsets[i][0] = east * CELL_M;
    offsets[i][1] = north * CELL_M;
    double turn = atan2(east, north) * 57.29577951308232;
    es_lonlat at = es_geodesic_ahead(beacon, turn, hypot(east, north) * CELL_M);
    fprintf(file, "Q%03d,%.9f,%.9f\n", i++, at.lon_deg, at.lat_deg);
  }
  assert_int_equal(fclose(file), 0);
}

static int rising(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double column(const es_text_table *table, size_t row, const char *name) {
  double value = NAN;
  es_faults faults = {0};
  es_text_table_number(table, row, es_text_table_column(table, name), -1e9, 1e9, &value, &faults);
  es_faults_free(&faults);
  return value;
}

/* Every cell within the radius, its own middle on its rim too, but for the beacon's. */
static void assert_no_hole(const layer *map, double radius_km) {
  int reach = (int)floor(radius_km * 1e3 / CELL_M);
  for (int north = -reach; north <= reach; north++)
    for (int east = -reach; east <= reach; east++)
      if ((north != 0 || east != 0) && CELL_M * hypot(east, north) < radius_km * 1e3 - 1.0 &&
          !isfinite(layer_at(map, east * CELL_M, north * CELL_M)))
        fail_msg("no answer %g m east, %g m north", east * CELL_M, north * CELL_M);
}

static void check_chain(batch *b, const char *chain, double radius_km) {
  double offsets[LISTENERS][2], gap_db[LISTENERS];
  char job[64], out[64], name[128];
  place_listeners(b, radius_km, offsets);
  snprintf(job, sizeof job, "%s.yaml", chain);
  snprintf(out, sizeof out, "out-%s", chain);
  char here[1024];
  assert_non_null(realpath("terrain-samples", here));
  const char *path = batch_write(b, job,
                                 "beacon:\n"
                                 "  name: Test\n"
                                 "  position: [%.12f, %.12f]\n"
                                 "  frequency_mhz: 10368\n"
                                 "  antenna: {gain_dbi: 0, height_m: 18}\n"
                                 "  power: {at_amplifier_dbm: 20}\n"
                                 "listeners: cells.csv\n"
                                 "ground: {elevation: %s/elevation, mask: %s/land.geojson, vertical_datum: invented}\n"
                                 "chain: %s\n"
                                 "map: {radius_km: %g, cell_m: %g}\n",
                                 beacon.lon_deg, beacon.lat_deg, here, here, chain, radius_km, CELL_M);
  batch_run(b, path, out, 2);
  layer loss, sight;
  snprintf(name, sizeof name, "%s/map-loss-p50-18m-20dbm.tif", out);
  layer_read(&loss, batch_path(b, name));
  snprintf(name, sizeof name, "%s/map-sight-18m-20dbm.tif", out);
  layer_read(&sight, batch_path(b, name));
  snprintf(name, sizeof name, "%s/listeners.csv", out);
  es_text_table *table = es_text_table_open(batch_path(b, name), NULL);
  assert_non_null(table);
  assert_int_equal(es_text_table_rows(table), LISTENERS);
  assert_no_hole(&loss, radius_km);
  size_t same_sight = 0;
  double mean = 0.0;
  for (size_t i = 0; i < LISTENERS; i++) {
    double own = column(table, i, "basic_loss_db"), map = layer_at(&loss, offsets[i][0], offsets[i][1]);
    assert_true(isfinite(own) && isfinite(map)); /* no cell of this map is without an answer */
    gap_db[i] = fabs(own - map);
    mean += (own - map) / LISTENERS;
    bool seen = strcmp(es_text_table_cell(table, i, es_text_table_column(table, "line_of_sight")), "yes") == 0;
    same_sight += seen == (layer_at(&sight, offsets[i][0], offsets[i][1]) > 0.5f);
  }
  qsort(gap_db, LISTENERS, sizeof *gap_db, rising);
  double median = gap_db[LISTENERS / 2], most = gap_db[LISTENERS * 95 / 100];
  print_message("%s: listener against cell: median %.2f dB, 95 %% within %.2f dB, largest %.2f dB, mean %+.2f dB; "
                "sight the same for %.1f %%\n",
                chain, median, most, gap_db[LISTENERS - 1], mean, 100.0 * (double)same_sight / LISTENERS);
  assert_true(median <= 0.1);
  assert_true(most <= 1.5);
  assert_true(fabs(mean) <= 0.3); /* no lean to either side */
  assert_true(same_sight >= LISTENERS * 98 / 100);
  es_text_table_close(table);
  layer_fini(&loss);
  layer_fini(&sight);
}

static void diffraction(void **state) { check_chain(*state, "diffraction", 60.0); }
static void whole_year(void **state) { check_chain(*state, "whole-year", 25.0); }

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(diffraction), cmocka_unit_test(whole_year)};
  return cmocka_run_group_tests_name("listeners against cells", tests, open_batch, close_batch);
}
