/* Where a climate value comes from: user, map, latitude, default; and reading maps. The maps here are invented planes, on
 * which bilinear interpolation is exact. Real maps are checked when EARSHOT_ITU_MAPS names a folder of them.             */
#include "near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "model/climate.h"

/* --- a folder of maps of one's own ---------------------------------------------------------------------------------------- */

typedef struct bench {
  char folder[64];
  char *made[8]; /* files to remove */
  size_t n_made;
  es_climate_plan plan;
  es_faults faults;
} bench;

static int bench_open(void **state) {
  bench *b = calloc(1, sizeof *b);
  if (b == NULL) return -1;
  snprintf(b->folder, sizeof b->folder, "%s/earshot-XXXXXX", P_tmpdir);
  if (mkdtemp(b->folder) == NULL) return -1;
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) b->plan.value[side][key] = NAN;
  b->plan.maps = b->folder;
  *state = b;
  return 0;
}

static int bench_close(void **state) {
  bench *b = *state;
  for (size_t i = 0; i < b->n_made; i++) {
    remove(b->made[i]);
    free(b->made[i]);
  }
  rmdir(b->folder);
  es_faults_free(&b->faults);
  free(b);
  return 0;
}

typedef double surface(double lon_deg, double lat_deg);

/* A map to write: rows from `north` down, columns from `west` on; `separator` between, `line_end` after a row. */
typedef struct sheet {
  int rows, cols;
  double step_deg, west_deg, north_deg;
  surface *value;
  const char *number, *separator, *line_end;
} sheet;

static sheet sheet_1_5(surface *value) { return (sheet){121, 241, 1.5, 0.0, 90.0, value, "%.15g", " ", "\n"}; }
static sheet sheet_codes(surface *value) { return (sheet){360, 720, 0.5, -179.75, 89.75, value, "%g", " ", "\n"}; }

static FILE *map_file(bench *b, const char *name) {
  char *path = b->made[b->n_made++] = es_format("%s/%s", b->folder, name);
  assert_non_null(path);
  FILE *file = fopen(path, "w");
  assert_non_null(file);
  return file;
}

/* Cell (odd_row, odd_col) is written as `odd` instead of its number; "" leaves it out. */
static void write_map(bench *b, const char *name, sheet s, int odd_row, int odd_col, const char *odd) {
  FILE *file = map_file(b, name);
  for (int row = 0; row < s.rows; row++) {
    for (int col = 0; col < s.cols; col++) {
      bool is_odd = row == odd_row && col == odd_col;
      if (is_odd && odd[0] == '\0') continue;
      if (col > 0) fputs(s.separator, file);
      if (is_odd)
        fputs(odd, file);
      else
        fprintf(file, s.number, s.value(s.west_deg + col * s.step_deg, s.north_deg - row * s.step_deg));
    }
    fputs(s.line_end, file);
  }
  assert_int_equal(fclose(file), 0);
}

static void write_whole(bench *b, const char *name, sheet s) { write_map(b, name, s, -1, -1, ""); }

static double lapse(double lon, double lat) { return 50.0 + 0.1 * lon - 0.1 * lat; }
static double height(double lon, double lat) { return 4.0 + 0.004 * lon + 0.02 * lat; }
static double rain(double lon, double lat) { return 1000.0 + lon + 2.0 * lat; }
static double refractivity(double lon, double lat) { return 320.0 + 0.1 * lon + lat / 3.0; }
static double code(double lon, double lat) { return fmod(floor((lon + 180.0) * 2.0) + floor((90.0 - lat) * 2.0), 7.0); }

static es_climate *opened(bench *b) {
  es_climate *climate = es_climate_open(&b->plan, "job.yaml", &b->faults);
  if (climate == NULL) fail_msg("%s: %s", b->faults.items[0].file, b->faults.items[0].text);
  return climate;
}

static void assert_map(const es_climate *climate, es_climate_key key, double lon, double lat, double want) {
  es_climate_source source;
  assert_near(es_climate_value(climate, key, 0, (es_lonlat){lon, lat}, &source), want, 1e-9);
  assert_string_equal(es_climate_source_name(source), "map");
}

/* --- maps that can be used -------------------------------------------------------------------------------------------------- */

