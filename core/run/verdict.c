/* verdict.c - what limits an answer, and the sentences about it. The rules: docs/answer.md. */
#include "run/verdict.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "station/noise.h"

static const double ALWAYS_PERCENT = 99.0;
static const double LOCAL_DB = 6.0, BARELY_DB = 1.0;
static const double GOOD_NOISE_FIGURE_DB = 0.8; /* of a good LNB: common practice */
static const double RAISED_HORIZON = 0.0087;    /* half a degree: a hill, not the earth's curve */

const char *es_cause_name(es_cause_kind kind) {
  static const char *const names[ES_CAUSES] = {"nothing",      "trees",        "ridge", "distance",
                                               "pattern null", "polarisation", "noise", "no ground data"};
  return names[kind];
}

void es_share_text(double percent, char *out, size_t n) {
  if (percent < 1.0)
    snprintf(out, n, "under 1 %%");
  else if (percent > ALWAYS_PERCENT)
    snprintf(out, n, "over 99 %%");
  else
    snprintf(out, n, "%.0f %%", percent);
}

/* --- the cause ----------------------------------------------------------------------------------------------------- */

static double term_db(const es_path_answer *a, const char *id, size_t k) {
  for (size_t i = 0; i < a->n_terms; i++)
    if (strcmp(a->term_id[i], id) == 0) return a->term_db[i][k];
  return NAN;
}

/* A place on the path, seen from the end it is nearer to. */
static es_cause at_place(es_cause_kind kind, double db, double beacon_m, double above_m, const es_path_answer *a) {
  double back_m = a->course.dist_m - beacon_m;
  return (es_cause){kind, db, fmin(beacon_m, back_m), back_m < beacon_m, above_m};
}

static es_cause nowhere(es_cause_kind kind, double db, bool listener) {
  return (es_cause){kind, db, NAN, listener, NAN};
}

/* The largest of what each station itself loses: trees, aim, polarisation, noise. */
static es_cause worst_local(const es_path_answer *a) {
  const es_doubt *d = &a->doubt;
  bool listener = d->short_rx_db > d->short_tx_db;
  es_cause local[] = {
      isnan(a->trees_m) ? nowhere(ES_CAUSE_TREES, d->foliage_db, true)
                        : at_place(ES_CAUSE_TREES, d->foliage_db, a->trees_m, a->trees_above_m, a),
      nowhere(ES_CAUSE_NULL, fmax(d->short_rx_db, d->short_tx_db), listener),
      nowhere(ES_CAUSE_POLARISATION, a->polarisation_db, true),
      nowhere(ES_CAUSE_NOISE,
              es_db(a->noise.system_k / es_system_temperature_k(a->noise.antenna_k, 0.0, GOOD_NOISE_FIGURE_DB)), true)};
  es_cause worst = local[0];
  for (size_t i = 1; i < sizeof local / sizeof *local; i++)
    if (local[i].db > worst.db) worst = local[i];
  return worst;
}

/* Ground in the way, or the sheer distance. */
static es_cause of_the_way(const es_path_answer *a, size_t median) {
  double bent_db = a->winner[median] == ES_SURFACE ? term_db(a, "diffraction", median) : NAN;
  bool hill = fmax(a->el_tx, a->el_rx) > RAISED_HORIZON || a->course.dist_m <= a->smooth_horizon_m;
  if (a->los && !(bent_db > BARELY_DB)) return nowhere(ES_CAUSE_DISTANCE, NAN, false);
  if (a->los) return at_place(ES_CAUSE_RIDGE, bent_db, a->worst_m, -a->clearance_m, a);
  if (!hill) return nowhere(ES_CAUSE_DISTANCE, bent_db, false);
  return at_place(ES_CAUSE_RIDGE, bent_db, a->worst_m, -a->clearance_m, a);
}

