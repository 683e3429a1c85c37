/* Scenarios side by side: what the pictures and lists of a pair say is what the maps and answers of the two say. */
#include <jansson.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "batch.h"

static const es_lonlat near_site = {-36.15, 46.55};
static const char NEAR_WEAK[] = "near-10m-minus60dbm", NEAR_STRONG[] = "near-10m-minus40dbm",
                  FAR_WEAK[] = "far-10m-minus60dbm";

/* One run for all tests: two sites 1.9 km apart, two powers 20 dB apart. */
static int run_once(void **state) {
  static batch b;
  *state = &b;
  batch_open(&b);
  enum { SIDE = 40 };
  layer hill = {.cols = SIDE, .rows = SIDE, .gt = {-36.2, 0.0025, 0.0, 46.6, 0.0, -0.0025}};
  hill.value = malloc(sizeof *hill.value * SIDE * SIDE);
  assert_non_null(hill.value);
  for (int r = 0; r < SIDE; r++)
    for (int c = 0; c < SIDE; c++)
      hill.value[r * SIDE + c] = (float)(60.0 + 50.0 * sin(c / 5.0) * cos(r / 7.0) + (c * 7 + r * 13) % 11);
  layer_write(&hill, batch_path(&b, "hill.tif"));
  free(hill.value);
  batch_write(&b, "list.csv",
              "name,lon,lat,height_m\nQ1AB,-36.1778,46.52,10\nQ2AB,-36.1556,46.54,10\n"
              "Q3AB,-36.1333,46.56,10\n\"Q4, portable\",-36.11,46.515,2\nQ5AB,-36.10,46.51,10\n");
  const char *job =
      batch_write(&b, "job.yaml",
                  "beacon:\n  name: Two Hills\n  position: [%.2f, %.2f]\n  frequency_mhz: 10368\n"
                  "  polarisation: horizontal\n  antenna: {gain_dbi: 10}\nlisteners: list.csv\n"
                  "ground: {elevation: hill.tif, crs: \"EPSG:4326\", vertical_datum: invented}\n"
                  "vary:\n  height_m: [10]\n  power_dbm: [-60, -40]\n  site:\n"
                  "    - {name: near, position: [%.2f, %.2f]}\n    - {name: far, position: [-36.13, 46.56]}\n"
                  "chain: diffraction\nmap: {radius_km: 3, cell_m: 200, receiver: {height_m: 10, mode: cw}}\n"
                  "compare:\n  - {from: %s, to: %s}\n  - {from: %s, to: %s}\n"
                  "  - {from: %s, to: %s}\n  - {from: %s, to: %s}\n",
                  near_site.lon_deg, near_site.lat_deg, near_site.lon_deg, near_site.lat_deg, NEAR_WEAK, NEAR_STRONG,
                  NEAR_STRONG, NEAR_WEAK, NEAR_WEAK, FAR_WEAK, FAR_WEAK, NEAR_WEAK);
  batch_run(&b, job, "out", 2);
  return 0;
}

static int drop(void **state) {
  batch_close(*state);
  return 0;
}

static layer read_layer(batch *b, const char *kind, const char *name) {
  char *path = es_format("out/%s%s.tif", kind, name);
  layer l;
  layer_read(&l, batch_path(b, path));
  free(path);
  return l;
}

/* More power changes every cell by as much, and turned round every value changes its sign. */
static void power_on_maps(void **state) {
  layer up = read_layer(*state, "compare-", "01"), down = read_layer(*state, "compare-", "02");
  layer snr = read_layer(*state, "map-snr-p50-", NEAR_WEAK);
  assert_int_equal(up.cols, snr.cols);
  assert_int_equal(up.rows, snr.rows);
  int answered = 0;
  for (int i = 0; i < up.cols * up.rows; i++) {
    assert_int_equal(isnan(up.value[i]), isnan(snr.value[i]));
    assert_int_equal(isnan(down.value[i]), isnan(snr.value[i]));
    if (isnan(snr.value[i])) continue;
    assert_near(up.value[i], 20.0, 1e-4);
    assert_true(down.value[i] == -up.value[i]);
    answered++;
  }
  assert_true(answered > up.cols * up.rows / 2);
  layer_fini(&up);
  layer_fini(&down);
  layer_fini(&snr);
}

/* Between two sites: on the plane of one of them, the other's map is read where the place lies by PROJ. */
static void sites_on_maps(void **state) {
  layer change = read_layer(*state, "compare-", "03"), back = read_layer(*state, "compare-", "04");
  layer near_map = read_layer(*state, "map-snr-p50-", NEAR_WEAK),
        far_map = read_layer(*state, "map-snr-p50-", FAR_WEAK);
  assert_string_equal(change.wkt, far_map.wkt); /* the later scenario's */
  assert_string_not_equal(change.wkt, near_map.wkt);
  OGRSpatialReferenceH from = OSRNewSpatialReference(change.wkt), to = OSRNewSpatialReference(near_map.wkt);
  OGRCoordinateTransformationH turn = OCTNewCoordinateTransformation(from, to);
  assert_non_null(turn);
  int answered = 0, other_cell = 0;
  for (int row = 0; row < change.rows; row++)
    for (int col = 0; col < change.cols; col++) {
      int i = row * change.cols + col;
      double x = change.gt[0] + (col + 0.5) * change.gt[1], y = change.gt[3] + (row + 0.5) * change.gt[5];
      assert_true(OCTTransform(turn, 1, &x, &y, NULL));
      float want = far_map.value[i] - layer_at(&near_map, x, y), got = change.value[i];
      bool same = isnan(want) ? isnan(got) != 0 : fabsf(got - want) < 1e-4f;
      answered += !isnan(got);
      other_cell += !same; /* a place on the line between two cells */
      assert_true(isnan(got) ? isnan(back.value[i]) != 0 : back.value[i] == -got);
    }
  assert_true(answered > change.cols * change.rows / 4);
  if (other_cell > change.cols * change.rows / 200) fail_msg("%d of %d cells differ", other_cell, answered);
  OCTDestroyCoordinateTransformation(turn);
  OSRDestroySpatialReference(from);
  OSRDestroySpatialReference(to);
  layer_fini(&change);
  layer_fini(&back);
  layer_fini(&near_map);
  layer_fini(&far_map);
}

