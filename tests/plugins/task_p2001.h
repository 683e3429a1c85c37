/* task_p2001.h - a task for one receiver, built by hand, and a host that answers from constants.
 *
 * The tests of the P.2001 models feed the geometry that a published table states, so that each model is judged alone.
 * check_table_*: rows of a table of check values, found by the environment variable EARSHOT_CHECK_VALUES (a folder). */
#ifndef EARSHOT_TESTS_TASK_P2001_H
#define EARSHOT_TESTS_TASK_P2001_H

#include "earshot/model.h"
#include "near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TASK_PERCENTS = 16, TASK_NOTES = 64, TASK_PLACES = 6 };

typedef struct task_note {
  const char *symbol;
  double value;
} task_note;

/* Everything one receiver's task needs. Fill in the plain fields, then task_link. */
typedef struct hand_task {
  double climate[ES_CLIMATE_KEYS][TASK_PLACES], gain_dbi[2];
  es_place beacon, at;
  double dist_m, slant_m, el_tx, el_rx, d_tx_m, d_rx_m, horizon_tx_m, horizon_rx_m, fit_tx_m, fit_rx_m, rough_m;
  double mid_lat_deg, cv_tx_m, land_m, inland_m, sea_tx_m, sea_rx_m, sea_share;
  uint8_t los;
  double line_dist_m[3], line_ground_m[3];
  double leg_dist_m, leg_low_m, leg_high_m;
  double percent[TASK_PERCENTS], fade_db[TASK_PERCENTS];
  double value[TASK_PERCENTS], share, vapour[TASK_PERCENTS], out_el_tx, out_el_rx;
  uint8_t status[TASK_PERCENTS], legs_wanted;
  task_note notes[TASK_NOTES]; /* of the last percentage */
  size_t n_notes;
  es_line line;
  es_receivers rx;
  es_legs legs;
  es_host host;
  es_task task;
  es_answer answer;
  uint64_t room[512]; /* what prepare fills */
} hand_task;

static double hand_climate(const void *ctx, es_climate_key key, es_climate_place place, size_t r) {
  (void)r;
  return ((const hand_task *)ctx)->climate[key][place];
}

static double hand_gain(const void *ctx, int32_t end, size_t r, double az, double el, int32_t cross) {
  (void)r, (void)el, (void)cross;
  assert_true(isnan(az)); /* along the path */
  return ((const hand_task *)ctx)->gain_dbi[end];
}

static void hand_note(const void *ctx, size_t k, size_t r, const char *symbol, double value) {
  hand_task *at = (hand_task *)(uintptr_t)ctx; /* the test's own, never const */
  (void)r;
  if (k + 1 != at->task.n_percent) return;
  assert_in_range(at->n_notes, 0, TASK_NOTES - 1);
  at->notes[at->n_notes++] = (task_note){symbol, value};
}

static inline double hand_noted(const hand_task *at, const char *symbol) {
  for (size_t i = at->n_notes; i-- > 0;)
    if (!strcmp(at->notes[i].symbol, symbol)) return at->notes[i].value;
  fail_msg("%s was not reported", symbol);
  return NAN;
}

/* One climate value at every place. */
static inline void hand_set(hand_task *at, es_climate_key key, double value) {
  for (int place = 0; place < TASK_PLACES; place++) at->climate[key][place] = value;
}

/* Points the arrays at the fields; call after every copy. */
static inline void hand_link(hand_task *at, size_t n_percent) {
  static const size_t LAST[] = {1};
  at->line = (es_line){.n = 3, .dist_m = at->line_dist_m, .ground_m = at->line_ground_m};
  at->rx = (es_receivers){.n = 1, .last = LAST, .at = &at->at, .dist_m = &at->dist_m, .slant_m = &at->slant_m};
  at->rx.el_tx = &at->el_tx, at->rx.el_rx = &at->el_rx, at->rx.d_tx_m = &at->d_tx_m, at->rx.d_rx_m = &at->d_rx_m;
  at->rx.horizon_tx_m = &at->horizon_tx_m, at->rx.horizon_rx_m = &at->horizon_rx_m;
  at->rx.fit_tx_m = &at->fit_tx_m, at->rx.fit_rx_m = &at->fit_rx_m, at->rx.rough_m = &at->rough_m;
  at->rx.mid_lat_deg = &at->mid_lat_deg, at->rx.cv_tx_m = &at->cv_tx_m;
  at->rx.land_m = &at->land_m, at->rx.inland_m = &at->inland_m;
  at->rx.sea_tx_m = &at->sea_tx_m, at->rx.sea_rx_m = &at->sea_rx_m, at->rx.sea_share = &at->sea_share;
  at->rx.los = &at->los;
  at->host = (es_host){.size = sizeof at->host, .climate = hand_climate, .gain_dbi = hand_gain, .note = hand_note};
  at->task.size = sizeof at->task;
  at->task.host = &at->host, at->task.ctx = at, at->task.beacon = &at->beacon, at->task.line = &at->line;
  at->task.rx = &at->rx, at->task.percent = at->percent, at->task.n_percent = n_percent;
  at->task.fade_db = at->fade_db, at->task.prepared = at->room;
  at->answer = (es_answer){.size = sizeof at->answer, .value = at->value, .status = at->status, .share = &at->share};
  at->answer.vapour = at->vapour, at->answer.el_tx = &at->out_el_tx, at->answer.el_rx = &at->out_el_rx;
  at->answer.legs = &at->legs_wanted;
}

