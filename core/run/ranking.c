#include "run/ranking.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "output/output.h"

static const double NOTHING = 1e-9; /* differences below are rounding */

/* --- chances ------------------------------------------------------------------------------------------------------ */

static size_t nearest(const es_percentages *p, double percent) {
  size_t best = 0;
  for (size_t k = 1; k < p->n; k++)
    if (fabs(p->value[k] - percent) < fabs(p->value[best] - percent)) best = k;
  return best;
}

static double ear_db(const es_setup *setup, const es_mode *mode) {
  return isnan(setup->job->spread.ear_db) ? mode->spread_db : setup->job->spread.ear_db;
}

double es_chance_heard(const es_setup *setup, const es_percentages *p, const es_path_answer *a, const es_mode *mode,
                       double time_percent) {
  if (a->status != ES_OK) return NAN;
  size_t k = setup->timed ? nearest(p, time_percent) : p->median;
  double snr_db = setup->timed ? es_snr_at(p->value, a->snr_db, a->n, time_percent) : a->snr_db[p->median];
  double needed_db = mode != NULL ? es_mode_needed_db(mode, a->doubt.widening_hz) : a->needed_db;
  double ear = mode != NULL ? ear_db(setup, mode) : a->doubt.spread.db[ES_SIGMA_EAR];
  return es_spread_confidence(snr_db, needed_db, hypot(a->doubt.sigma_db[k], ear)) / 100.0;
}

double es_chance_variance(double p, double q, bool same_site) {
  double apart = fabs(p - q);
  return same_site ? apart * (1.0 - apart) : p * (1.0 - p) + q * (1.0 - q);
}

static double chance_at(const es_ranking *r, size_t scenario, size_t listener) {
  double p = r->chance[scenario * r->n_listeners + listener];
  return isnan(p) ? 0.0 : p;
}

/* --- scores ------------------------------------------------------------------------------------------------------- */

static const es_mode *aimed_mode(const es_setup *setup) {
  const es_job *job = setup->job;
  return job->aim.mode[0] != '\0' ? es_mode_find(&job->modes, job->aim.mode) : NULL;
}

static void score(es_ranking *r, const es_percentages *p, const es_listener_answers *answers, size_t s) {
  const es_setup *setup = es_setup_in(r->setup, s);
  const es_mode *mode = aimed_mode(setup);
  const es_aim *aim = &setup->job->aim;
  es_score *out = &r->scores[s];
  for (size_t l = 0; l < r->n_listeners; l++) {
    double chance = es_chance_heard(setup, p, es_listener_answer(answers, s, l), mode, aim->time_percent);
    r->chance[s * r->n_listeners + l] = chance;
    out->heard += chance >= 0.5;
    if (!isnan(chance)) out->listeners += chance * setup->job->listeners.items[l].weight;
  }
  for (size_t i = 0; i < aim->n_first; i++) out->first += chance_at(r, s, aim->first[i]);
}

/* --- who is better ------------------------------------------------------------------------------------------------ */

static int verdict(double difference, double variance) {
  if (fabs(difference) <= NOTHING || difference * difference <= variance) return 0;
  return difference > 0.0 ? 1 : -1;
}

static bool same_site(const es_ranking *r, size_t a, size_t b) {
  return es_job_in(r->setup->job, a)->site == es_job_in(r->setup->job, b)->site;
}

static int by_first(const es_ranking *r, size_t a, size_t b) {
  const es_aim *aim = &r->setup->job->aim;
  double variance = 0.0;
  for (size_t i = 0; i < aim->n_first; i++)
    variance += es_chance_variance(chance_at(r, a, aim->first[i]), chance_at(r, b, aim->first[i]), same_site(r, a, b));
  return verdict(r->scores[a].first - r->scores[b].first, variance);
}

