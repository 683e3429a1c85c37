/* answer.c - how far one answer may be off, and what that does to it. The sigmas and their basis: docs/answer.md. */
#include <math.h>

#include "base/units.h"
#include "run/path.h"

const double es_chance_percent[ES_CHANCES] = {10.0, 50.0, 90.0};

static const double PLAIN_PATTERN_DB = 1.0, NULL_PATTERN_DB = 5.0, NULL_DEPTH_DB = 6.0;
static const double FOLIAGE_DB = 8.0;
static const double ONE_EDGE_M = 1.0; /* both ends see one and the same point */

/* --- what the path is like ----------------------------------------------------------------------------------------- */

static es_way_kind kind_of(const es_path_answer *a, uint8_t winner) {
  if (winner == ES_SCATTER) return ES_KIND_SCATTER;
  if (winner == ES_DUCT) return ES_KIND_DUCT;
  if (a->los) return a->sea_share > 0.5 ? ES_KIND_LOS_WATER : ES_KIND_LOS_LAND;
  return fabs(a->horizon_tx_m + a->horizon_rx_m - a->course.dist_m) <= ONE_EDGE_M ? ES_KIND_EDGE : ES_KIND_EDGES;
}

/* Gain towards the other end under the largest the antenna has. */
static void find_shortfalls(const es_setup *setup, const es_listener *listener, es_path_answer *a) {
  const es_beacon *b = &setup->job->beacon;
  a->doubt.short_tx_db = b->antenna.peak_dbi - a->gain_tx_dbi;
  a->doubt.short_rx_db = listener->rx.antenna.peak_dbi - a->gain_rx_dbi;
  a->doubt.far_m =
      fmax(es_antenna_far_m(&b->antenna, b->freq_ghz), es_antenna_far_m(&listener->rx.antenna, b->freq_ghz));
}

/* --- sigmas -------------------------------------------------------------------------------------------------------- */

static void set(es_spread *s, int which, double own_db, double usual_db, const char *basis) {
  s->db[which] = isnan(own_db) ? usual_db : own_db;
  s->basis[which] = isnan(own_db) ? basis : "set in the job";
}

static void set_pattern(const es_setup *setup, bool null, es_spread *s) {
  set(s, ES_SIGMA_PATTERN, setup->job->spread.pattern_db, null ? NULL_PATTERN_DB : PLAIN_PATTERN_DB,
      null ? "common practice: in a null of the pattern" : "common practice: gain near the peak");
}

static es_spread spread_of(const es_setup *setup, const es_receiver *receiver, es_way_kind kind, double foliage_db,
                           bool null) {
  const es_spread_plan *plan = &setup->job->spread;
  const es_beacon *b = &setup->job->beacon;
  const es_mode *mode = es_mode_find(&setup->job->modes, receiver->mode);
  es_spread all, *s = &all;
  set(s, ES_SIGMA_POWER, NAN, b->power_sigma_db, b->power_basis);
  set_pattern(setup, null, s);
  set(s, ES_SIGMA_MODEL, plan->model_db, setup->model_sigma.db[kind], setup->model_sigma.basis[kind]);
  set(s, ES_SIGMA_FOLIAGE, foliage_db > 0.0 ? plan->foliage_db : NAN, fmin(FOLIAGE_DB, foliage_db),
      foliage_db > 0.0 ? "common practice: no more than the trees lose" : "no trees counted");
  set(s, ES_SIGMA_EAR, plan->ear_db, mode != NULL ? mode->spread_db : 0.0, mode != NULL ? mode->source : "");
  return all;
}

double es_usual_sigma_db(const es_setup *setup, const es_receiver *receiver, es_way_kind kind, double foliage_db) {
  es_spread s = spread_of(setup, receiver, kind, foliage_db, false);
  return es_spread_heard_db(&s);
}

/* Sigma of the level at each percentage: the model's changes with the way that carries it. */
static void set_sigma(const es_setup *setup, es_path_answer *a) {
  for (size_t k = 0; k < a->n; k++) {
    es_spread s = a->doubt.spread;
    if (isnan(setup->job->spread.model_db)) s.db[ES_SIGMA_MODEL] = setup->model_sigma.db[kind_of(a, a->winner[k])];
    a->doubt.sigma_db[k] = es_spread_level_db(&s);
  }
}

/* --- the answer with its spread ------------------------------------------------------------------------------------ */

static void set_chances(const es_setup *setup, const es_percentages *p, es_path_answer *a) {
  es_doubt *d = &a->doubt;
  es_spread_values_at(p->value, a->level_dbm, d->sigma_db, a->n, es_chance_percent, ES_CHANCES, d->level_dbm);
  for (int c = 0; c < ES_CHANCES; c++) {
    bool answered = !setup->timed || es_chance_percent[c] <= setup->highest_percent;
    if (!answered) d->level_dbm[c] = NAN;
    d->snr_db[c] = d->level_dbm[c] - a->noise.noise_2500_dbm;
  }
}

static int32_t set_heard(const es_setup *setup, const es_percentages *p, es_arena *results, es_path_answer *a,
                         es_error *err) {
  es_doubt *d = &a->doubt;
  double ear_db = d->spread.db[ES_SIGMA_EAR];
  d->confidence_percent =
      es_spread_confidence(a->snr_db[p->median], a->needed_db, hypot(d->sigma_db[p->median], ear_db));
  if (!setup->timed) return 0;
  double *sigma = ES_NEW(results, double, a->n);
  if (sigma == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t k = 0; k < a->n; k++) sigma[k] = hypot(d->sigma_db[k], ear_db);
  es_heard h = es_spread_heard(p->value, a->snr_db, sigma, a->n, a->needed_db);
  a->heard_percent = h.percent;
  d->heard_low_percent = h.low_percent;
  d->heard_high_percent = h.high_percent;
  return 0;
}

int32_t es_answer_doubt(const es_setup *setup, const es_listener *listener, const es_percentages *percents,
                        es_arena *results, es_path_answer *a, es_error *err) {
  es_doubt *d = &a->doubt;
  uint8_t winner = a->winner[percents->median];
  const es_mode *mode = es_mode_find(&setup->job->modes, listener->rx.mode);
  if ((d->sigma_db = ES_NEW(results, double, a->n)) == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  d->kind = kind_of(a, winner);
  d->widening_hz = fmax(setup->job->spread.drift_hz, winner == ES_SCATTER ? setup->job->spread.scatter_hz : 0.0);
  d->foliage_db = fmax(0.0, a->end_db);
  if (mode != NULL) a->needed_db = es_mode_needed_db(mode, d->widening_hz);
  find_shortfalls(setup, listener, a);
  d->spread =
      spread_of(setup, &listener->rx, d->kind, d->foliage_db, fmax(d->short_tx_db, d->short_rx_db) >= NULL_DEPTH_DB);
  set_sigma(setup, a);
  set_chances(setup, percents, a);
  return set_heard(setup, percents, results, a, err);
}
