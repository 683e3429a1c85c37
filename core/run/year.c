#include "run/year.h"

#include "output/files.h"

#include <math.h>

static const double WANTED[3] = {10.0, 50.0, 90.0};

typedef struct seasons {
  const es_percentages *percents;
  const double *in_leaf, *out_of_leaf;
  double share; /* of the year in leaf */
} seasons;

static double reached(const seasons *s, double snr_db) {
  const es_percentages *p = s->percents;
  return s->share * es_heard_percent(p->value, s->in_leaf, p->n, snr_db) +
         (1.0 - s->share) * es_heard_percent(p->value, s->out_of_leaf, p->n, snr_db);
}

/* The SNR reached for p % of the year; between that of both seasons. NaN beyond what the chain answers for. */
static double snr_reached(const seasons *s, double p) {
  const es_percentages *all = s->percents;
  if (all->n == 0 || p > all->value[all->n - 1]) return NAN;
  double a = es_snr_at(all->value, s->in_leaf, all->n, p), b = es_snr_at(all->value, s->out_of_leaf, all->n, p);
  double low = fmin(a, b), high = fmax(a, b);
  if (isnan(low) || isnan(high)) return NAN;
  for (int i = 0; i < 60; i++) {
    double middle = 0.5 * (low + high);
    if (reached(s, middle) >= p)
      low = middle;
    else
      high = middle;
  }
  return 0.5 * (low + high);
}

es_year_figure es_year_weigh(const es_percentages *percents, const double *in_leaf_db, const double *out_of_leaf_db,
                             double leaf_months, double needed_db) {
  seasons s = {percents, in_leaf_db, out_of_leaf_db, leaf_months / 12.0};
  es_year_figure year = {.known = true, .heard_percent = reached(&s, needed_db)};
  for (int i = 0; i < 3; i++) year.snr_db[i] = snr_reached(&s, WANTED[i]);
  return year;
}

size_t es_scenario_in_season(const es_job *job, size_t scenario, int32_t season) {
  const es_scenario *one = &job->scenarios[scenario];
  for (size_t i = 0; i < job->n_scenarios; i++) {
    const es_scenario *other = &job->scenarios[i];
    if (other->season == season && other->variant == one->variant && other->height_m == one->height_m &&
        other->power_dbm == one->power_dbm)
      return i;
  }
  return SIZE_MAX;
}

static es_year_figure unknown_year(void) { return (es_year_figure){.snr_db = {NAN, NAN, NAN}, .heard_percent = NAN}; }

/* The scenarios in leaf and out of leaf to be weighed; false: the job asks for none, or lacks one of them. */
static bool both_seasons(const es_setup *setup, size_t scenario, size_t pair[2]) {
  pair[0] = es_scenario_in_season(setup->job, scenario, ES_IN_LEAF);
  pair[1] = es_scenario_in_season(setup->job, scenario, ES_OUT_OF_LEAF);
  return !isnan(setup->job->trees.leaf_months) && setup->timed && pair[0] != SIZE_MAX && pair[1] != SIZE_MAX;
}

static es_year_figure weigh(const es_setup *setup, const es_percentages *percents, const es_path_answer *in_leaf,
                            const es_path_answer *out_of_leaf) {
  if (in_leaf->status != ES_OK || out_of_leaf->status != ES_OK) return unknown_year();
  return es_year_weigh(percents, in_leaf->snr_db, out_of_leaf->snr_db, setup->job->trees.leaf_months,
                       in_leaf->needed_db);
}

es_year_figure es_year_of(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                          size_t scenario, size_t listener) {
  size_t pair[2];
  if (!both_seasons(setup, scenario, pair)) return unknown_year();
  return weigh(setup, percents, es_listener_answer(answers, pair[0], listener),
               es_listener_answer(answers, pair[1], listener));
}

int32_t es_year_of_path(const es_setup *setup, const es_percentages *percents, size_t scenario,
                        const es_listener *listener, es_worker *worker, es_arena *results, es_year_figure *out,
                        es_error *err) {
  size_t pair[2];
  es_path_answer answers[2];
  *out = unknown_year();
  if (!both_seasons(setup, scenario, pair)) return 0;
  for (int i = 0; i < 2; i++) {
    int32_t status = es_path_evaluate(setup, &setup->job->scenarios[pair[i]], listener, percents, worker, results, NULL,
                                      NULL, &answers[i], NULL, err);
    if (status != 0) return status;
  }
  *out = weigh(setup, percents, &answers[0], &answers[1]);
  return 0;
}

json_t *es_year_record(const es_trees_plan *plan, const es_year_figure *year) {
  return json_pack("{s:o,s:o,s:o,s:o,s:o,s:s}", "leaf_months", es_json_number(plan->leaf_months), "snr_2500hz_db_p10",
                   es_json_number(year->snr_db[0]), "snr_2500hz_db_p50", es_json_number(year->snr_db[1]),
                   "snr_2500hz_db_p90", es_json_number(year->snr_db[2]), "heard_percent",
                   es_json_number(year->heard_percent), "note",
                   "seasons weighed by months; that ducts, rain and leaves share months is not counted");
}
