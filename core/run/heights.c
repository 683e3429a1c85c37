#include "run/heights.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "job/scenario.h"
#include "output/output.h"
#include "run/ranking.h"
#include "station/beacon_chain.h"

const double es_noticed_db = 1.0;

/* --- groups ---------------------------------------------------------------------------------------------------------------- */

static bool same_but_height(const es_scenario *a, const es_scenario *b) {
  return a->variant == b->variant && a->power_dbm == b->power_dbm && a->season == b->season;
}

static double median_snr(const es_percentages *p, const es_listener_answers *answers, size_t scenario,
                         size_t listener) {
  const es_path_answer *a = es_listener_answer(answers, scenario, listener);
  return a->status == ES_OK ? a->snr_db[p->median] : NAN;
}

/* Nobody changes by more than es_noticed_db from height i to any greater one. */
static bool settled(const es_height_group *g, const es_percentages *p, const es_listener_answers *answers, size_t i) {
  for (size_t l = 0; l < answers->n_listeners; l++) {
    double here = median_snr(p, answers, g->scenarios[i], l);
    for (size_t j = i + 1; j < g->n; j++)
      if (fabs(median_snr(p, answers, g->scenarios[j], l) - here) > es_noticed_db) return false;
  }
  return true;
}

static void find_stop(es_height_group *g, const es_percentages *p, const es_listener_answers *answers) {
  g->stop = g->n;
  for (size_t i = 0; i + 1 < g->n && g->stop == g->n; i++)
    if (settled(g, p, answers, i)) g->stop = i;
}

/* The lowest of the heights that cannot be told from the one with most listeners. */
static size_t lowest_good(const es_height_group *g, const es_ranking *r) {
  size_t most = 0, i = 0;
  for (size_t k = 1; k < g->n; k++)
    if (r->scores[g->scenarios[k]].listeners > r->scores[g->scenarios[most]].listeners) most = k;
  while (es_ranking_compare(r, g->scenarios[most], g->scenarios[i]) > 0) i++;
  return i;
}

double es_height_feeder_db(const es_setup *setup, const es_height_group *g, size_t i) {
  const es_scenario *s = &setup->job->scenarios[g->scenarios[i]];
  return es_beacon_feeder_db(&es_job_in(setup->job, g->scenarios[i])->beacon, s->height_m);
}

/* The scenarios of the group that `first` opens, by height; NULL out of memory. */
static size_t *members(const es_job *job, size_t first, es_arena *arena, size_t *n) {
  size_t *list = ES_NEW(arena, size_t, job->n_scenarios);
  *n = 0;
  for (size_t s = first; list != NULL && s < job->n_scenarios; s++) {
    if (!same_but_height(&job->scenarios[first], &job->scenarios[s])) continue;
    size_t at = (*n)++;
    while (at > 0 && job->scenarios[list[at - 1]].height_m > job->scenarios[s].height_m) {
      list[at] = list[at - 1];
      at--;
    }
    list[at] = s;
  }
  return list;
}

static bool opens_group(const es_job *job, size_t s) {
  for (size_t i = 0; i < s; i++)
    if (same_but_height(&job->scenarios[i], &job->scenarios[s])) return false;
  return true;
}

/* Pages show the first site alone. */
static size_t find_proposed(const es_heights *h, const es_job *job, const es_ranking *ranking) {
  size_t best = ranking->n > 0 ? es_ranking_best(ranking, 0) : 0;
  for (size_t g = 0; es_job_in(job, best)->site == es_job_in(job, 0)->site && g < h->n_groups; g++)
    for (size_t i = 0; i < h->groups[g].n; i++)
      if (h->groups[g].scenarios[i] == best) return g;
  return 0;
}

