#include "run/heights.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "output/output.h"

static const double SAME_DB = 1.0; /* a change that nobody notices */

/* --- groups ---------------------------------------------------------------------------------------------------------------- */

static bool same_but_height(const es_scenario *a, const es_scenario *b) {
  return a->variant == b->variant && a->power_dbm == b->power_dbm && a->season == b->season;
}

static double median_snr(const es_percentages *p, const es_listener_answers *answers, size_t scenario,
                         size_t listener) {
  const es_path_answer *a = es_listener_answer(answers, scenario, listener);
  return a->status == ES_OK ? a->snr_db[p->median] : NAN;
}

/* Nobody changes by more than SAME_DB from height i to any greater one. */
static bool settled(const es_height_group *g, const es_percentages *p, const es_listener_answers *answers, size_t i) {
  for (size_t l = 0; l < answers->n_listeners; l++) {
    double here = median_snr(p, answers, g->scenarios[i], l);
    for (size_t j = i + 1; j < g->n; j++)
      if (fabs(median_snr(p, answers, g->scenarios[j], l) - here) > SAME_DB) return false;
  }
  return true;
}

static void find_stop(es_height_group *g, const es_percentages *p, const es_listener_answers *answers) {
  g->stop = g->n;
  for (size_t i = 0; i + 1 < g->n && g->stop == g->n; i++)
    if (settled(g, p, answers, i)) g->stop = i;
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

int32_t es_heights_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                        es_heights *out, es_error *err) {
  const es_job *job = setup->job;
  *out = (es_heights){.arena = es_arena_create()};
  out->groups = out->arena != NULL ? ES_NEW(out->arena, es_height_group, job->n_scenarios) : NULL;
  if (out->groups == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t s = 0; s < job->n_scenarios; s++) {
    if (!opens_group(job, s)) continue;
    es_height_group g = {0};
    if ((g.scenarios = members(job, s, out->arena, &g.n)) == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
    if (g.n < 2) continue;
    find_stop(&g, percents, answers);
    out->groups[out->n_groups++] = g;
  }
  return 0;
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
    if (median_snr(p, answers, g->scenarios[i], listener) >= best - SAME_DB) return i;
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

size_t es_recommended_scenario(const es_setup *setup, const es_percentages *p, const es_listener_answers *answers,
                               const es_heights *heights) {
  if (heights->n_groups == 0) return 0;
  const es_height_group *g = &heights->groups[0];
  if (g->stop < g->n) return g->scenarios[g->stop];
  size_t best = 0;
  for (size_t i = 1; i < g->n; i++)
    if (es_listeners_hearing(setup, p, answers, g->scenarios[i]) >
        es_listeners_hearing(setup, p, answers, g->scenarios[best]))
      best = i;
  return g->scenarios[best];
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

static int32_t write_heights(const writer *w, const char *path, es_error *err) {
  static const es_field fields[] = {{"scenario", ES_FIELD_TEXT, 0},         {"height_m", ES_FIELD_NUMBER, 1},
                                    {"listeners_heard", ES_FIELD_WHOLE, 0}, {"listeners", ES_FIELD_WHOLE, 0},
                                    {"covered_km2", ES_FIELD_NUMBER, 0},    {"listeners_per_m", ES_FIELD_NUMBER, 3},
                                    {"stop_point", ES_FIELD_TEXT, 0}};
  enum { N = sizeof fields / sizeof *fields };
  es_cell *cells = calloc(rows_of(w->heights) * N + 1, sizeof *cells), *row = cells;
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t g = 0; g < w->heights->n_groups; g++) {
    const es_height_group *group = &w->heights->groups[g];
    double before = NAN, below = NAN;
    for (size_t i = 0; i < group->n; i++, row += N) {
      const es_scenario *s = &w->setup->job->scenarios[group->scenarios[i]];
      double heard = (double)es_listeners_hearing(w->setup, w->percents, w->answers, group->scenarios[i]);
      double area = w->covered_km2 != NULL ? w->covered_km2[group->scenarios[i]] : NAN;
      const es_cell of[N] = {{s->name, NAN},
                             {NULL, s->height_m},
                             {NULL, heard},
                             {NULL, (double)w->answers->n_listeners},
                             {NULL, area},
                             {NULL, (heard - before) / (s->height_m - below)},
                             {i == group->stop ? "yes" : "", NAN}};
      memcpy(row, of, sizeof of);
      before = heard;
      below = s->height_m;
    }
  }
  int32_t status = es_csv_write(path, fields, N, cells, rows_of(w->heights), err);
  free(cells);
  return status;
}

static int32_t write_listeners(const writer *w, const char *path, es_error *err) {
  static const es_field fields[] = {{"name", ES_FIELD_TEXT, 0},
                                    {"scenario", ES_FIELD_TEXT, 0},
                                    {"height_m", ES_FIELD_NUMBER, 1},
                                    {"snr_2500hz_db_p50", ES_FIELD_NUMBER, 2},
                                    {"snr_2500hz_db_p90", ES_FIELD_NUMBER, 2},
                                    {"heard_percent", ES_FIELD_NUMBER, 2},
                                    {"gain_over_lowest_db", ES_FIELD_NUMBER, 2},
                                    {"knee", ES_FIELD_TEXT, 0}};
  enum { N = sizeof fields / sizeof *fields };
  size_t n_rows = rows_of(w->heights) * w->answers->n_listeners;
  es_cell *cells = calloc(n_rows * N + 1, sizeof *cells), *row = cells;
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t l = 0; l < w->answers->n_listeners; l++)
    for (size_t g = 0; g < w->heights->n_groups; g++) {
      const es_height_group *group = &w->heights->groups[g];
      size_t knee = es_height_knee(group, w->percents, w->answers, l);
      double lowest = median_snr(w->percents, w->answers, group->scenarios[0], l);
      for (size_t i = 0; i < group->n; i++, row += N) {
        const es_scenario *s = &w->setup->job->scenarios[group->scenarios[i]];
        const es_path_answer *a = es_listener_answer(w->answers, group->scenarios[i], l);
        double snr = median_snr(w->percents, w->answers, group->scenarios[i], l);
        double p90 = a->status == ES_OK && w->setup->timed && w->setup->highest_percent >= 90.0
                         ? es_snr_at(w->percents->value, a->snr_db, a->n, 90.0)
                         : NAN;
        const es_cell of[N] = {{w->setup->job->listeners.items[l].name, NAN},
                               {s->name, NAN},
                               {NULL, s->height_m},
                               {NULL, snr},
                               {NULL, p90},
                               {NULL, a->heard_percent},
                               {NULL, snr - lowest},
                               {i == knee ? "yes" : "", NAN}};
        memcpy(row, of, sizeof of);
      }
    }
  int32_t status = es_csv_write(path, fields, N, cells, n_rows, err);
  free(cells);
  return status;
}

int32_t es_heights_write(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                         const es_heights *heights, const double *covered_km2, const char *folder, es_error *err) {
  if (heights->n_groups == 0) return 0;
  writer w = {setup, percents, answers, heights, covered_km2};
  char *by_height = es_format("%s/heights.csv", folder), *by_listener = es_format("%s/heights-listeners.csv", folder);
  int32_t status = by_height != NULL && by_listener != NULL ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = write_heights(&w, by_height, err);
  if (status == 0) status = write_listeners(&w, by_listener, err);
  free(by_height);
  free(by_listener);
  return status;
}

/* --- advice -------------------------------------------------------------------------------------------------------------------- */

void es_height_advice(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                      const es_height_group *g, char *out, size_t n) {
  const es_scenario *all = setup->job->scenarios;
  const es_scenario *lowest = &all[g->scenarios[0]], *highest = &all[g->scenarios[g->n - 1]];
  bool stops = g->stop < g->n;
  size_t chosen = g->scenarios[stops ? g->stop : g->n - 1];
  size_t heard = es_listeners_hearing(setup, percents, answers, chosen);
  size_t at_lowest = es_listeners_hearing(setup, percents, answers, g->scenarios[0]);
  if (stops)
    snprintf(out, n,
             "%g m is high enough: up to %g m nobody gains or loses more than 1 dB above it. %zu of %zu listeners hear "
             "the beacon there, %zu at %g m.",
             all[chosen].height_m, highest->height_m, heard, answers->n_listeners, at_lowest, lowest->height_m);
  else
    snprintf(out, n,
             "Up to %g m every step still changes somebody by more than 1 dB. %zu of %zu listeners hear the beacon "
             "there, %zu at %g m.",
             highest->height_m, heard, answers->n_listeners, at_lowest, lowest->height_m);
}
