/* truth.c - judges the program's chains by measured paths and prints the tables of docs/truth.md.
 *
 * truth MEASURED MODELS OUT [LAND]
 *   MEASURED  folder of measured data        MODELS  folder of loss models
 *   OUT       folder for errors.csv and model_sigma.csv
 *   LAND      vector layer of land polygons, or a raster mask with 0 at sea; without it nothing is told by land    */
#include <gdal.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "forms.h"
#include "rain.h"
#include "sigma.h"
#include "stats.h"

enum { COLUMNS = 3 }; /* 1-5 GHz, 5-20 GHz, 5-20 GHz without the doubtful */

/* Everything predicted: [form][zoning], the bank's climate. */
typedef struct trial {
  truth_bank bank;
  truth_zone_set zones;
  truth_answer answer[TRUTH_FORMS][TRUTH_ZONINGS];
  truth_zoning best; /* by land when there is a layer, else as derived */
  double *error, *room;
} trial;

/* --- statistics of a choice of values ------------------------------------------------------------------------------ */

/* NULL and negative: any. */
typedef struct choice {
  int column;         /* of the bands */
  double percent;     /* one percentage; negative: all up to 50 */
  const uint8_t *way; /* of each value */
  int carried_by;
} choice;

static bool chosen(const trial *t, size_t i, const choice *c) {
  const truth_value *v = &t->bank.values[i];
  const truth_path *path = &t->bank.paths[v->path];
  if (c->column == 2 && path->doubtful) return false;
  if (truth_band_of(path->freq_ghz) != (c->column > 0)) return false;
  if (c->percent >= 0.0 ? v->percent != c->percent : v->percent > 50.0) return false;
  return c->way == NULL || c->way[i] == c->carried_by;
}

/* loss_db[i], or the bank's own baseline when loss_db is NULL. */
static truth_stats judge(trial *t, const double *loss_db, int baseline, const choice *c) {
  size_t n = 0;
  for (size_t i = 0; i < t->bank.n_values; i++) {
    if (!chosen(t, i, c)) continue;
    double predicted = loss_db != NULL ? loss_db[i] : t->bank.values[i].baseline_db[baseline];
    t->error[n++] = predicted - t->bank.values[i].measured_db;
  }
  return truth_stats_of(t->error, n, t->room);
}

static void print_stats(truth_stats s) {
  if (s.n == 0)
    printf(" | -");
  else
    printf(" | %zu: %+.1f / %.1f / %.1f", s.n, s.mean_db, s.rms_db, s.median_abs_db);
}

static void print_row(trial *t, const char *name, const double *loss_db, int baseline, choice c) {
  printf("| %s", name);
  for (c.column = 0; c.column < COLUMNS; c.column++) print_stats(judge(t, loss_db, baseline, &c));
  printf(" |\n");
}

static void print_head(const char *title, const char *what) {
  printf("\n### %s\n\nn: mean / RMS / median of absolute error, prediction minus measurement, dB\n\n"
         "| %s | 1-5 GHz | 5-20 GHz | 5-20 GHz without five |\n| --- | --- | --- | --- |\n",
         title, what);
}

static const choice every = {.percent = -1.0};

/* --- tables --------------------------------------------------------------------------------------------------------- */

static void print_forms(trial *t) {
  print_head("Chains and forms of troposcatter, p <= 50 %", "form");
  for (int f = 0; f < TRUTH_FORMS; f++) {
    truth_form form = truth_form_of(f, t->best, TRUTH_CLIMATE_BANK);
    print_row(t, form.name, t->answer[f][t->best].loss_db, 0, every);
  }
  for (int b = 0; b < TRUTH_BASELINES; b++) print_row(t, truth_baseline_names[b], NULL, b, every);
}

static void print_zones(trial *t, int f) {
  char title[96];
  snprintf(title, sizeof title, "Zones told in five ways: %s, p <= 50 %%",
           truth_form_of(f, TRUTH_DERIVED, TRUTH_CLIMATE_BANK).name);
  print_head(title, "zones");
  for (int z = 0; z < TRUTH_ZONINGS; z++)
    if (t->zones.zone[z] != NULL) print_row(t, truth_zoning_names[z], t->answer[f][z].loss_db, 0, every);
}

static void print_percentages(trial *t, int f) {
  static const double percent[] = {0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 50.0, 90.0, 99.0};
  char title[96];
  snprintf(title, sizeof title, "By percentage: %s", truth_form_of(f, t->best, TRUTH_CLIMATE_BANK).name);
  print_head(title, "p (%)");
  for (size_t k = 0; k < sizeof percent / sizeof *percent; k++) {
    char name[16];
    snprintf(name, sizeof name, "%g", percent[k]);
    print_row(t, name, t->answer[f][t->best].loss_db, 0, (choice){.percent = percent[k]});
  }
}