int32_t es_heights_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                        es_heights *out, es_error *err) {
  const es_job *job = setup->job;
  *out = (es_heights){.arena = es_arena_create()};
  out->groups = out->arena != NULL ? ES_NEW(out->arena, es_height_group, job->n_scenarios) : NULL;
  if (out->groups == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  es_ranking ranking;
  int32_t status = es_ranking_make(setup, percents, answers, NULL, &ranking, err);
  for (size_t s = 0; status == 0 && s < job->n_scenarios; s++) {
    if (!opens_group(job, s)) continue;
    es_height_group g = {0};
    if ((g.scenarios = members(job, s, out->arena, &g.n)) == NULL) status = es_fail(err, ES_E_MEMORY, "out of memory");
    if (status != 0 || g.n < 2) continue;
    find_stop(&g, percents, answers);
    g.best = g.stop < g.n ? g.stop : lowest_good(&g, &ranking);
    g.price_db = es_height_feeder_db(setup, &g, g.best) - es_height_feeder_db(setup, &g, 0);
    out->groups[out->n_groups++] = g;
  }
  if (status == 0) out->proposed = find_proposed(out, job, &ranking);
  es_ranking_free(&ranking);
  return status;
}

void es_heights_free(es_heights *heights) {
  es_arena_destroy(heights->arena);
  *heights = (es_heights){0};
}

size_t es_height_knee(const es_height_group *g, const es_percentages *p, const es_listener_answers *answers,
                      size_t listener) {
  double best = -INFINITY;
  for (size_t i = 0; i < g->n; i++) best = fmax(best, median_snr(p, answers, g->scenarios[i], listener));
  for (size_t i = 0; i < g->n; i++)
    if (median_snr(p, answers, g->scenarios[i], listener) >= best - es_noticed_db) return i;
  return g->n;
}

size_t es_listeners_hearing(const es_setup *setup, const es_percentages *p, const es_listener_answers *answers,
                            size_t scenario) {
  size_t n = 0;
  for (size_t l = 0; l < answers->n_listeners; l++) {
    const es_path_answer *a = es_listener_answer(answers, scenario, l);
    if (a->status != ES_OK) continue;
    n += setup->timed ? a->heard_percent > 50.0 : a->snr_db[p->median] >= a->needed_db;
  }
  return n;
}

size_t es_recommended_scenario(const es_heights *heights) {
  const es_height_group *g = heights->n_groups > 0 ? &heights->groups[heights->proposed] : NULL;
  return g != NULL ? g->scenarios[g->best] : 0;
}

double es_listeners_by_mode(const es_setup *setup, const es_percentages *p, const es_listener_answers *answers,
                            size_t scenario, const es_mode *mode, bool weighted) {
  const es_setup *in = es_setup_in(setup, scenario);
  double n = 0.0;
  for (size_t l = 0; l < answers->n_listeners; l++) {
    const es_path_answer *a = es_listener_answer(answers, scenario, l);
    if (es_chance_heard(in, p, a, mode, in->job->aim.time_percent) >= 0.5)
      n += weighted ? in->job->listeners.items[l].weight : 1.0;
  }
  return n;
}

/* --- tables ------------------------------------------------------------------------------------------------------------------ */

typedef struct writer {
  const es_setup *setup;
  const es_percentages *percents;
  const es_listener_answers *answers;
  const es_heights *heights;
  const double *covered_km2;
} writer;

static size_t rows_of(const es_heights *heights) {
  size_t n = 0;
  for (size_t g = 0; g < heights->n_groups; g++) n += heights->groups[g].n;
  return n;
}

static double area_of(const writer *w, size_t scenario) {
  return w->covered_km2 != NULL ? w->covered_km2[scenario] : NAN;
}

enum { FIXED_FIELDS = 12, MOST_FIELDS = 96, NAME_BYTES = 48 };

/* The fixed columns, then one a mode: heard_by_cw. */
static size_t name_fields(const es_modes *modes, es_field *fields, char names[][NAME_BYTES]) {
  static const es_field fixed[FIXED_FIELDS] = {
      {"scenario", ES_FIELD_TEXT, 0},         {"height_m", ES_FIELD_NUMBER, 1},
      {"listeners_heard", ES_FIELD_WHOLE, 0}, {"listeners", ES_FIELD_WHOLE, 0},
      {"covered_km2", ES_FIELD_NUMBER, 0},    {"listeners_per_m", ES_FIELD_NUMBER, 3},
      {"stop_point", ES_FIELD_TEXT, 0},       {"recommended", ES_FIELD_TEXT, 0},
      {"season", ES_FIELD_TEXT, 0},           {"feeder_loss_db", ES_FIELD_NUMBER, 2},
      {"weight_heard", ES_FIELD_NUMBER, 2},   {"km2_per_m", ES_FIELD_NUMBER, 2}};
  size_t n = FIXED_FIELDS;
  memcpy(fields, fixed, sizeof fixed);
  for (size_t m = 0; m < modes->n && n < MOST_FIELDS; m++, n++) {
    snprintf(names[m], NAME_BYTES, "heard_by_%.32s", modes->items[m].id);
    fields[n] = (es_field){names[m], ES_FIELD_WHOLE, 0};
  }
  return n;
}

static void fill_height(const writer *w, const es_height_group *g, size_t i, size_t n_fields, es_cell *row) {
  const es_scenario *all = w->setup->job->scenarios, *s = &all[g->scenarios[i]];
  size_t below = i > 0 ? g->scenarios[i - 1] : g->scenarios[0];
  double step_m = i > 0 ? s->height_m - all[below].height_m : NAN, area = area_of(w, g->scenarios[i]);
  double heard = (double)es_listeners_hearing(w->setup, w->percents, w->answers, g->scenarios[i]);
  double before = (double)es_listeners_hearing(w->setup, w->percents, w->answers, below);
  const es_cell fixed[FIXED_FIELDS] = {
      {s->name, NAN},
      {NULL, s->height_m},
      {NULL, heard},
      {NULL, (double)w->answers->n_listeners},
      {NULL, area},
      {NULL, (heard - before) / step_m},
      {i == g->stop ? "yes" : "", NAN},
      {i == g->best ? "yes" : "", NAN},
      {es_season_name(s->season), NAN},
      {NULL, es_height_feeder_db(w->setup, g, i)},
      {NULL, es_listeners_by_mode(w->setup, w->percents, w->answers, g->scenarios[i], NULL, true)},
      {NULL, (area - area_of(w, below)) / step_m}};
  memcpy(row, fixed, sizeof fixed);
  for (size_t f = FIXED_FIELDS; f < n_fields; f++) {
    const es_mode *mode = &w->setup->job->modes.items[f - FIXED_FIELDS];
    row[f].number = es_listeners_by_mode(w->setup, w->percents, w->answers, g->scenarios[i], mode, false);
  }
}

static int32_t write_heights(const writer *w, const char *path, es_error *err) {
  es_field fields[MOST_FIELDS];
  char names[MOST_FIELDS][NAME_BYTES];
  size_t n = name_fields(&w->setup->job->modes, fields, names);
  es_cell *cells = calloc(rows_of(w->heights) * n + 1, sizeof *cells), *row = cells;
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t g = 0; g < w->heights->n_groups; g++)
    for (size_t i = 0; i < w->heights->groups[g].n; i++, row += n) fill_height(w, &w->heights->groups[g], i, n, row);
  int32_t status = es_csv_write(path, fields, n, cells, rows_of(w->heights), err);
  free(cells);
  return status;
}

