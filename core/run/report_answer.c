/* report_answer.c - the report's first lines: what to do, what comes of it, and what to beware of. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "run/report_parts.h"
#include "run/year.h"

enum { TEXT = 1024, MOST_NAMES = 4 };

/* --- small tools ------------------------------------------------------------------------------------------------------------- */

static void add_pair(json_t *list, const char *bold, const char *format, ...) __attribute__((format(printf, 3, 4)));
static void add_pair(json_t *list, const char *bold, const char *format, ...) {
  char text[TEXT];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  json_t *more = json_string(text); /* a cut inside a letter would be no UTF-8 */
  json_array_append_new(list, json_pack("[s,o]", bold, more != NULL ? more : json_string("")));
}

typedef struct names {
  char text[TEXT];
  size_t n;
} names;

static void add_name(names *to, const char *name) {
  size_t used = strlen(to->text);
  if (to->n < MOST_NAMES && used + strlen(name) + 4 < sizeof to->text)
    snprintf(to->text + used, sizeof to->text - used, "%s%s", to->n > 0 ? ", " : "", name);
  to->n++;
}

static void close_names(names *to) {
  size_t used = strlen(to->text);
  if (to->n > MOST_NAMES)
    snprintf(to->text + used, sizeof to->text - used, " and %zu more", to->n - (size_t)MOST_NAMES);
}

static const es_path_answer *answer_of(const es_report_view *v, size_t scenario, size_t listener) {
  return es_listener_answer(v->answers, scenario, listener);
}

static const char *name_of(const es_report_view *v, size_t listener) {
  return v->setup->job->listeners.items[listener].name;
}

static const char *more_than_half(const es_report_view *v) {
  return v->setup->timed ? " more than half the year" : " in middling air";
}

/* --- the answer ---------------------------------------------------------------------------------------------------------------- */

static size_t hearing(const es_report_view *v, size_t scenario) {
  return es_listeners_hearing(v->setup, v->percents, v->answers, scenario);
}

/* Of the scenario that is shown; there must be one. */
static const es_height_group *shown_group(const es_report_view *v) { return &v->heights->groups[v->heights->proposed]; }

static void title_text(const es_report_view *v, char *out, size_t n) {
  size_t heard = es_listeners_hearing(v->setup, v->percents, v->answers, v->shown), all = v->answers->n_listeners;
  double height = v->setup->job->scenarios[v->shown].height_m;
  if (all == 0)
    snprintf(out, n, "Where %s is heard, and how often", v->setup->job->beacon.name);
  else if (v->heights->n_groups == 0)
    snprintf(out, n, "%zu of %zu listeners hear the beacon%s.", heard, all, more_than_half(v));
  else
    snprintf(out, n,
             shown_group(v)->stop < shown_group(v)->n
                 ? "Put the antenna at %g\u00a0m. Then %zu of %zu listeners hear the beacon%s."
                 : "At %g\u00a0m, %zu of %zu listeners hear the beacon%s.",
             height, heard, all, more_than_half(v));
}

static void height_fact(const es_report_view *v, json_t *facts) {
  if (v->heights->n_groups == 0 || v->answers->n_listeners == 0) return;
  const es_height_group *g = shown_group(v);
  const es_scenario *all = v->setup->job->scenarios;
  size_t low = es_listeners_hearing(v->setup, v->percents, v->answers, g->scenarios[0]);
  double lowest = all[g->scenarios[0]].height_m, highest = all[g->scenarios[g->n - 1]].height_m;
  if (g->stop < g->n)
    add_pair(facts, g->by_area ? "More height buys the listeners nothing." : "More height buys nothing.",
             "From %g to %g\u00a0m nobody gains or loses more than 1\u00a0dB. At %g\u00a0m, %zu hear it.",
             all[g->scenarios[g->stop]].height_m, highest, lowest, low);
  else
    add_pair(
        facts, "More height still helps somebody.",
        "From every height below %g\u00a0m somebody still changes by more than 1\u00a0dB. %zu hear it at %g\u00a0m, "
        "%zu at %g\u00a0m.",
        highest, low, lowest, hearing(v, g->scenarios[g->n - 1]), highest);
}

