#include "run/year.h"

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

/* The SNR reached for p % of the year; between that of both seasons. */
static double snr_reached(const seasons *s, double p) {
  const es_percentages *all = s->percents;
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
    if (other->season == season && other->height_m == one->height_m && other->power_dbm == one->power_dbm) return i;
  }
  return SIZE_MAX;
}

es_year_figure es_year_of(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                          size_t scenario, size_t listener) {
  es_year_figure unknown = {.snr_db = {NAN, NAN, NAN}, .heard_percent = NAN};
  const es_job *job = setup->job;
  size_t in = es_scenario_in_season(job, scenario, ES_IN_LEAF),
         out = es_scenario_in_season(job, scenario, ES_OUT_OF_LEAF);
  if (isnan(job->trees.leaf_months) || !setup->timed || in == SIZE_MAX || out == SIZE_MAX) return unknown;
  const es_path_answer *a = es_listener_answer(answers, in, listener), *b = es_listener_answer(answers, out, listener);
  if (a->status != ES_OK || b->status != ES_OK) return unknown;
  return es_year_weigh(percents, a->snr_db, b->snr_db, job->trees.leaf_months, a->needed_db);
}

static json_t *number(double value) { return isfinite(value) ? json_real(value) : json_null(); }

json_t *es_year_record(const es_trees_plan *plan, const es_year_figure *year) {
  return json_pack("{s:o,s:o,s:o,s:o,s:o,s:s}", "leaf_months", number(plan->leaf_months), "snr_2500hz_db_p10",
                   number(year->snr_db[0]), "snr_2500hz_db_p50", number(year->snr_db[1]), "snr_2500hz_db_p90",
                   number(year->snr_db[2]), "heard_percent", number(year->heard_percent), "note",
                   "seasons weighed by months; that ducts, rain and leaves share months is not counted");
}