static void bilinear_is_exact_on_a_plane(void **state) {
  bench *b = *state;
  write_whole(b, "DN50.TXT", sheet_1_5(lapse));
  write_whole(b, "h0.txt", sheet_1_5(height));
  sheet fine = {161, 321, 1.125, 0.0, 90.0, rain, "%.15g", " ", "\n"};
  write_whole(b, "Esarain_Mt_v5", fine);
  write_whole(b, "N050.txt", sheet_1_5(refractivity));
  es_climate *c = opened(b);
  static const es_lonlat places[] = {{0.0, 0.0},     {1.5, 88.5},   {13.37, 52.52},
                                     {179.9, -17.5}, {180.0, 12.3}, {0.4, -89.2}};
  for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
    double lon = places[i].lon_deg, lat = places[i].lat_deg;
    assert_map(c, ES_DELTA_N_MEDIAN, lon, lat, lapse(lon, lat));
    assert_map(c, ES_DELTA_N, lon, lat, lapse(lon, lat)); /* the openings chain reads the same file */
    assert_map(c, ES_ZERO_ISOTHERM, lon, lat, height(lon, lat));
    assert_map(c, ES_RAIN_ANNUAL, lon, lat, rain(lon, lat));
    assert_map(c, ES_N0, lon, lat, refractivity(lon, lat));
  }
  es_climate_close(c);
}

/* West longitudes are 180 to 360 on the map; its last column serves up to 360; beyond the poles the pole's own row. */
static void longitude_wraps_and_poles_are_held(void **state) {
  bench *b = *state;
  write_whole(b, "DN_Median.txt", sheet_1_5(lapse));
  es_climate *c = opened(b);
  assert_map(c, ES_DELTA_N_MEDIAN, -20.0, 40.0, lapse(340.0, 40.0));
  assert_map(c, ES_DELTA_N_MEDIAN, -0.3, 40.0, lapse(359.7, 40.0));
  assert_map(c, ES_DELTA_N_MEDIAN, -1e-15, 40.0, lapse(360.0, 40.0));
  assert_map(c, ES_DELTA_N_MEDIAN, 725.0, 40.0, lapse(5.0, 40.0));
  assert_map(c, ES_DELTA_N_MEDIAN, 12.0, 90.0, lapse(12.0, 90.0));
  assert_map(c, ES_DELTA_N_MEDIAN, 12.0, -90.0, lapse(12.0, -90.0));
  assert_map(c, ES_DELTA_N_MEDIAN, 12.0, -91.0, lapse(12.0, -90.0));
  es_climate_close(c);
}

static void without_the_last_column_the_first_closes_it(void **state) {
  bench *b = *state;
  sheet s = sheet_1_5(lapse);
  s.cols = 240;
  write_whole(b, "DN50.txt", s);
  es_climate *c = opened(b);
  assert_map(c, ES_DELTA_N_MEDIAN, -1.5, 30.0, lapse(358.5, 30.0));
  assert_map(c, ES_DELTA_N_MEDIAN, -0.75, 30.0, 0.5 * (lapse(358.5, 30.0) + lapse(0.0, 30.0)));
  assert_map(c, ES_DELTA_N_MEDIAN, 0.0, 30.0, lapse(0.0, 30.0));
  es_climate_close(c);
}

/* Commas, commas with blanks, tabs; exponents; lines of another system; a byte order mark; empty lines. */
static void numbers_may_be_written_in_many_ways(void **state) {
  bench *b = *state;
  sheet s = sheet_1_5(lapse);
  s.separator = ",";
  s.number = "%.15e";
  write_map(b, "DN50.txt", s, 0, 0,
            "\xEF\xBB\xBF"
            "4.1e+001");
  s = sheet_1_5(height);
  s.separator = " ,\t";
  s.line_end = ",\r\n\r\n";
  write_whole(b, "h0.txt", s);
  s = sheet_1_5(refractivity);
  s.separator = "\t";
  s.line_end = "  \n";
  write_whole(b, "N050", s);
  es_climate *c = opened(b);
  assert_map(c, ES_DELTA_N, 9.9, 48.8, lapse(9.9, 48.8));
  assert_map(c, ES_DELTA_N, 0.0, 90.0, 41.0);
  assert_map(c, ES_ZERO_ISOTHERM, 9.9, 48.8, height(9.9, 48.8));
  assert_map(c, ES_N0, 9.9, 48.8, refractivity(9.9, 48.8));
  es_climate_close(c);
}