static double listeners_variance(const es_ranking *r, size_t a, size_t b) {
  double variance = 0.0;
  for (size_t l = 0; l < r->n_listeners; l++) {
    double weight = r->setup->job->listeners.items[l].weight;
    variance += weight * weight * es_chance_variance(chance_at(r, a, l), chance_at(r, b, l), same_site(r, a, b));
  }
  return variance;
}

static int by_listeners(const es_ranking *r, size_t a, size_t b) {
  return verdict(r->scores[a].listeners - r->scores[b].listeners, listeners_variance(r, a, b));
}

/* How far the difference of areas moves when everything is one sigma better or worse: together at one site, each by itself
 * at two. */
static int by_area(const es_ranking *r, size_t a, size_t b) {
  const es_area *x = &r->scores[a].area, *y = &r->scores[b].area;
  if (isnan(x->km2) || isnan(y->km2)) return 0;
  double sx = 0.5 * (x->better_km2 - x->worse_km2), sy = 0.5 * (y->better_km2 - y->worse_km2);
  double sigma = same_site(r, a, b) ? fabs(sx - sy) : hypot(sx, sy);
  return verdict(x->km2 - y->km2, sigma * sigma);
}

int es_ranking_compare(const es_ranking *r, size_t a, size_t b) {
  bool area = r->setup->job->aim.by == ES_AIM_AREA;
  int (*const steps[])(const es_ranking *, size_t, size_t) = {by_first, area ? by_area : by_listeners,
                                                              area ? by_listeners : by_area};
  int better = 0;
  for (int i = 0; i < 3 && better == 0; i++) better = steps[i](r, a, b);
  return better;
}

bool es_ranking_rivals(const es_ranking *r, size_t a, size_t b) {
  const es_job *job = r->setup->job;
  return job->scenarios[a].season == job->scenarios[b].season &&
         es_job_in(job, a)->trees.growth_m == es_job_in(job, b)->trees.growth_m;
}

static void rank_all(es_ranking *r) {
  for (size_t a = 0; a < r->n; a++) {
    r->scores[a].rank = 1;
    for (size_t b = 0; b < r->n; b++)
      r->scores[a].rank += es_ranking_rivals(r, a, b) && es_ranking_compare(r, b, a) > 0;
  }
}

/* Of two with one rank the higher score stands first, else the one the job names first. */
static bool before(const es_ranking *r, size_t a, size_t b) {
  const es_score *x = &r->scores[a], *y = &r->scores[b];
  if (x->rank != y->rank) return x->rank < y->rank;
  bool area = r->setup->job->aim.by == ES_AIM_AREA && !isnan(x->area.km2) && !isnan(y->area.km2);
  double by = area ? x->area.km2 - y->area.km2 : x->listeners - y->listeners;
  if (fabs(x->first - y->first) > NOTHING) return x->first > y->first;
  return fabs(by) > NOTHING ? by > 0.0 : a < b;
}

/* Season by season in the order in which the job names them. */
static void sort_all(es_ranking *r) {
  size_t n = 0;
  for (size_t s = 0; s < r->n; s++) {
    size_t first = s;
    for (size_t t = 0; t < s && first == s; t++)
      if (es_ranking_rivals(r, s, t)) first = t;
    size_t end = n;
    if (first != s) {
      for (end = 0; end < n && !es_ranking_rivals(r, r->order[end], s);) end++;
      while (end < n && es_ranking_rivals(r, r->order[end], s) && before(r, r->order[end], s)) end++;
    }
    memmove(&r->order[end + 1], &r->order[end], (n - end) * sizeof *r->order);
    r->order[end] = s;
    n++;
  }
}

size_t es_ranking_best(const es_ranking *r, size_t scenario) {
  for (size_t i = 0; i < r->n; i++)
    if (es_ranking_rivals(r, r->order[i], scenario)) return r->order[i];
  return scenario;
}