es_cause es_verdict_cause(const es_setup *setup, const es_scenario *scenario, const es_percentages *percents,
                          const es_path_answer *a) {
  (void)scenario;
  if (a->status != ES_OK) return nowhere(ES_CAUSE_NO_GROUND, NAN, false);
  bool whole_year = setup->timed && setup->highest_percent >= 100.0;
  double sure = whole_year ? a->heard_percent : a->doubt.confidence_percent;
  if (sure >= ALWAYS_PERCENT) return nowhere(ES_CAUSE_NOTHING, 0.0, false);
  es_cause local = worst_local(a), way = of_the_way(a, percents->median);
  if (local.db >= LOCAL_DB && !(way.db > local.db)) return local;
  return way;
}

/* --- sentences ----------------------------------------------------------------------------------------------------- */

typedef struct line {
  char text[512];
  size_t used;
} line;

static void say(line *l, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void say(line *l, const char *format, ...) {
  va_list args;
  va_start(args, format);
  int n = vsnprintf(l->text + l->used, sizeof l->text - l->used, format, args);
  va_end(args);
  if (n > 0) l->used = (size_t)n < sizeof l->text - l->used ? l->used + (size_t)n : sizeof l->text - 1;
}

static const char *keep(es_arena *arena, const line *l) {
  char *copy = es_arena_get(arena, l->used + 1);
  return copy != NULL ? strcpy(copy, l->text) : NULL;
}

static void say_km(line *l, double metres) {
  double km = metres / 1e3;
  say(l, km < 1.0 ? "%.2f km" : km < 200.0 ? "%.1f km" : "%.0f km", km);
}

void es_year_text(const es_setup *setup, double percent, char *out, size_t n) {
  if (percent > setup->highest_percent)
    snprintf(out, n, "%.0f %% or more", setup->highest_percent);
  else
    es_share_text(percent, out, n);
}

static void say_verdict(line *l, const es_setup *setup, const es_listener *listener, const es_path_answer *a) {
  const es_mode *mode = es_mode_find(&setup->job->modes, listener->rx.mode);
  const es_mode *best = a->verdict.best[1];
  const char *name = mode != NULL ? mode->name : listener->rx.mode;
  char share[24], low[24], high[24];
  if (a->status != ES_OK) {
    say(l, "no answer");
    return;
  }
  if (setup->timed) {
    es_year_text(setup, a->heard_percent, share, sizeof share);
    es_year_text(setup, a->doubt.heard_low_percent, low, sizeof low);
    es_year_text(setup, a->doubt.heard_high_percent, high, sizeof high);
    bool one = strcmp(low, high) == 0;
    say(l, "%s: %s of the year (8 in 10 chance of %s%s%s)", name, share, low, one ? "" : " to ", one ? "" : high);
  } else {
    es_share_text(a->doubt.confidence_percent, share, sizeof share);
    say(l, "%s: %s sure at the median", name, share);
  }
  if (best == NULL)
    say(l, "; only with enhancement");
  else if (mode != NULL && best->snr_2500_db > mode->snr_2500_db)
    say(l, "; half of the time also: %s", best->name);
  else if (best != mode)
    say(l, "; half of the time at best: %s", best->name);
}

static void say_place(line *l, const es_cause *c) {
  if (isnan(c->from_m)) return;
  say(l, " ");
  say_km(l, c->from_m);
  say(l, " from the %s", c->listener ? "listener" : "beacon");
  if (!isnan(c->above_m)) say(l, ", %.1f m %s the sight line", fabs(c->above_m), c->above_m >= 0.0 ? "above" : "below");
}

static void say_distance(line *l, const es_percentages *p, const es_path_answer *a) {
  uint8_t winner = a->winner[p->median];
  say(l, "distance: ");
  say_km(l, a->course.dist_m);
  if (!a->los) {
    say(l, ", the smooth earth hides it beyond ");
    say_km(l, a->smooth_horizon_m);
  }
  say(l, winner == ES_SCATTER ? ", scattered high in the air"
         : winner == ES_DUCT  ? ", trapped in a layer of air"
         : a->los             ? ", in sight"
                              : ", bent over the edge of the earth");
}

static void say_cause(line *l, const es_percentages *p, const es_path_answer *a) {
  const es_cause *c = &a->verdict.cause;
  switch (c->kind) {
  case ES_CAUSE_DISTANCE: say_distance(l, p, a); return;
  case ES_CAUSE_NULL:
    say(l, "pattern null: the %s antenna gives %.0f dB less this way than its best",
        c->listener ? "listener's" : "beacon's", c->db);
    return;
  case ES_CAUSE_NOISE: say(l, "noise: receiver and feeder add %.1f dB to a good one's", c->db); return;
  case ES_CAUSE_POLARISATION: say(l, "polarisation: the listener's differs, %.0f dB", c->db); return;
  case ES_CAUSE_NO_GROUND:
    if (a->course.dist_m > 0.0) {
      say(l, "no ground data beyond ");
      say_km(l, a->reach_m);
    } else
      say(l, "it stands at the beacon");
    return;
  case ES_CAUSE_TREES:
  case ES_CAUSE_RIDGE:
    say(l, "%s", es_cause_name(c->kind));
    say_place(l, c);
    if (!isnan(c->db)) say(l, ", %.0f dB", c->db);
    return;
  case ES_CAUSE_NOTHING:
  case ES_CAUSES:
  default: say(l, "nothing"); return;
  }
}

static void say_help(line *l, const es_setup *setup, const es_path_answer *a) {
  const es_verdict *v = &a->verdict;
  char share[24];
  if (v->cause.kind == ES_CAUSE_NOTHING || v->cause.kind == ES_CAUSE_NO_GROUND || !setup->job->want_help) return;
  if (v->n_help == 0) say(l, "nothing you can build");
  for (size_t i = 0; i < v->n_help; i++) {
    const es_help *h = &v->help[i];
    es_year_text(setup, h->heard_percent, share, sizeof share);
    say(l, "%s%s (%+.1f dB", i > 0 ? "; " : "", h->what, h->db);
    if (isnan(h->heard_percent))
      say(l, ")");
    else
      say(l, ", to %s)", share);
  }
  if (isnan(v->opening_percent)) return;
  es_share_text(v->opening_percent, share, sizeof share);
  say(l, "%s: %s of the year", v->n_help > 0 ? "; else wait for an opening" : "; wait for an opening", share);
}

/* --- all together -------------------------------------------------------------------------------------------------- */

/* Best mode by what the weather alone gives at 10, 50 and 90 %. */
static void find_best(const es_setup *setup, const es_percentages *p, es_path_answer *a) {
  for (int c = 0; c < ES_CHANCES; c++) {
    double at = es_chance_percent[c];
    bool answered = setup->timed ? at <= setup->highest_percent : at == 50.0;
    if (!answered) continue;
    double snr = setup->timed ? es_snr_at(p->value, a->snr_db, a->n, at) : a->snr_db[p->median];
    a->verdict.best[c] = es_best_mode(&setup->job->modes, snr, a->doubt.widening_hz);
  }
}

int32_t es_verdict_write(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                         const es_percentages *percents, es_arena *results, es_path_answer *a, es_error *err) {
  (void)scenario;
  line verdict = {.used = 0}, cause = {.used = 0}, help = {.used = 0};
  say_verdict(&verdict, setup, listener, a);
  say_cause(&cause, percents, a);
  say_help(&help, setup, a);
  a->verdict.verdict = keep(results, &verdict);
  a->verdict.limit = keep(results, &cause);
  a->verdict.helpful = keep(results, &help);
  bool ok = a->verdict.verdict != NULL && a->verdict.limit != NULL && a->verdict.helpful != NULL;
  return ok ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
}

int32_t es_path_advise(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                       const es_percentages *percents, es_worker *worker, es_arena *results, es_path_answer *a,
                       es_error *err) {
  a->verdict.cause = es_verdict_cause(setup, scenario, percents, a);
  if (a->status == ES_OK) find_best(setup, percents, a);
  if (a->status == ES_OK && setup->timed && a->heard_percent < 50.0) a->verdict.opening_percent = a->heard_percent;
  int32_t status = 0;
  if (setup->job->want_help) status = es_help_find(setup, scenario, listener, percents, worker, results, a, err);
  return status == 0 ? es_verdict_write(setup, scenario, listener, percents, results, a, err) : status;
}