/* A place takes the code of the half-degree cell it lies in, never a mean. */
static void climate_codes_are_of_the_nearest_cell(void **state) {
  bench *b = *state;
  write_whole(b, "TropoClim.txt", sheet_codes(code));
  es_climate *c = opened(b);
  static const es_lonlat places[] = {{-179.9, 89.9}, {179.9, -89.9}, {0.01, 0.01}, {0.49, 0.49},
                                     {0.51, -0.01},  {-21.9, 64.1},  {103.8, 1.35}};
  for (size_t i = 0; i < sizeof places / sizeof places[0]; i++)
    assert_map(c, ES_TROPO_CLIMATE, places[i].lon_deg, places[i].lat_deg, code(places[i].lon_deg, places[i].lat_deg));
  assert_map(c, ES_TROPO_CLIMATE, 180.0, 10.1, code(-180.0, 10.1));
  assert_map(c, ES_TROPO_CLIMATE, 7.6, -90.0, code(7.6, -89.9));
  es_climate_close(c);
}

/* --- maps that cannot ------------------------------------------------------------------------------------------------------- */

/* The job is refused with one fault that names this file and line and says this. */
static void assert_refused(bench *b, const char *file, long line, const char *says) {
  assert_null(es_climate_open(&b->plan, "job.yaml", &b->faults));
  assert_int_equal(b->faults.n_faults, 1);
  const es_fault *fault = &b->faults.items[0];
  if (strstr(fault->file, file) == NULL || fault->line != line || strstr(fault->text, says) == NULL)
    fail_msg("%s:%ld: %s; want %s:%ld: %s", fault->file, fault->line, fault->text, file, line, says);
}

static void a_short_row_is_refused(void **state) {
  write_map(*state, "DN50.txt", sheet_1_5(lapse), 56, 100, "");
  assert_refused(*state, "DN50.txt", 57, "row 57: 240 numbers, want 241 as above");
}

static void a_first_row_of_another_grid_is_refused(void **state) {
  sheet s = sheet_1_5(lapse);
  s.cols = 321;
  write_whole(*state, "DN50.txt", s);
  assert_refused(*state, "DN50.txt", 1, "row 1: 321 numbers, want 241 or 240");
}

static void a_missing_row_is_refused(void **state) {
  sheet s = sheet_1_5(lapse);
  s.rows = 120;
  write_whole(*state, "DN50.txt", s);
  assert_refused(*state, "DN50.txt", 120, "ends after 120 rows, want 121");
}

static void a_row_too_many_is_refused(void **state) {
  sheet s = sheet_1_5(height);
  s.rows = 122;
  write_whole(*state, "h0.txt", s);
  assert_refused(*state, "h0.txt", 122, "a row too many, want 121");
}

static void letters_in_a_number_are_refused(void **state) {
  write_map(*state, "DN50.txt", sheet_1_5(lapse), 3, 6, "4O.5");
  assert_refused(*state, "DN50.txt", 4, "row 4, column 7: \"4O.5\": want a number from 0 to 150 N/km");
}

static void nothing_between_commas_is_refused(void **state) {
  sheet s = sheet_1_5(lapse);
  s.separator = ",";
  write_map(*state, "DN50.txt", s, 3, 6, " ");
  assert_refused(*state, "DN50.txt", 4, "row 4, column 7: \"\"");
}

static void not_a_number_is_refused(void **state) {
  write_map(*state, "DN50.txt", sheet_1_5(lapse), 120, 240, "nan");
  assert_refused(*state, "DN50.txt", 121, "row 121, column 241: \"nan\"");
}

static void a_value_out_of_the_world_is_refused(void **state) {
  write_map(*state, "h0.txt", sheet_1_5(height), 10, 0, "2400"); /* metres */
  assert_refused(*state, "h0.txt", 11, "row 11, column 1: \"2400\": want a number from 0 to 10 km");
}

static void half_a_code_is_refused(void **state) {
  write_map(*state, "TropoClim.txt", sheet_codes(code), 0, 719, "4.5");
  assert_refused(*state, "TropoClim.txt", 1, "column 720: \"4.5\": want a whole number from 0 to 6");
}

