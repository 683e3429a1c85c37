#include "bank.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "earshot/model.h"

const char *const truth_baseline_names[TRUTH_BASELINES] = {"p2001_4", "p2001_pdr", "p452_zones"};

/* --- tables ------------------------------------------------------------------------------------------------------- */

typedef struct table {
  es_text_table *text;
  es_faults *faults;
  const char *file;
} table;

static table table_open(const char *folder, const char *name, es_faults *faults) {
  es_error err = {0};
  char *file = es_format("%s/%s", folder, name);
  table t = {.faults = faults};
  if (file != NULL) t.text = es_text_table_open(file, &err);
  if (t.text == NULL) es_fault_add(faults, file, 0, "%s", err.detail);
  free(file);
  return t;
}

static size_t rows(const table *t) { return es_text_table_rows(t->text); }

static const char *word(const table *t, size_t row, const char *column) {
  size_t c = es_text_table_column(t->text, column);
  if (c != SIZE_MAX) return es_text_table_cell(t->text, row, c);
  es_fault_add(t->faults, NULL, 0, "no column %s", column);
  return "";
}

static double number(const table *t, size_t row, const char *column) {
  double value = NAN;
  size_t c = es_text_table_column(t->text, column);
  if (c == SIZE_MAX)
    es_fault_add(t->faults, NULL, 0, "no column %s", column);
  else
    es_text_table_number(t->text, row, c, -1e9, 1e9, &value, t->faults);
  return value;
}

static bool grade_a(const table *t, size_t row) { return strcmp(word(t, row, "grade"), "A") == 0; }

/* --- profiles ----------------------------------------------------------------------------------------------------- */

static void no_memory(es_faults *faults) { es_fault_add(faults, NULL, 0, "out of memory"); }

static void read_profile(const char *folder, const char *name, truth_path *path, es_faults *faults) {
  table t = table_open(folder, name, faults);
  if (t.text == NULL) return;
  path->n = rows(&t);
  path->dist_km = calloc(path->n, sizeof *path->dist_km);
  path->ground_m = calloc(path->n, sizeof *path->ground_m);
  path->zone = calloc(path->n, sizeof *path->zone);
  if (path->dist_km == NULL || path->ground_m == NULL || path->zone == NULL) {
    no_memory(faults);
    path->n = 0;
  }
  for (size_t i = 0; i < path->n; i++) {
    path->dist_km[i] = number(&t, i, "d_km");
    path->ground_m[i] = number(&t, i, "h_m");
    path->zone[i] = (uint8_t)number(&t, i, "zone_p2001");
  }
  es_text_table_close(t.text);
}

/* --- paths -------------------------------------------------------------------------------------------------------- */

/* Set aside by those who gathered the data, who saw every model miss them by 13 to 30 dB in the mean. */
static bool is_doubtful(int station) {
  static const int stations[] = {7026, 7027, 7030, 7059, 7073};
  for (size_t i = 0; i < sizeof stations / sizeof *stations; i++)
    if (stations[i] == station) return true;
  return false;
}

static double or_zero(double x) { return isnan(x) ? 0.0 : x; }

static void read_path(const char *folder, const table *t, size_t row, truth_path *path) {
  *path = (truth_path){.station = (int)number(t, row, "station"),
                       .freq_ghz = number(t, row, "f_ghz"),
                       .tx = {number(t, row, "tx_lon"), number(t, row, "tx_lat")},
                       .rx = {number(t, row, "rx_lon"), number(t, row, "rx_lat")},
                       .tx_agl_m = number(t, row, "tx_agl_m"),
                       .rx_agl_m = number(t, row, "rx_agl_m"),
                       .tx_gain_dbi = number(t, row, "tx_gain_dbi"),
                       .rx_gain_dbi = number(t, row, "rx_gain_dbi"),
                       .n0 = number(t, row, "n0_table"),
                       .dn = number(t, row, "dn_table")};
  path->sea_table_km = or_zero(number(t, row, "coldsea_km")) + or_zero(number(t, row, "warmsea_km"));
  path->sea_profile_km = or_zero(number(t, row, "sea_from_profile_km"));
  path->doubtful = is_doubtful(path->station);
  strncat(path->group, word(t, row, "group"), sizeof path->group - 1);
  read_profile(folder, word(t, row, "profile"), path, t->faults);
}

static void read_paths(const char *folder, truth_bank *bank, es_faults *faults) {
  table t = table_open(folder, "c3_1_paths.csv", faults);
  if (t.text == NULL) return;
  bank->paths = calloc(rows(&t), sizeof *bank->paths);
  if (bank->paths == NULL) no_memory(faults);
  for (size_t row = 0; bank->paths != NULL && row < rows(&t); row++)
    if (grade_a(&t, row)) read_path(folder, &t, row, &bank->paths[bank->n_paths++]);
  es_text_table_close(t.text);
}

/* --- values ------------------------------------------------------------------------------------------------------- */

static size_t path_of(const truth_bank *bank, int station) {
  for (size_t i = 0; i < bank->n_paths; i++)
    if (bank->paths[i].station == station) return i;
  return SIZE_MAX;
}

static void read_value(const table *t, size_t row, truth_bank *bank) {
  truth_value v = {.path = path_of(bank, (int)number(t, row, "station")),
                   .percent = number(t, row, "time_percent"),
                   .measured_db = number(t, row, "lb_measured_db")};
  for (int i = 0; i < TRUTH_BASELINES; i++) {
    char column[32];
    snprintf(column, sizeof column, "%s_db", truth_baseline_names[i]);
    v.baseline_db[i] = number(t, row, column);
  }
  if (v.path == SIZE_MAX || !(v.percent > 0.0) || isnan(v.measured_db))
    es_fault_add(t->faults, "c3_1_measured.csv", es_text_table_line(t->text, row), "no such path, or no value");
  else
    bank->values[bank->n_values++] = v;
}

static int by_path(const void *a, const void *b) {
  const truth_value *x = a, *y = b;
  if (x->path != y->path) return x->path < y->path ? -1 : 1;
  return (x->percent > y->percent) - (x->percent < y->percent);
}

static void read_values(const char *folder, truth_bank *bank, es_faults *faults) {
  table t = table_open(folder, "c3_1_measured.csv", faults);
  if (t.text == NULL) return;
  bank->values = calloc(rows(&t), sizeof *bank->values);
  if (bank->values == NULL) no_memory(faults);
  for (size_t row = 0; bank->values != NULL && row < rows(&t); row++)
    if (grade_a(&t, row)) read_value(&t, row, bank);
  if (bank->values != NULL) qsort(bank->values, bank->n_values, sizeof *bank->values, by_path);
  es_text_table_close(t.text);
}

bool truth_bank_open(const char *folder, truth_bank *bank, es_faults *faults) {
  *bank = (truth_bank){0};
  read_paths(folder, bank, faults);
  if (faults->n_faults == 0) read_values(folder, bank, faults);
  return faults->n_faults == 0;
}

void truth_bank_close(truth_bank *bank) {
  for (size_t i = 0; i < bank->n_paths; i++) {
    free(bank->paths[i].dist_km);
    free(bank->paths[i].ground_m);
    free(bank->paths[i].zone);
  }
  free(bank->paths);
  free(bank->values);
  *bank = (truth_bank){0};
}