static void print_ways(trial *t, int f) {
  char title[96];
  snprintf(title, sizeof title, "By the way that carries it: %s, p <= 50 %%",
           truth_form_of(f, t->best, TRUTH_CLIMATE_BANK).name);
  print_head(title, "way");
  const truth_answer *a = &t->answer[f][t->best];
  for (int way = 0; way < TRUTH_WAYS; way++)
    print_row(t, truth_way_names[way], a->loss_db, 0, (choice){.percent = -1.0, .way = a->way, .carried_by = way});
}

/* The same values for every form: those that scatter carries in the default. */
static void print_scatter(trial *t) {
  print_head("Values carried by troposcatter in the default chain, p <= 50 %", "form");
  const uint8_t *way = t->answer[TRUTH_WHOLE_YEAR_P2001][t->best].way;
  for (int f = 0; f < TRUTH_FORMS; f++)
    print_row(t, truth_form_of(f, t->best, TRUTH_CLIMATE_BANK).name, t->answer[f][t->best].loss_db, 0,
              (choice){.percent = -1.0, .way = way, .carried_by = TRUTH_SCATTER});
}

static bool print_climate(trial *t, const char *models, es_faults *faults) {
  static const int forms[] = {TRUTH_WHOLE_YEAR_P2001, TRUTH_OPENINGS_P452};
  print_head("Climate: N0 and lapse of the bank, or the program's own fallbacks, p <= 50 %", "form");
  for (size_t k = 0; k < sizeof forms / sizeof *forms; k++) {
    truth_form form = truth_form_of(forms[k], t->best, TRUTH_CLIMATE_OWN);
    truth_answer own;
    char name[64];
    bool ok = truth_predict(&t->bank, &form, &t->zones, models, &own, faults);
    snprintf(name, sizeof name, "%s, bank", form.name);
    print_row(t, name, t->answer[forms[k]][t->best].loss_db, 0, every);
    snprintf(name, sizeof name, "%s, fallbacks", form.name);
    if (ok) print_row(t, name, own.loss_db, 0, every);
    truth_answer_fini(&own);
    if (!ok) return false;
  }
  return true;
}

/* --- chosen without the path that is judged -------------------------------------------------------------------------- */

static const char *group_of(const trial *t, size_t value) { return t->bank.paths[t->bank.values[value].path].group; }

/* Sum of squared errors of a form over the values of a column that are not over this ground. */
static double squares_elsewhere(const trial *t, const double *loss_db, const choice *c, const char *group) {
  double sum = 0.0;
  for (size_t i = 0; i < t->bank.n_values; i++) {
    if (!chosen(t, i, c) || strcmp(group_of(t, i), group) == 0) continue;
    double e = loss_db[i] - t->bank.values[i].measured_db;
    sum += e * e;
  }
  return sum;
}

static const double *best_elsewhere(const trial *t, const choice *c, const char *group) {
  const double *best = NULL;
  double least = INFINITY;
  for (int f = 0; f < TRUTH_FORMS; f++)
    for (int z = TRUTH_BY_ELEVATION; z < TRUTH_ZONINGS; z++) { /* a program that knows no sea is no candidate */
      const double *loss_db = t->answer[f][z].loss_db;
      double squares = loss_db != NULL ? squares_elsewhere(t, loss_db, c, group) : INFINITY;
      if (!(squares < least)) continue;
      least = squares;
      best = loss_db;
    }
  return best;
}

/* Chain, form and zones are chosen by the other grounds: what choosing on these very paths flatters is taken out. */
static bool print_unseen(trial *t) {
  double *loss_db = calloc(t->bank.n_values, sizeof *loss_db);
  if (loss_db == NULL) return false;
  printf("| chosen by the other paths");
  choice c = every;
  for (c.column = 0; c.column < COLUMNS; c.column++) {
    for (size_t i = 0; i < t->bank.n_values; i++) {
      if (!chosen(t, i, &c)) continue;
      const double *best = best_elsewhere(t, &c, group_of(t, i));
      loss_db[i] = best != NULL ? best[i] : NAN;
    }
    print_stats(judge(t, loss_db, 0, &c));
  }
  printf(" |\n");
  free(loss_db);
  return true;
}

/* --- paths ---------------------------------------------------------------------------------------------------------- */