static void no_plain_text_is_refused(void **state) {
  FILE *file = map_file(*state, "DN50.txt");
  fwrite("5\0000\0 \0", 1, 6, file); /* two bytes a letter */
  fputs("5\n", file);
  fclose(file);
  assert_refused(*state, "DN50.txt", 1, "no plain text");
}

static void an_empty_map_is_refused(void **state) {
  fclose(map_file(*state, "TropoClim.txt"));
  assert_refused(*state, "TropoClim.txt", 0, "ends after 0 rows, want 360");
}

static void two_faulty_maps_are_both_told(void **state) {
  bench *b = *state;
  write_map(b, "DN50.txt", sheet_1_5(lapse), 3, 6, "x");
  write_map(b, "h0.txt", sheet_1_5(height), 4, 6, "y");
  assert_null(es_climate_open(&b->plan, "job.yaml", &b->faults));
  assert_int_equal(b->faults.n_faults, 2);
  /* and the same again is refused again, though nothing new is told */
  assert_null(es_climate_open(&b->plan, "job.yaml", &b->faults));
}

static void a_folder_that_is_not_there_is_refused(void **state) {
  bench *b = *state;
  char nowhere[] = "no-such-folder";
  b->plan.maps = nowhere;
  assert_refused(b, "job.yaml", 0, "climate: maps: no-such-folder: no such folder; want the folder");
}

static void a_folder_without_maps_is_noted(void **state) {
  bench *b = *state;
  es_climate *c = opened(b);
  assert_int_equal(b->faults.n_faults, 0);
  assert_int_equal(b->faults.n, 1);
  assert_non_null(strstr(b->faults.items[0].text, "no map of a known name"));
  es_climate_close(c);
}

/* --- precedence --------------------------------------------------------------------------------------------------------------- */

static const es_lonlat HERE = {10.5, 51.0};

static void assert_from(const es_climate *climate, es_climate_key key, int side, double want, const char *source_name) {
  es_climate_source source;
  assert_near(es_climate_value(climate, key, side, HERE, &source), want, 1e-9);
  assert_string_equal(es_climate_source_name(source), source_name);
}

static void user_then_map_then_latitude_then_default(void **state) {
  bench *b = *state;
  write_whole(b, "DN50.txt", sheet_1_5(lapse));
  write_whole(b, "N050.txt", sheet_1_5(refractivity));
  b->plan.value[0][ES_DELTA_N_MEDIAN] = 44.0;
  es_climate *c = opened(b);
  assert_from(c, ES_DELTA_N_MEDIAN, 0, 44.0, "user");
  assert_from(c, ES_DELTA_N, 0, lapse(10.5, 51.0), "map"); /* a constant for one chain is not one for the other */
  assert_from(c, ES_N0, 0, refractivity(10.5, 51.0), "map");
  assert_from(c, ES_ZERO_ISOTHERM, 0, 2.55, "latitude");
  assert_from(c, ES_VAPOUR_DENSITY, 0, 7.5, "default");
  es_climate_close(c);
}

/* A side's own value comes first, then the whole path's, then the map at the side's own place. */
static void a_side_may_differ_from_the_path(void **state) {
  bench *b = *state;
  write_whole(b, "h0.txt", sheet_1_5(height));
  b->plan.value[0][ES_RAIN_ANNUAL] = 900.0;
  b->plan.value[1][ES_RAIN_ANNUAL] = 1200.0;
  b->plan.value[2][ES_ZERO_ISOTHERM] = 1.9;
  b->plan.value[1][ES_VAPOUR_DENSITY] = 9.0;
  b->plan.value[2][ES_VAPOUR_DENSITY] = 6.0;
  es_climate *c = opened(b);
  assert_from(c, ES_RAIN_ANNUAL, 0, 900.0, "user");
  assert_from(c, ES_RAIN_ANNUAL, 1, 1200.0, "user");
  assert_from(c, ES_RAIN_ANNUAL, 2, 900.0, "user");
  assert_from(c, ES_ZERO_ISOTHERM, 0, height(10.5, 51.0), "map");
  assert_from(c, ES_ZERO_ISOTHERM, 1, height(10.5, 51.0), "map");
  assert_from(c, ES_ZERO_ISOTHERM, 2, 1.9, "user");
  assert_from(c, ES_VAPOUR_DENSITY, 0, 7.5, "default");
  assert_from(c, ES_VAPOUR_DENSITY, 1, 9.0, "user");
  assert_from(c, ES_VAPOUR_DENSITY, 2, 6.0, "user");
  es_climate_close(c);
}