static double leaf_cost_db(const es_report_view *v, size_t leaf, size_t bare, size_t listener) {
  const es_path_answer *a = answer_of(v, leaf, listener), *b = answer_of(v, bare, listener);
  size_t median = v->percents->median;
  return a->status == ES_OK && b->status == ES_OK ? b->snr_db[median] - a->snr_db[median] : NAN;
}

static void leaf_fact(const es_report_view *v, json_t *facts) {
  size_t leaf = es_scenario_in_season(v->setup->job, v->shown, ES_IN_LEAF),
         bare = es_scenario_in_season(v->setup->job, v->shown, ES_OUT_OF_LEAF), worst = 0, n = 0;
  if (leaf == SIZE_MAX || bare == SIZE_MAX) return;
  for (size_t l = 0; l < v->answers->n_listeners; l++) {
    double cost = leaf_cost_db(v, leaf, bare, l);
    n += cost > es_noticed_db;
    if (cost > leaf_cost_db(v, leaf, bare, worst) || isnan(leaf_cost_db(v, leaf, bare, worst))) worst = l;
  }
  char bold[64];
  snprintf(bold, sizeof bold, n == 1 ? "Leaves cost one listener." : "Leaves cost %zu listeners.", n);
  if (n == 0)
    add_pair(facts, "Leaves cost nobody.", "In leaf or bare, no listener changes by more than 1\u00a0dB.");
  else
    add_pair(facts, bold, "%s loses most: %.0f\u00a0dB while the trees are in leaf.", name_of(v, worst),
             leaf_cost_db(v, leaf, bare, worst));
}

static bool deaf(const es_report_view *v, size_t listener) {
  const es_path_answer *a = answer_of(v, v->shown, listener);
  if (a->status != ES_OK) return false;
  return v->setup->timed ? a->heard_percent < 1.0 : a->snr_db[v->percents->median] < a->needed_db;
}

static void deaf_fact(const es_report_view *v, json_t *facts) {
  names who = {0};
  for (size_t l = 0; l < v->answers->n_listeners; l++)
    if (deaf(v, l)) add_name(&who, name_of(v, l));
  close_names(&who);
  char bold[64];
  snprintf(bold, sizeof bold, who.n == 1 ? "One will not hear it." : "%zu will not hear it.", who.n);
  if (v->answers->n_listeners == 0) return;
  if (who.n > 0)
    add_pair(facts, bold, "%s.", who.text);
  else
    add_pair(facts, "Everyone hears it at times.", "%s",
             v->setup->timed ? "No listener falls below 1\u00a0% of the year." : "Nobody is short of the wanted mode.");
}

static void far_fact(const es_report_view *v, json_t *facts) {
  size_t farthest = SIZE_MAX;
  for (size_t l = 0; l < v->answers->n_listeners; l++) {
    const es_path_answer *a = answer_of(v, v->shown, l);
    bool hears = a->status == ES_OK && (v->setup->timed ? a->heard_percent > 50.0 : !deaf(v, l));
    if (hears && (farthest == SIZE_MAX || a->course.dist_m > answer_of(v, v->shown, farthest)->course.dist_m))
      farthest = l;
  }
  if (farthest == SIZE_MAX) return;
  const es_path_answer *a = answer_of(v, v->shown, farthest);
  add_pair(facts, "How far it reaches.",
           "The farthest of those who hear it%s is %s, %.0f\u00a0km away at %03.0f\u00b0.", more_than_half(v),
           name_of(v, farthest), a->course.dist_m / 1e3, fmod(round(a->course.azimuth_deg), 360.0));
}

static void decision_fact(const es_report_view *v, json_t *facts) {
  if (v->decision[0] != '\0') add_pair(facts, "Which one to build.", "%s", v->decision);
}