int32_t es_ranking_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                        const es_area *area, es_ranking *out, es_error *err) {
  size_t n = setup->job->n_scenarios, n_listeners = answers->n_listeners;
  *out = (es_ranking){.scores = calloc(n, sizeof *out->scores),
                      .chance = calloc(n * n_listeners + 1, sizeof *out->chance),
                      .order = calloc(n + 1, sizeof *out->order),
                      .n = n,
                      .n_listeners = n_listeners,
                      .setup = setup};
  if (out->scores == NULL || out->chance == NULL || out->order == NULL) {
    es_ranking_free(out);
    return es_fail(err, ES_E_MEMORY, "out of memory");
  }
  for (size_t l = 0; l < n_listeners; l++) out->weight += setup->job->listeners.items[l].weight;
  for (size_t s = 0; s < n; s++) {
    out->scores[s].area = area != NULL ? area[s] : (es_area){NAN, NAN, NAN};
    score(out, percents, answers, s);
  }
  rank_all(out);
  sort_all(out);
  for (size_t s = 0; s < n; s++) {
    size_t best = es_ranking_best(out, s);
    out->scores[s].tied_with_best = best != s && es_ranking_compare(out, best, s) == 0;
  }
  return 0;
}

void es_ranking_free(es_ranking *r) {
  free(r->scores);
  free(r->chance);
  free(r->order);
  *r = (es_ranking){0};
}

/* --- files ---------------------------------------------------------------------------------------------------------- */

/* The share of listeners to be expected by each mode, percent, at the aim's share of the time. */
static json_t *by_mode(const es_ranking *r, const es_percentages *p, const es_listener_answers *answers, size_t s) {
  const es_setup *setup = es_setup_in(r->setup, s);
  const es_modes *modes = &setup->job->modes;
  json_t *record = json_object();
  for (size_t m = 0; m < modes->n; m++) {
    double sum = 0.0;
    for (size_t l = 0; l < r->n_listeners; l++) {
      double chance =
          es_chance_heard(setup, p, es_listener_answer(answers, s, l), &modes->items[m], setup->job->aim.time_percent);
      if (!isnan(chance)) sum += chance;
    }
    json_object_set_new(record, modes->items[m].id,
                        es_json_number(r->n_listeners > 0 ? 100.0 * sum / (double)r->n_listeners : NAN));
  }
  return record;
}

/* Standard deviation of the score's distance from the best's. */
static double spread(const es_ranking *r, size_t s) { return sqrt(listeners_variance(r, es_ranking_best(r, s), s)); }

static json_t *aim_record(const es_ranking *r) {
  const es_job *job = r->setup->job;
  json_t *first = json_array();
  for (size_t i = 0; i < job->aim.n_first; i++)
    json_array_append_new(first, json_string_nocheck(job->listeners.items[job->aim.first[i]].name));
  return json_pack("{s:s,s:o,s:s,s:o}", "mode", job->aim.mode[0] != '\0' ? job->aim.mode : "each listener's own",
                   "time_percent", r->setup->timed ? json_real(job->aim.time_percent) : json_null(), "by",
                   job->aim.by == ES_AIM_AREA ? "area" : "listeners", "first", first);
}

static json_t *record_of(const es_ranking *r, const es_percentages *p, const es_listener_answers *answers, size_t s) {
  const es_score *x = &r->scores[s];
  return json_pack("{s:s,s:I,s:b,s:f,s:f,s:f,s:I,s:o,s:o}", "scenario", r->setup->job->scenarios[s].name, "rank",
                   (json_int_t)x->rank, "tied_with_best", x->tied_with_best, "expected_first", x->first,
                   "expected_listeners", x->listeners, "spread_to_best", spread(r, s), "heard", (json_int_t)x->heard,
                   "covered_km2", es_json_number(x->area.km2), "expected_percent_by_mode", by_mode(r, p, answers, s));
}