static double snr_at(const writer *w, const es_path_answer *a, double percent) {
  if (a->status != ES_OK || !w->setup->timed || w->setup->highest_percent < percent) return NAN;
  return es_snr_at(w->percents->value, a->snr_db, a->n, percent);
}

static const es_field LISTENER_FIELDS[] = {{"name", ES_FIELD_TEXT, 0},
                                           {"scenario", ES_FIELD_TEXT, 0},
                                           {"height_m", ES_FIELD_NUMBER, 1},
                                           {"snr_2500hz_db_p50", ES_FIELD_NUMBER, 2},
                                           {"snr_2500hz_db_p90", ES_FIELD_NUMBER, 2},
                                           {"heard_percent", ES_FIELD_NUMBER, 2},
                                           {"gain_over_lowest_db", ES_FIELD_NUMBER, 2},
                                           {"knee", ES_FIELD_TEXT, 0},
                                           {"snr_2500hz_db_p10", ES_FIELD_NUMBER, 2},
                                           {"gain_db_per_m", ES_FIELD_NUMBER, 3}};
enum { LISTENER_COLUMNS = sizeof LISTENER_FIELDS / sizeof *LISTENER_FIELDS };

/* One listener at one height of a group. */
static void fill_listener(const writer *w, const es_height_group *g, size_t listener, size_t i, es_cell *row) {
  const es_scenario *all = w->setup->job->scenarios, *s = &all[g->scenarios[i]];
  const es_path_answer *a = es_listener_answer(w->answers, g->scenarios[i], listener);
  size_t below = g->scenarios[i > 0 ? i - 1 : 0];
  double snr = median_snr(w->percents, w->answers, g->scenarios[i], listener);
  double lowest = median_snr(w->percents, w->answers, g->scenarios[0], listener);
  double before = median_snr(w->percents, w->answers, below, listener);
  double step_m = i > 0 ? s->height_m - all[below].height_m : NAN;
  bool knee = es_height_knee(g, w->percents, w->answers, listener) == i;
  const es_cell of[LISTENER_COLUMNS] = {{w->setup->job->listeners.items[listener].name, NAN},
                                        {s->name, NAN},
                                        {NULL, s->height_m},
                                        {NULL, snr},
                                        {NULL, snr_at(w, a, 90.0)},
                                        {NULL, a->heard_percent},
                                        {NULL, snr - lowest},
                                        {knee ? "yes" : "", NAN},
                                        {NULL, snr_at(w, a, 10.0)},
                                        {NULL, (snr - before) / step_m}};
  memcpy(row, of, sizeof of);
}