static truth_stats judge_path(trial *t, size_t path, const double *loss_db) {
  size_t n = 0;
  for (size_t i = 0; i < t->bank.n_values; i++)
    if (t->bank.values[i].path == path && t->bank.values[i].percent <= 50.0)
      t->error[n++] = loss_db[i] - t->bank.values[i].measured_db;
  return truth_stats_of(t->error, n, t->room);
}

static void print_paths(trial *t) {
  printf("\n### Path by path, p <= 50 %%: mean error (dB) and sea (km)\n\n| station | group | f (GHz) | d (km) | n | "
         "whole-year | openings | sea: bank | profile | %s |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | "
         "--- |\n",
         truth_zoning_names[t->best]);
  for (size_t i = 0; i < t->bank.n_paths; i++) {
    const truth_path *path = &t->bank.paths[i];
    truth_stats whole = judge_path(t, i, t->answer[TRUTH_WHOLE_YEAR_P2001][t->best].loss_db);
    truth_stats openings = judge_path(t, i, t->answer[TRUTH_OPENINGS_P452][t->best].loss_db);
    printf("| %d%s | %s | %.3g | %.0f | %zu | %+.1f | %+.1f | %.0f | %.0f | %.0f |\n", path->station,
           path->doubtful ? " (doubtful)" : "", path->group, path->freq_ghz, path->dist_km[path->n - 1], whole.n,
           whole.mean_db, openings.mean_db, path->sea_table_km, path->sea_profile_km,
           truth_sea_km(path, t->zones.zone[t->best][i]));
  }
}

/* --- spread --------------------------------------------------------------------------------------------------------- */

static void print_sigma(trial *t, int f) {
  static const char *const basis[] = {"", "both bands", "all ways"};
  const truth_answer *a = &t->answer[f][t->best];
  printf("\n### Spread: %s, p <= 50 %%\n\n| way | band (GHz) | sigma (dB) | mean error (dB) | n | paths | basis |\n"
         "| --- | --- | --- | --- | --- | --- | --- |\n",
         truth_form_of(f, t->best, TRUTH_CLIMATE_BANK).name);
  for (int way = 0; way < TRUTH_WAYS; way++)
    for (int band = 0; band < TRUTH_BANDS; band++) {
      truth_sigma s = truth_sigma_of(&t->bank, a, way, band, SIZE_MAX, false);
      printf("| %s | %s | %.1f | %+.1f | %zu | %zu | %s |\n", truth_way_names[way], truth_band_names[band], s.sigma_db,
             s.bias_db, s.n, s.paths, basis[s.basis]);
    }
  printf("\n80 %% interval holds, of left-out values: %.0f %% (one path left out), %.0f %% (one ground left out)\n",
         truth_sigma_check(&t->bank, a, false), truth_sigma_check(&t->bank, a, true));
}

/* --- files ---------------------------------------------------------------------------------------------------------- */

static FILE *create(const char *folder, const char *name, es_faults *faults) {
  char *path = es_format("%s/%s", folder, name);
  FILE *file = path != NULL ? fopen(path, "w") : NULL;
  if (file == NULL) es_fault_add(faults, path, 0, "cannot be written");
  free(path);
  return file;
}

static void write_errors(const trial *t, const char *out, es_faults *faults) {
  FILE *file = create(out, "errors.csv", faults);
  if (file == NULL) return;
  fprintf(
      file,
      "# prediction minus measured basic transmission loss of the chosen chains | zones: %s | units: GHz, km, %%, dB\n"
      "station,group,f_ghz,d_km,time_percent,lb_measured_db,doubtful,whole_year_db,whole_year_way,openings_db,"
      "openings_way,p452_zones_db\n",
      truth_zoning_names[t->best]);
  const truth_answer *whole = &t->answer[TRUTH_WHOLE_YEAR_P2001][t->best];
  const truth_answer *openings = &t->answer[TRUTH_OPENINGS_P452][t->best];
  for (size_t i = 0; i < t->bank.n_values; i++) {
    const truth_value *v = &t->bank.values[i];
    const truth_path *path = &t->bank.paths[v->path];
    fprintf(file, "%d,%s,%g,%.1f,%g,%.1f,%d,%.2f,%s,", path->station, path->group, path->freq_ghz,
            path->dist_km[path->n - 1], v->percent, v->measured_db, path->doubtful, whole->loss_db[i] - v->measured_db,
            truth_way_names[whole->way[i]]);
    if (v->percent <= 50.0) /* P.452 knows no more */
      fprintf(file, "%.2f,%s,", openings->loss_db[i] - v->measured_db, truth_way_names[openings->way[i]]);
    else
      fprintf(file, ",,");
    if (isnan(v->baseline_db[2]))
      fprintf(file, "\n");
    else
      fprintf(file, "%.2f\n", v->baseline_db[2] - v->measured_db);
  }
  fclose(file);
}