static int32_t write_json(const es_ranking *r, const es_percentages *p, const es_listener_answers *answers,
                          const char *path, es_error *err) {
  char sentence[512];
  es_ranking_sentence(r, sentence, sizeof sentence);
  json_t *list = json_array();
  for (size_t i = 0; i < r->n; i++) json_array_append_new(list, record_of(r, p, answers, r->order[i]));
  json_t *record = json_pack("{s:o,s:f,s:s,s:o}", "aim", aim_record(r), "weight_of_listeners", r->weight, "sentence",
                             sentence, "ranking", list);
  int32_t status = record != NULL ? es_json_write(path, record, err) : es_fail(err, ES_E_MEMORY, "out of memory");
  json_decref(record);
  return status;
}

static int32_t write_csv(const es_ranking *r, const char *path, es_error *err) {
  static const es_field fields[] = {{"rank", ES_FIELD_WHOLE, 0},
                                    {"scenario", ES_FIELD_TEXT, 0},
                                    {"tied_with_best", ES_FIELD_TEXT, 0},
                                    {"expected_first", ES_FIELD_NUMBER, 2},
                                    {"expected_listeners", ES_FIELD_NUMBER, 2},
                                    {"spread_to_best", ES_FIELD_NUMBER, 2},
                                    {"heard", ES_FIELD_WHOLE, 0},
                                    {"covered_km2", ES_FIELD_NUMBER, 0}};
  enum { N = sizeof fields / sizeof *fields };
  es_cell *cells = calloc(r->n * N + 1, sizeof *cells);
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; i < r->n; i++) {
    size_t s = r->order[i];
    const es_score *x = &r->scores[s];
    const es_cell row[N] = {{NULL, (double)x->rank},
                            {r->setup->job->scenarios[s].name, NAN},
                            {x->tied_with_best ? "yes" : "", NAN},
                            {NULL, x->first},
                            {NULL, x->listeners},
                            {NULL, spread(r, s)},
                            {NULL, (double)x->heard},
                            {NULL, x->area.km2}};
    memcpy(&cells[i * N], row, sizeof row);
  }
  int32_t status = es_csv_write(path, fields, N, cells, r->n, err);
  free(cells);
  return status;
}

int32_t es_ranking_write(const es_ranking *r, const es_percentages *percents, const es_listener_answers *answers,
                         const char *folder, es_error *err) {
  char *csv = es_format("%s/ranking.csv", folder), *json = es_format("%s/ranking.json", folder);
  int32_t status = csv != NULL && json != NULL ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = write_csv(r, csv, err);
  if (status == 0) status = write_json(r, percents, answers, json, err);
  free(csv);
  free(json);
  return status;
}

/* --- in words ------------------------------------------------------------------------------------------------------- */

void es_ranking_sentence(const es_ranking *r, char *out, size_t n) {
  const es_job *job = r->setup->job;
  size_t best = es_ranking_best(r, 0), rivals = 0, tied = 0;
  char score[96] = "", ties[96] = "";
  out[0] = '\0';
  for (size_t s = 0; s < r->n; s++) {
    if (!es_ranking_rivals(r, s, best)) continue;
    rivals++;
    tied += r->scores[s].tied_with_best;
  }
  if (rivals < 2) return;
  const es_score *x = &r->scores[best];
  if (job->aim.by == ES_AIM_AREA && !isnan(x->area.km2))
    snprintf(score, sizeof score, "%.0f km² covered", x->area.km2);
  else
    snprintf(score, sizeof score, "%.1f of %g listeners to be expected", x->listeners, r->weight);
  if (job->aim.by == ES_AIM_LISTENERS && !isnan(x->area.km2))
    snprintf(score + strlen(score), sizeof score - strlen(score), " and %.0f km² covered", x->area.km2);
  if (tied == rivals - 1)
    snprintf(ties, sizeof ties, "; none of the others can be told from it");
  else if (tied > 0)
    snprintf(ties, sizeof ties, "; %zu more cannot be told from it", tied);
  snprintf(out, n, "Best of %zu scenarios: %s, %s%s.", rivals, job->scenarios[best].name, score, ties);
}