json_t *es_report_answer(const es_report_view *v) {
  char title[TEXT];
  json_t *facts = json_array();
  title_text(v, title, sizeof title);
  height_fact(v, facts);
  decision_fact(v, facts);
  leaf_fact(v, facts);
  deaf_fact(v, facts);
  if (json_array_size(facts) < 3) far_fact(v, facts);
  json_t *text = json_string(title);
  return json_pack("{s:o,s:o}", "title", text != NULL ? text : json_string("Who hears the beacon"), "facts", facts);
}

/* --- cautions -------------------------------------------------------------------------------------------------------------------- */

/* Listeners of whom something holds; the caution is told when there is one. */
static void caution_about(const es_report_view *v, json_t *list, bool (*holds)(const es_report_view *, size_t),
                          const char *what, const char *meaning) {
  names who = {0};
  char bold[160];
  for (size_t l = 0; l < v->answers->n_listeners; l++)
    if (holds(v, l)) add_name(&who, name_of(v, l));
  close_names(&who);
  if (who.n == 0) return;
  snprintf(bold, sizeof bold, "%zu %s %s.", who.n, who.n == 1 ? "listener" : "listeners", what);
  add_pair(list, bold, "%s: %s.", meaning, who.text);
}

static bool by_locator(const es_report_view *v, size_t l) {
  return (v->setup->job->listeners.items[l].flags & ES_PLACE_BY_LOCATOR6) != 0;
}
static bool without_ground(const es_report_view *v, size_t l) { return answer_of(v, v->shown, l)->status != ES_OK; }
static bool bridged(const es_report_view *v, size_t l) { return answer_of(v, v->shown, l)->bridged; }
static bool outside(const es_report_view *v, size_t l) {
  const es_path_answer *a = answer_of(v, v->shown, l);
  for (size_t k = 0; a->answer_status != NULL && k < a->n; k++)
    if (a->answer_status[k] == ES_OUTSIDE || a->answer_status[k] == ES_FAILED) return true;
  return false;
}

/* Values that a latitude or a default stands in for, and those that the job gave itself or by a map. */
static void climate_caution(const es_setup *setup, json_t *list) {
  es_climate_entry all[ES_CLIMATE_KEYS];
  names given = {0};
  size_t fallbacks = 0;
  es_climate_list(setup->climate, 0, setup->job->beacon.at, all);
  for (int key = 0; key < ES_CLIMATE_KEYS; key++)
    if (all[key].source == ES_FROM_USER || all[key].source == ES_FROM_MAP)
      add_name(&given, all[key].name);
    else
      fallbacks++;
  if (fallbacks == 0) return;
  close_names(&given);
  char bold[96];
  snprintf(bold, sizeof bold, "%zu of %d climate values are fallbacks.", fallbacks, ES_CLIMATE_KEYS);
  add_pair(list, given.n == 0 ? "All climate values are fallbacks." : bold,
           "They come from the latitude or a default, not from the place; rare shares move most.%s%s%s",
           given.n > 0 ? " Given: " : "", given.text, given.n > 0 ? "." : "");
}

json_t *es_report_cautions(const es_report_view *v) {
  json_t *list = json_array();
  caution_about(v, list, without_ground, "could not be answered", "The ground does not reach them");
  caution_about(v, list, by_locator, "gave only a locator",
                "Their place may be some kilometres off, so their trees and near hills are a guess");
  caution_about(v, list, outside, "lie outside a model's range",
                "Some of their figures are extrapolated or lack a way");
  caution_about(v, list, bridged, "look over a gap in the ground", "Heights were bridged over a short void");
  climate_caution(v->setup, list);
  if (v->setup->job->surface != 0 && v->setup->facts.has_canopy)
    add_pair(list, "The ground may hold its trees already.",
             "A surface model and a canopy were given together: trees can count twice.");
  return list;
}