/* --- lists ------------------------------------------------------------------------------------------------------------ */

static es_text_table *table(batch *b, const char *name) {
  es_error err = {0};
  es_text_table *t = es_text_table_open(batch_path(b, name), &err);
  if (t == NULL) fail_msg("%s", err.detail);
  return t;
}

static double number(const es_text_table *t, size_t row, const char *column) {
  const char *text = es_text_table_cell(t, row, es_text_table_column(t, column));
  return text[0] != '\0' ? atof(text) : NAN;
}

static bool same(double a, double b) { return a == b || (isnan(a) && isnan(b)); }

static bool names_hold(const json_t *list, const char *name) {
  size_t i;
  json_t *one;
  json_array_foreach(list, i, one) if (strcmp(json_string_value(json_object_get(one, "name")), name) == 0) return true;
  return false;
}

/* Both files of a pair: SNRs are those of listeners.csv, the word follows from the chances, JSON names the same. */
static void check_pair(batch *b, const char *stem, const char *from, const char *to, size_t *gained, size_t *lost) {
  char *csv = es_format("out/%s.csv", stem), *json = es_format("out/%s.json", stem);
  es_text_table *pair = table(b, csv), *all = table(b, "out/listeners.csv");
  json_t *record = json_load_file(batch_path(b, json), 0, NULL);
  assert_non_null(record);
  assert_string_equal(json_string_value(json_object_get(record, "from")), from);
  assert_string_equal(json_string_value(json_object_get(record, "to")), to);
  assert_int_equal(es_text_table_rows(pair), 5);
  *gained = *lost = 0;
  for (size_t row = 0; row < 5; row++) {
    const char *name = es_text_table_cell(pair, row, es_text_table_column(pair, "name"));
    const char *word = es_text_table_cell(pair, row, es_text_table_column(pair, "change"));
    double before = number(pair, row, "chance_percent_from"), after = number(pair, row, "chance_percent_to");
    int found = 0;
    for (size_t r = 0; r < es_text_table_rows(all); r++) {
      if (strcmp(es_text_table_cell(all, r, es_text_table_column(all, "name")), name) != 0) continue;
      const char *scenario = es_text_table_cell(all, r, es_text_table_column(all, "scenario"));
      double snr = number(all, r, "snr_2500hz_db_p50");
      if (strcmp(scenario, from) == 0) found += same(number(pair, row, "snr_2500hz_db_from"), snr);
      if (strcmp(scenario, to) == 0) found += same(number(pair, row, "snr_2500hz_db_to"), snr);
    }
    assert_int_equal(found, 2);
    double change_db = number(pair, row, "snr_2500hz_db_to") - number(pair, row, "snr_2500hz_db_from");
    static const char *const words[2][2] = {{"not heard", "gained"}, {"lost", "heard"}};
    if (strcmp(name, "Q5AB") == 0) { /* on the rim, the ground ends before it: no answer, and neither gained nor lost */
      assert_true(isnan(before) || isnan(after));
      assert_true(isnan(number(pair, row, "change_db")));
      assert_string_equal(word, "no answer");
    } else {
      assert_near(number(pair, row, "change_db"), change_db, 0.011); /* two decimals each */
      assert_string_equal(word, words[before >= 50.0][after >= 50.0]);
    }
    assert_int_equal(names_hold(json_object_get(record, "gained"), name), strcmp(word, "gained") == 0);
    assert_int_equal(names_hold(json_object_get(record, "lost"), name), strcmp(word, "lost") == 0);
    *gained += strcmp(word, "gained") == 0;
    *lost += strcmp(word, "lost") == 0;
  }
  json_decref(record);
  es_text_table_close(pair);
  es_text_table_close(all);
  free(csv);
  free(json);
}

static void lists_of_pairs(void **state) {
  size_t gained[4], lost[4];
  check_pair(*state, "compare-01", NEAR_WEAK, NEAR_STRONG, &gained[0], &lost[0]);
  check_pair(*state, "compare-02", NEAR_STRONG, NEAR_WEAK, &gained[1], &lost[1]);
  check_pair(*state, "compare-03", NEAR_WEAK, FAR_WEAK, &gained[2], &lost[2]);
  check_pair(*state, "compare-04", FAR_WEAK, NEAR_WEAK, &gained[3], &lost[3]);
  assert_int_equal(lost[0], 0); /* nobody is lost by more power */
  assert_true(gained[0] > 0);
  assert_int_equal(gained[1], 0);
  assert_int_equal(lost[1], gained[0]);
  assert_true(gained[2] > 0 && lost[2] > 0); /* one hill serves some, the other some others */
  assert_int_equal(lost[3], gained[2]);
  assert_int_equal(gained[3], lost[2]);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(power_on_maps),
      cmocka_unit_test(sites_on_maps),
      cmocka_unit_test(lists_of_pairs),
  };
  return cmocka_run_group_tests_name("compare", tests, run_once, drop);
}