static int32_t write_listeners(const writer *w, const char *path, es_error *err) {
  size_t n_rows = rows_of(w->heights) * w->answers->n_listeners;
  es_cell *cells = calloc(n_rows * LISTENER_COLUMNS + 1, sizeof *cells), *row = cells;
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t l = 0; l < w->answers->n_listeners; l++)
    for (const es_height_group *g = w->heights->groups; g < w->heights->groups + w->heights->n_groups; g++)
      for (size_t i = 0; i < g->n; i++, row += LISTENER_COLUMNS) fill_listener(w, g, l, i, row);
  int32_t status = es_csv_write(path, LISTENER_FIELDS, LISTENER_COLUMNS, cells, n_rows, err);
  free(cells);
  return status;
}

/* --- record -------------------------------------------------------------------------------------------------------------------- */

static json_t *height_record(const writer *w, const es_height_group *g, size_t i) {
  const es_scenario *s = &w->setup->job->scenarios[g->scenarios[i]];
  const es_modes *modes = &w->setup->job->modes;
  json_t *by_mode = json_object();
  for (size_t m = 0; m < modes->n; m++)
    json_object_set_new(by_mode, modes->items[m].id,
                        json_integer((json_int_t)es_listeners_by_mode(w->setup, w->percents, w->answers,
                                                                      g->scenarios[i], &modes->items[m], false)));
  return json_pack("{s:s,s:o,s:o,s:I,s:o,s:o,s:o}", "scenario", s->name, "height_m", es_json_number(s->height_m),
                   "feeder_loss_db", es_json_number(es_height_feeder_db(w->setup, g, i)), "listeners_heard",
                   (json_int_t)es_listeners_hearing(w->setup, w->percents, w->answers, g->scenarios[i]), "weight_heard",
                   es_json_number(es_listeners_by_mode(w->setup, w->percents, w->answers, g->scenarios[i], NULL, true)),
                   "covered_km2", es_json_number(area_of(w, g->scenarios[i])), "listeners_heard_by_mode", by_mode);
}

static json_t *knee_records(const writer *w, const es_height_group *g) {
  json_t *list = json_array();
  for (size_t l = 0; l < w->answers->n_listeners; l++) {
    size_t knee = es_height_knee(g, w->percents, w->answers, l);
    bool known = knee < g->n;
    double lowest = median_snr(w->percents, w->answers, g->scenarios[0], l);
    double there = known ? median_snr(w->percents, w->answers, g->scenarios[knee], l) : NAN;
    json_array_append_new(
        list, json_pack("{s:o,s:o,s:o}", "name", json_string_nocheck(w->setup->job->listeners.items[l].name), "knee_m",
                        known ? es_json_number(w->setup->job->scenarios[g->scenarios[knee]].height_m) : json_null(),
                        "gain_over_lowest_db", es_json_number(there - lowest)));
  }
  return list;
}

