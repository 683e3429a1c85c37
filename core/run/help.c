/* help.c - what would help a listener most: every change is made to a copy and the path evaluated again.
 *
 * Steps of the changes: 3 m, 6 dB and the sizes of dishes that are sold; house rules. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/units.h"
#include "run/verdict.h"
#include "station/polarisation.h"

static const double RAISE_M = 3.0, MORE_POWER_DB = 6.0;
static const double DISHES_M[] = {0.3, 0.48, 0.6, 0.75, 0.9, 1.2, 1.8, 2.4};
static const double LEAST_DB = 0.5, LEAST_PERCENT = 0.5; /* less is no help */
static const double LEAST_TREES_DB = 1.0, LEAST_CROSS_DB = 1.0;
static const double DIRECTIVE_DBI = 10.0;

/* Copies to change, and the answer as it is. */
typedef struct trial {
  const es_setup *setup;
  const es_path_answer *now;
  es_scenario scenario;
  es_listener listener;
  char what[48];
} trial;

/* --- changes: each makes one, or says that it does not apply ------------------------------------------------------- */

static bool raise_listener(trial *t) {
  t->listener.rx.height_m += RAISE_M;
  snprintf(t->what, sizeof t->what, "raise the listener's antenna %g m", RAISE_M);
  return true;
}

static bool raise_beacon(trial *t) {
  t->scenario.height_m += RAISE_M;
  snprintf(t->what, sizeof t->what, "raise the beacon's antenna %g m", RAISE_M);
  return true;
}

static bool more_power(trial *t) {
  t->scenario.power_dbm += MORE_POWER_DB;
  snprintf(t->what, sizeof t->what, "%g dB more power", MORE_POWER_DB);
  return true;
}

/* The next dish that gains a decibel or more on what the listener has. */
static bool next_dish(trial *t) {
  es_antenna *a = &t->listener.rx.antenna;
  double efficiency = a->shape == ES_SHAPE_DISH && a->efficiency > 0.0 ? a->efficiency : 0.55;
  for (size_t i = 0; i < sizeof DISHES_M / sizeof *DISHES_M; i++) {
    es_antenna dish = es_antenna_dish(DISHES_M[i], efficiency, t->setup->job->beacon.freq_ghz);
    if (dish.peak_dbi < a->peak_dbi + 1.0) continue;
    dish.tracks = a->tracks;
    dish.azimuth = a->azimuth;
    dish.tilt = a->tilt;
    dish.lobes = a->lobes;
    *a = dish;
    snprintf(t->what, sizeof t->what, "a %g m dish", DISHES_M[i]);
    return true;
  }
  return false;
}

static bool trim_trees(trial *t) {
  if (t->scenario.season == ES_NO_TREES || t->now->doubt.foliage_db < LEAST_TREES_DB) return false;
  t->scenario.season = ES_NO_TREES;
  snprintf(t->what, sizeof t->what, "trim the trees");
  return true;
}

/* At the horizon the signal comes over: level aim loses there, and so does an aim beside the beacon. */
static bool point_at_ridge(trial *t) {
  es_antenna *a = &t->listener.rx.antenna;
  if (a->peak_dbi < DIRECTIVE_DBI || t->now->doubt.short_rx_db < LEAST_DB) return false;
  bool beside = !a->tracks || a->azimuth != 0.0;
  a->tilt = t->now->way_el_rx;
  a->tracks = true;
  a->azimuth = 0.0;
  snprintf(t->what, sizeof t->what, "point at %s", beside ? "the beacon's bearing" : "the ridge");
  if (t->now->los && !beside) snprintf(t->what, sizeof t->what, "tilt the antenna to %+.1f degrees", es_deg(a->tilt));
  return true;
}

static bool turn_feed(trial *t) {
  if (t->now->polarisation_db < LEAST_CROSS_DB) return false;
  t->listener.rx.polarisation = ES_POLAR_SAME;
  snprintf(t->what, sizeof t->what, "turn the feed to the beacon's polarisation");
  return true;
}

static bool (*const changes[])(trial *) = {raise_listener, raise_beacon,   more_power, next_dish,
                                           trim_trees,     point_at_ridge, turn_feed};
enum { CHANGES = sizeof changes / sizeof *changes };

/* --- trying them --------------------------------------------------------------------------------------------------- */

typedef struct found {
  es_help item[CHANGES];
  size_t n;
  double heard_percent; /* as it is */
} found;

static double more_heard(const found *f, const es_help *h) {
  return isnan(h->heard_percent) ? 0.0 : h->heard_percent - f->heard_percent;
}

static void keep(found *f, const es_help *h) {
  if (!(h->db >= LEAST_DB || more_heard(f, h) >= LEAST_PERCENT)) return; /* NaN is kept out too */
  size_t i = f->n++;
  for (; i > 0; i--) {
    const es_help *before = &f->item[i - 1];
    double gain = more_heard(f, h) - more_heard(f, before);
    if (gain < -LEAST_PERCENT || (gain <= LEAST_PERCENT && h->db <= before->db)) break;
    f->item[i] = *before;
  }
  f->item[i] = *h;
}

static int32_t try_change(const trial *plan, const es_percentages *percents, es_worker *worker, es_arena *results,
                          found *f, es_error *err) {
  es_path_answer then;
  es_arena_mark mark = es_arena_now(results);
  int32_t status = es_path_evaluate(plan->setup, &plan->scenario, &plan->listener, percents, worker, results, NULL,
                                    NULL, &then, NULL, err);
  if (status == 0 && then.status == ES_OK) {
    es_help h = {.db = then.snr_db[percents->median] - plan->now->snr_db[percents->median],
                 .heard_percent = then.heard_percent};
    snprintf(h.what, sizeof h.what, "%s", plan->what);
    keep(f, &h);
  }
  es_arena_back_to(results, mark);
  return status;
}

int32_t es_help_find(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                     const es_percentages *percents, es_worker *worker, es_arena *results, es_path_answer *answer,
                     es_error *err) {
  found f = {.heard_percent = answer->heard_percent};
  answer->verdict.n_help = 0;
  if (answer->status != ES_OK || answer->verdict.cause.kind == ES_CAUSE_NOTHING) return 0;
  for (int i = 0; i < CHANGES; i++) {
    trial t = {.setup = setup, .now = answer, .scenario = *scenario, .listener = *listener};
    if (!changes[i](&t)) continue;
    int32_t status = try_change(&t, percents, worker, results, &f, err);
    if (status != 0) return status;
  }
  for (size_t i = 0; i < f.n && i < ES_HELPS; i++) answer->verdict.help[answer->verdict.n_help++] = f.item[i];
  return 0;
}