static void the_list_tells_every_quantity(void **state) {
  bench *b = *state;
  write_whole(b, "DN50.txt", sheet_1_5(lapse));
  b->plan.value[0][ES_RAIN_6H] = 33.0;
  es_climate *c = opened(b);
  es_climate_entry list[ES_CLIMATE_KEYS];
  es_climate_list(c, 0, HERE, list);
  for (int k = 0; k < ES_CLIMATE_KEYS; k++) assert_int_equal(list[k].key, k);
  assert_string_equal(list[ES_DELTA_N].name, "delta_n");
  assert_string_equal(list[ES_DELTA_N].unit, "N/km");
  assert_near(list[ES_DELTA_N].value, lapse(10.5, 51.0), 1e-9);
  assert_int_equal(list[ES_DELTA_N].source, ES_FROM_MAP);
  assert_non_null(strstr(list[ES_DELTA_N].file, "/DN50.txt"));
  assert_string_equal(list[ES_RAIN_6H].name, "rain_6h_percent");
  assert_near(list[ES_RAIN_6H].value, 33.0, 0.0);
  assert_int_equal(list[ES_RAIN_6H].source, ES_FROM_USER);
  assert_null(list[ES_RAIN_6H].file);
  assert_int_equal(list[ES_TEMPERATURE].source, ES_FROM_DEFAULT);
  assert_null(es_climate_map_file(c, ES_ZERO_ISOTHERM));
  es_climate_close(c);
}

/* Without maps: row medians of the ITU maps by latitude, docs/models/refractivity.md; linear between, held beyond. */
static void latitude_serves_without_maps(void **state) {
  bench *b = *state;
  b->plan.maps = NULL;
  es_climate *c = opened(b);
  static const struct row {
    double lat_deg, lapse, isotherm_km;
  } rows[] = {{0, 57, 4.6},  {15, 54, 4.6},  {30, 48, 3.8},  {39, 41, 2.9},     {45, 38, 2.8},  {51, 37, 2.55},
              {60, 37, 2.1}, {66, 38, 2.25}, {90, 38, 2.25}, {48, 37.5, 2.675}, {-30, 48, 3.8}, {-63, 37.5, 2.175}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    es_lonlat at = {10.0, rows[i].lat_deg};
    assert_near(es_climate_value(c, ES_DELTA_N_MEDIAN, 0, at, NULL), rows[i].lapse, 1e-12);
    assert_near(es_climate_value(c, ES_DELTA_N, 1, at, NULL), rows[i].lapse, 1e-12);
    assert_near(es_climate_value(c, ES_ZERO_ISOTHERM, 2, at, NULL), rows[i].isotherm_km, 1e-12);
  }
  es_climate_close(c);
}

static void every_value_is_known_even_at_no_place(void **state) {
  bench *b = *state;
  write_whole(b, "DN50.txt", sheet_1_5(lapse));
  es_climate *c = opened(b);
  for (int key = 0; key < ES_CLIMATE_KEYS; key++)
    assert_true(isfinite(es_climate_value(c, (es_climate_key)key, 0, (es_lonlat){NAN, NAN}, NULL)));
  es_climate_close(c);
}

/* --- the ITU's own maps, when there are any ------------------------------------------------------------------------------------ */

static const struct column {
  const char *name;
  es_climate_key key;
} p2001_columns[] = {{"DN_Median", ES_DELTA_N_MEDIAN},      {"DN_SupSlope", ES_DELTA_N_ENHANCED_SLOPE},
                     {"DN_SubSlope", ES_DELTA_N_SUB_SLOPE}, {"dndz_01", ES_GRADIENT_65M_1PCT},
                     {"Esarain_Pr6", ES_RAIN_6H},           {"Esarain_Mt", ES_RAIN_ANNUAL},
                     {"Esarain_Beta", ES_RAIN_CONVECTIVE},  {"h0_km", ES_ZERO_ISOTHERM},
                     {"surfwv_50", ES_VAPOUR_DENSITY},      {"TropoClim", ES_TROPO_CLIMATE}},
  p452_columns[] = {{"N050", ES_N0}, {"DN50", ES_DELTA_N}};