/* The leg from one end. */
static inline void hand_leg(hand_task *at, int32_t end, double dist_m, double low_m, double high_m) {
  at->leg_dist_m = dist_m, at->leg_low_m = low_m, at->leg_high_m = high_m;
  at->legs = (es_legs){.end = end, .dist_m = &at->leg_dist_m, .low_m = &at->leg_low_m, .high_m = &at->leg_high_m};
  at->task.legs = &at->legs;
  at->task.way = ES_SCATTER;
}

static inline void hand_prepare(hand_task *at, const es_model *model) {
  assert_in_range(model->prepared_bytes(NULL, 1), 0, sizeof at->room);
  memset(at->room, 0, sizeof at->room);
  assert_int_equal(model->prepare(NULL, &at->task, NULL), ES_OK);
}

static inline void hand_evaluate(hand_task *at, const es_model *model, const void *self) {
  memset(at->status, 0, sizeof at->status);
  assert_int_equal(model->evaluate(self, &at->task, &at->answer, NULL), ES_OK);
}

/* ---- tables of check values ---- */

enum { CHECK_COLUMNS = 256, CHECK_TEXT = 1 << 14 };

typedef struct check_table {
  FILE *file;
  char head[CHECK_TEXT], row[CHECK_TEXT];
  const char *names[CHECK_COLUMNS], *fields[CHECK_COLUMNS];
} check_table;

static inline void check_split(char *text, const char **fields) {
  size_t n = 0;
  memset(fields, 0, CHECK_COLUMNS * sizeof *fields);
  for (char *rest = text; rest && n < CHECK_COLUMNS; n++) {
    char *field = strsep(&rest, ",\r\n");
    fields[n] = field;
  }
}

/* NULL, and the test is skipped, when the folder is not there. */
static inline check_table *check_open(const char *name) {
  const char *folder = getenv("EARSHOT_CHECK_VALUES");
  char path[4096];
  if (!folder) return NULL;
  snprintf(path, sizeof path, "%s/%s", folder, name);
  check_table *table = calloc(1, sizeof *table);
  if (!table) fail_msg("out of memory");
  table->file = fopen(path, "r");
  if (!table->file) fail_msg("%s: not there", path);
  do {
    if (!fgets(table->head, sizeof table->head, table->file)) fail_msg("%s: no head", path);
  } while (table->head[0] == '#');
  check_split(table->head, table->names);
  return table;
}

static inline int check_next(check_table *table) {
  if (!fgets(table->row, sizeof table->row, table->file)) return 0;
  check_split(table->row, table->fields);
  return 1;
}

static inline const char *check_text(const check_table *table, const char *name) {
  for (size_t i = 0; i < CHECK_COLUMNS && table->names[i]; i++)
    if (!strcmp(table->names[i], name)) return table->fields[i];
  fail_msg("no column %s", name);
  return NULL;
}

static inline double check_at(const check_table *table, const char *name) {
  return strtod(check_text(table, name), NULL);
}

static inline void check_close(check_table *table) {
  fclose(table->file);
  free(table);
}

/* The largest difference seen in a column. NaN counts as the largest. */
typedef struct check_worst {
  const char *what;
  double off;
} check_worst;

static inline void check_absolute(check_worst *worst, double got, double want) {
  double off = fabs(got - want);
  if (!(off <= worst->off)) worst->off = off;
}

/* Relative where the figure is above 1. */
static inline void check_compare(check_worst *worst, double got, double want) {
  double unit = fmax(fabs(want), 1.0);
  check_absolute(worst, got / unit, want / unit);
}

static inline void check_report(const char *table, const check_worst *worst, double tolerance) {
  print_message("%s: %s within %.3g\n", table, worst->what, worst->off);
  assert_near(worst->off, 0.0, tolerance);
}

/* Ground height at a distance of a profile of the tables, d_km,h_m,...: its samples are the horizons' places. */
static inline double check_ground(const char *profile, double dist_km) {
  char name[256];
  snprintf(name, sizeof name, "profiles/%s", profile);
  check_table *table = check_open(name);
  double best_km = INFINITY, height_m = NAN;
  while (table && check_next(table)) {
    double off_km = fabs(check_at(table, "d_km") - dist_km);
    if (off_km < best_km) best_km = off_km, height_m = check_at(table, "h_m");
  }
  if (table) check_close(table);
  return height_m;
}