static json_t *group_record(const writer *w, const es_height_group *g) {
  const es_scenario *all = w->setup->job->scenarios;
  char advice[512];
  json_t *heights = json_array();
  es_height_advice(w->setup, w->percents, w->answers, g, advice, sizeof advice);
  for (size_t i = 0; i < g->n; i++) json_array_append_new(heights, height_record(w, g, i));
  return json_pack("{s:s,s:o,s:o,s:o,s:s,s:o,s:o}", "season", es_season_name(all[g->scenarios[0]].season),
                   "stop_point_m", g->stop < g->n ? es_json_number(all[g->scenarios[g->stop]].height_m) : json_null(),
                   "recommended_m", es_json_number(all[g->scenarios[g->best]].height_m), "price_db",
                   es_json_number(g->price_db), "advice", advice, "heights", heights, "knees", knee_records(w, g));
}

static int32_t write_json(const writer *w, const char *path, es_error *err) {
  json_t *list = json_array();
  for (size_t g = 0; g < w->heights->n_groups; g++)
    json_array_append_new(list, group_record(w, &w->heights->groups[g]));
  json_t *record = json_pack("{s:f,s:o}", "same_db", es_noticed_db, "groups", list);
  int32_t status = record != NULL ? es_json_write(path, record, err) : es_fail(err, ES_E_MEMORY, "out of memory");
  json_decref(record);
  return status;
}

int32_t es_heights_write(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                         const es_heights *heights, const double *covered_km2, const char *folder, es_error *err) {
  if (heights->n_groups == 0) return 0;
  writer w = {setup, percents, answers, heights, covered_km2};
  char *by_height = es_format("%s/heights.csv", folder), *by_listener = es_format("%s/heights-listeners.csv", folder),
       *json = es_format("%s/heights.json", folder);
  int32_t status =
      by_height != NULL && by_listener != NULL && json != NULL ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = write_heights(&w, by_height, err);
  if (status == 0) status = write_listeners(&w, by_listener, err);
  if (status == 0) status = write_json(&w, json, err);
  free(json);
  free(by_height);
  free(by_listener);
  return status;
}

/* --- advice -------------------------------------------------------------------------------------------------------------------- */

/* What the way up costs, when there is a line that grows with it. */
static void price_text(const es_setup *setup, const es_height_group *g, char *out, size_t n) {
  double lowest_m = setup->job->scenarios[g->scenarios[0]].height_m;
  if (g->best == 0)
    out[0] = '\0';
  else if (fabs(g->price_db) < 0.05)
    snprintf(out, n, " It costs no feeder loss.");
  else
    snprintf(out, n, " Its price is %.1f dB of feeder loss more than at %g m, counted already.", g->price_db, lowest_m);
}

void es_height_advice(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                      const es_height_group *g, char *out, size_t n) {
  const es_scenario *all = setup->job->scenarios;
  double lowest_m = all[g->scenarios[0]].height_m, highest_m = all[g->scenarios[g->n - 1]].height_m;
  double best_m = all[g->scenarios[g->best]].height_m;
  size_t heard = es_listeners_hearing(setup, percents, answers, g->scenarios[g->best]);
  size_t at_lowest = es_listeners_hearing(setup, percents, answers, g->scenarios[0]);
  char why[192], beside[48] = "", price[128];
  if (g->stop < g->n)
    snprintf(why, sizeof why, "%g m is high enough: from there up to %g m nobody gains or loses more than 1 dB.",
             best_m, highest_m);
  else if (g->best + 1 == g->n)
    snprintf(why, sizeof why,
             "%g m, the highest asked for, is the best, and from every lower height somebody still changes by more "
             "than 1 dB: more "
             "height may help.",
             best_m);
  else
    snprintf(why, sizeof why,
             "%g m does it: no height is clearly heard by more, though from every height below %g m somebody still "
             "changes by "
             "more than 1 dB.",
             best_m, highest_m);
  price_text(setup, g, price, sizeof price);
  if (g->best > 0) snprintf(beside, sizeof beside, ", %zu at %g m", at_lowest, lowest_m);
  snprintf(out, n, "%s %zu of %zu listeners hear the beacon there%s.%s", why, heard, answers->n_listeners, beside,
           price);
}