/* Largest difference of one column, relative to its size where that is above 1; -1 when its map is not there. */
static double worst_difference(const es_climate *climate, const es_text_table *table, const struct column *column,
                               es_faults *faults) {
  size_t value = es_text_table_column(table, column->name), lon = es_text_table_column(table, "lon_E"),
         lat = es_text_table_column(table, "lat_N");
  double worst = -1.0;
  if (es_climate_map_file(climate, column->key) == NULL) return worst;
  for (size_t row = 0; row < es_text_table_rows(table); row++) {
    es_lonlat at;
    double want;
    assert_true(es_text_table_number(table, row, lon, -180, 180, &at.lon_deg, faults));
    assert_true(es_text_table_number(table, row, lat, -90, 90, &at.lat_deg, faults));
    assert_true(es_text_table_number(table, row, value, -1e9, 1e9, &want, faults));
    double difference = fabs(es_climate_value(climate, column->key, 0, at, NULL) - want);
    worst = fmax(worst, difference / fmax(fabs(want), 1.0));
  }
  return worst;
}

static void check_table(bench *b, const char *file, const struct column *columns, size_t n) {
  const char *checks = getenv("EARSHOT_CHECK_VALUES"), *folder = getenv("EARSHOT_ITU_MAPS");
  if (checks == NULL || folder == NULL) {
    print_message("skipped: %s wants EARSHOT_CHECK_VALUES and EARSHOT_ITU_MAPS, a folder of the ITU's maps\n", file);
    skip();
  }
  char *path = es_format("%s/%s", checks, file);
  assert_non_null(path);
  es_error err = {0};
  es_text_table *table = es_text_table_open(path, &err);
  if (table == NULL) fail_msg("%s", err.detail);
  char *maps = strdup(folder);
  b->plan.maps = maps;
  es_climate *c = opened(b);
  for (size_t i = 0; i < n; i++) {
    double worst = worst_difference(c, table, &columns[i], &b->faults);
    if (worst < 0.0)
      print_message("%s: no such map, not checked\n", columns[i].name);
    else
      print_message("%s: largest relative difference %.2g\n", columns[i].name, worst);
    assert_true(worst < 1e-8);
  }
  es_climate_close(c);
  es_text_table_close(table);
  free(maps);
  free(path);
}

/* Seventeen places, from the reference software of P.2001-4 on the maps of P.2001-6. */
static void real_maps_p2001(void **state) {
  check_table(*state, "maps_p2001_points.csv", p2001_columns, sizeof p2001_columns / sizeof p2001_columns[0]);
}
/* Seventeen places, from the reference software of P.452-18. */
static void real_maps_p452(void **state) {
  check_table(*state, "maps_p452_points.csv", p452_columns, sizeof p452_columns / sizeof p452_columns[0]);
}

#define BENCH(test) cmocka_unit_test_setup_teardown(test, bench_open, bench_close)

int main(void) {
  const struct CMUnitTest tests[] = {
      BENCH(bilinear_is_exact_on_a_plane),
      BENCH(longitude_wraps_and_poles_are_held),
      BENCH(without_the_last_column_the_first_closes_it),
      BENCH(numbers_may_be_written_in_many_ways),
      BENCH(climate_codes_are_of_the_nearest_cell),
      BENCH(a_short_row_is_refused),
      BENCH(a_first_row_of_another_grid_is_refused),
      BENCH(a_missing_row_is_refused),
      BENCH(a_row_too_many_is_refused),
      BENCH(letters_in_a_number_are_refused),
      BENCH(nothing_between_commas_is_refused),
      BENCH(not_a_number_is_refused),
      BENCH(a_value_out_of_the_world_is_refused),
      BENCH(half_a_code_is_refused),
      BENCH(no_plain_text_is_refused),
      BENCH(an_empty_map_is_refused),
      BENCH(two_faulty_maps_are_both_told),
      BENCH(a_folder_that_is_not_there_is_refused),
      BENCH(a_folder_without_maps_is_noted),
      BENCH(user_then_map_then_latitude_then_default),
      BENCH(a_side_may_differ_from_the_path),
      BENCH(the_list_tells_every_quantity),
      BENCH(latitude_serves_without_maps),
      BENCH(every_value_is_known_even_at_no_place),
      BENCH(real_maps_p2001),
      BENCH(real_maps_p452),
  };
  return cmocka_run_group_tests_name("climate", tests, NULL, NULL);
}