/* A row of the P.2001 reference software: geometry, climate and percentage. */
static inline void hand_from_row(hand_task *at, const check_table *row) {
  static const char *const SIDES[] = {"sfc", "sfc", "sfc", "tcv", "rcv", "sfc"}; /* by es_climate_place */
  static const struct {
    es_climate_key key;
    const char *name;
  } RAIN[] = {{ES_RAIN_6H, "Pr6"}, {ES_RAIN_ANNUAL, "Mt"}, {ES_RAIN_CONVECTIVE, "betarain"}, {ES_ZERO_ISOTHERM, "h0"}};
  memset(at, 0, sizeof *at);
  for (int place = 0; place < TASK_PLACES; place++) {
    for (size_t i = 0; i < sizeof RAIN / sizeof RAIN[0]; i++) {
      char name[32];
      snprintf(name, sizeof name, "%s_%s", RAIN[i].name, SIDES[place]);
      at->climate[RAIN[i].key][place] = check_at(row, name);
    }
  }
  hand_set(at, ES_GRADIENT_65M_1PCT, check_at(row, "Nd65m1"));
  hand_set(at, ES_DELTA_N_MEDIAN, check_at(row, "SdN"));
  at->climate[ES_TROPO_CLIMATE][ES_AT_COMMON_VOLUME] = check_at(row, "TropoClim_cv");
  at->climate[ES_TROPO_CLIMATE][ES_AT_BEACON] = check_at(row, "TropoClim_tx");
  at->climate[ES_TROPO_CLIMATE][ES_AT_LISTENER] = check_at(row, "TropoClim_rx");
  at->gain_dbi[ES_BEACON] = check_at(row, "Gtx_dBi"), at->gain_dbi[ES_LISTENER] = check_at(row, "Grx_dBi");
  at->beacon.antenna_m = check_at(row, "Hts"), at->at.antenna_m = check_at(row, "Hrs");
  double rise_m = at->at.antenna_m - at->beacon.antenna_m;
  at->dist_m = 1000.0 * check_at(row, "D");
  at->slant_m = sqrt(at->dist_m * at->dist_m + rise_m * rise_m);
  at->el_tx = 0.001 * check_at(row, "Thetat"), at->el_rx = 0.001 * check_at(row, "Thetar");
  at->d_tx_m = 1000.0 * check_at(row, "Dlt"), at->d_rx_m = 1000.0 * check_at(row, "Dlr");
  at->fit_tx_m = check_at(row, "Hstipa"), at->fit_rx_m = check_at(row, "Hsripa"), at->rough_m = check_at(row, "Hm");
  at->mid_lat_deg = check_at(row, "Phimn"), at->cv_tx_m = 1000.0 * check_at(row, "Dtcv");
  at->land_m = 1000.0 * check_at(row, "Dtm"), at->inland_m = 1000.0 * check_at(row, "Dlm");
  at->sea_tx_m = 1000.0 * check_at(row, "Dct"), at->sea_rx_m = 1000.0 * check_at(row, "Dcr");
  at->sea_share = check_at(row, "Fsea");
  at->los = check_at(row, "FlagLos50") > 0.5;
  at->task.freq_ghz = check_at(row, "f_GHz");
  at->task.polarisation = check_at(row, "FlagVP") > 0.5 ? ES_VERTICAL : ES_HORIZONTAL;
  at->task.earth_radius_km = check_at(row, "Reff50");
  at->task.way = ES_SURFACE;
  at->percent[0] = check_at(row, "Tpc_pct");
  hand_link(at, 1);
}

/* Climate set M of the tests: a middle latitude. */
static inline void hand_middle_latitude(hand_task *at) {
  hand_set(at, ES_GRADIENT_65M_1PCT, -180.0);
  hand_set(at, ES_RAIN_6H, 38.0);
  hand_set(at, ES_RAIN_ANNUAL, 700.0);
  hand_set(at, ES_RAIN_CONVECTIVE, 0.20);
  hand_set(at, ES_ZERO_ISOTHERM, 2.4);
  hand_set(at, ES_TROPO_CLIMATE, 5.0);
  hand_set(at, ES_N0, 325.0);
  hand_set(at, ES_DELTA_N, 40.0);
  hand_set(at, ES_PRESSURE, 1013.0);
  hand_set(at, ES_TEMPERATURE, 15.0);
  at->task.freq_ghz = 10.368;
  at->task.earth_radius_km = 6371.0 * 157.0 / 117.0;
  at->task.way = ES_SURFACE;
}

#endif