static void write_sigma(const trial *t, const char *out, es_faults *faults) {
  FILE *file = create(out, "model_sigma.csv", faults);
  if (file == NULL) return;
  truth_sigma_write(file, &t->bank, &t->answer[TRUTH_WHOLE_YEAR_P2001][t->best],
                    "data bank DBSG3 Table III-1, grade A, p <= 50 %, whole-year chain");
  fclose(file);
}

/* --- the whole ------------------------------------------------------------------------------------------------------ */

static bool predict_all(trial *t, const char *models, es_faults *faults) {
  bool ok = true;
  for (int f = 0; ok && f < TRUTH_FORMS; f++)
    for (int z = 0; ok && z < TRUTH_ZONINGS; z++) {
      if (t->zones.zone[z] == NULL) continue;
      truth_form form = truth_form_of(f, (truth_zoning)z, TRUTH_CLIMATE_BANK);
      ok = truth_predict(&t->bank, &form, &t->zones, models, &t->answer[f][z], faults);
    }
  return ok;
}

static bool open_trial(trial *t, const char *measured, const char *models, const char *land, es_faults *faults) {
  if (!truth_bank_open(measured, &t->bank, faults)) return false;
  t->error = calloc(t->bank.n_values + 1, sizeof *t->error);
  t->room = calloc(t->bank.n_values + 1, sizeof *t->room);
  if (t->error == NULL || t->room == NULL) es_fault_add(faults, NULL, 0, "out of memory");
  t->best = land != NULL ? TRUTH_BY_LAND : TRUTH_DERIVED;
  return faults->n_faults == 0 && truth_zone_set_make(&t->bank, land, &t->zones, faults) &&
         predict_all(t, models, faults);
}

static void close_trial(trial *t) {
  for (int f = 0; f < TRUTH_FORMS; f++)
    for (int z = 0; z < TRUTH_ZONINGS; z++) truth_answer_fini(&t->answer[f][z]);
  truth_zone_set_fini(&t->zones);
  truth_bank_close(&t->bank);
  free(t->error);
  free(t->room);
}

static void print_tables(trial *t, const char *models, es_faults *faults) {
  printf("Zones of the tables below, unless they say otherwise: %s.\n", truth_zoning_names[t->best]);
  print_forms(t);
  if (!print_unseen(t)) es_fault_add(faults, NULL, 0, "out of memory");
  print_zones(t, TRUTH_WHOLE_YEAR_P2001);
  print_zones(t, TRUTH_OPENINGS_P452);
  print_climate(t, models, faults);
  print_ways(t, TRUTH_WHOLE_YEAR_P2001);
  print_ways(t, TRUTH_OPENINGS_P452);
  print_scatter(t);
  print_percentages(t, TRUTH_WHOLE_YEAR_P2001);
  print_percentages(t, TRUTH_OPENINGS_P452);
  print_sigma(t, TRUTH_WHOLE_YEAR_P2001);
  print_sigma(t, TRUTH_OPENINGS_P452);
  print_paths(t);
}

static void print_rain(const char *measured, es_faults *faults) {
  truth_rain rain;
  if (!truth_rain_judge(measured, &rain, faults)) return;
  printf("\n### Rain\n\n%zu samples of %zu links: sum of measured %.0f dB, of k R^alpha L %.0f dB, ratio %.3f\n",
         rain.samples, rain.links, rain.measured_db, rain.predicted_db, rain.measured_db / rain.predicted_db);
}

static int tell(es_faults *faults) {
  int failed = faults->n_faults > 0;
  for (size_t i = 0; i < faults->n; i++) {
    const es_fault *f = &faults->items[i];
    if (!f->note) fprintf(stderr, "truth: %s: %s\n", f->file != NULL ? f->file : "", f->text != NULL ? f->text : "");
  }
  es_faults_free(faults);
  return failed;
}

int main(int argc, char **argv) {
  if (argc < 4 || argc > 5) {
    fprintf(stderr, "truth MEASURED MODELS OUT [LAND]\n");
    return 2;
  }
  GDALAllRegister();
  es_faults faults = {0};
  trial t = {0};
  if (open_trial(&t, argv[1], argv[2], argc == 5 ? argv[4] : NULL, &faults)) {
    print_tables(&t, argv[2], &faults);
    print_rain(argv[1], &faults);
    write_errors(&t, argv[3], &faults);
    write_sigma(&t, argv[3], &faults);
  }
  close_trial(&t);
  return tell(&faults);
}
