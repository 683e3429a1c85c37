/* report_path.c - one listener in one scenario for the report: the path's record with what the page reads from it. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "output/files.h"
#include "run/record.h"
#include "run/report_parts.h"
#include "run/table.h"
#include "run/verdict.h"
#include "station/beacon_chain.h"

static const char *const SHAPES[] = {"disc",          "square", "triangle", "diamond",
                                     "triangle-down", "ring",   "saltire",  "dash"};
const char *es_shape_name(es_mark_shape shape) { return SHAPES[shape]; }

double es_report_value(const es_report_view *v, size_t scenario, size_t listener) {
  const es_path_answer *a = es_listener_answer(v->answers, scenario, listener);
  if (a->status != ES_OK) return NAN;
  return v->setup->timed ? a->heard_percent : a->snr_db[v->percents->median];
}

/* --- the budget as steps ----------------------------------------------------------------------------------------------------- */

static void step(json_t *list, double db, const char *format, const char *word, double km) {
  char text[96];
  if (fabs(db) < 0.05) return;
  if (strchr(format, '%') == NULL || word == NULL)
    snprintf(text, sizeof text, "%s", format);
  else
    snprintf(text, sizeof text, format, word);
  if (isfinite(km)) snprintf(text, sizeof text, "Spreading over %.*f\u00a0km (free space)", km < 1.0 ? 2 : 1, km);
  json_array_append_new(list, json_pack("[s,o]", text, json_real(db)));
}

static const char *term_words(const char *id) {
  static const char *const words[][2] = {{"diffraction", "Bending over edges (diffraction)"},
                                         {"gases", "Air (oxygen and vapour)"},
                                         {"foliage", "Trees (foliage)"},
                                         {"clutter", "Things around the ends (clutter)"}};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strcmp(words[i][0], id) == 0) return words[i][1];
  return id;
}

/* From the amplifier to what arrives at the median; the step before the receiving antenna is what remains once ways and time
 * have been put together, so that the steps sum to the arriving level; what is too small to
 * print is left out. */
static json_t *budget_steps(const es_report_view *v, size_t scenario, const es_path_answer *a) {
  const es_job *job = es_job_in(v->setup->job, scenario);
  const es_scenario *s = &job->scenarios[scenario];
  size_t median = v->percents->median;
  double feeder = es_beacon_feeder_db(&job->beacon, s->height_m), gain = a->eirp_dbm - s->power_dbm + feeder;
  double km = a->course.dist_m / 1e3;
  double spreading = 92.45 + 20.0 * log10(job->beacon.freq_ghz * km); /* ITU-R P.525-4 (6) */
  double rest = a->level_dbm[median] - s->power_dbm + feeder - gain + spreading - a->gain_rx_dbi + a->polarisation_db;
  json_t *list = json_array();
  json_array_append_new(list, json_pack("[s,f]", "Amplifier", s->power_dbm));
  step(list, -feeder, "Feeder and plugs", NULL, NAN);
  step(list, gain, "Beacon antenna this way", NULL, NAN);
  step(list, -spreading, "", NULL, km);
  for (size_t i = 0; a->winner[median] == ES_SURFACE && i < a->n_terms; i++) {
    double db = a->term_db[i][median];
    if (strcmp(a->term_id[i], "free-space") == 0 || !isfinite(db)) continue;
    step(list, -db, "%s", term_words(a->term_id[i]), NAN);
    if (fabs(db) >= 0.05) rest += db;
  }
  step(list, -a->end_db, "%s", term_words("foliage"), NAN);
  if (fabs(a->end_db) >= 0.05) rest += a->end_db;
  step(list, rest,
       a->winner[median] == ES_SURFACE ? "Fading and other ways together"
       : a->winner[median] == ES_DUCT  ? "More than spreading (ducting)"
                                       : "More than spreading (troposcatter)",
       NULL, NAN);
  step(list, -a->polarisation_db, "Unlike polarisation", NULL, NAN);
  step(list, a->gain_rx_dbi, "Listener's antenna", NULL, NAN);
  return list;
}

/* --- words ---------------------------------------------------------------------------------------------------------------------- */

/* A cause named by the verdict, when the record has one; else what the geometry says. */
static void limit_words(const json_t *record, const es_path_answer *a, size_t median, char *text, size_t n,
                        const char **kind) {
  const json_t *limit = json_object_get(json_object_get(record, "verdict"), "limited_by");
  const char *what = json_string_value(json_object_get(limit, "what"));
  const json_t *km = json_object_get(limit, "distance_km");
  const char *from = json_string_value(json_object_get(limit, "from"));
  double at = json_is_number(km) ? json_number_value(km) : NAN;
  if (what == NULL) {
    what = a->status != ES_OK                ? "no ground data"
           : a->winner[median] == ES_SCATTER ? "distance"
           : a->los && a->clearance_f1 > 0.6 ? "nothing"
                                             : "ridge";
    from = "beacon";
    if (strcmp(what, "ridge") == 0) at = a->worst_m / 1e3;
  }
  *kind = what;
  if (isfinite(at))
    snprintf(text, n, "%s at %.*f\u00a0km%s", what, at < 1.0 ? 2 : 1, at,
             from != NULL && strcmp(from, "listener") == 0 ? " from it" : "");
  else
    snprintf(text, n, "%s", what);
}

static void sentence(const es_report_view *v, const es_path_answer *a, const char *mode, char *out, size_t n) {
  double margin = a->status == ES_OK ? a->snr_db[v->percents->median] - a->needed_db : NAN;
  if (a->status != ES_OK)
    snprintf(out, n, "No answer: the ground does not reach this listener");
  else if (v->setup->timed) {
    char share[24];
    es_year_text(v->setup, a->heard_percent, share, sizeof share);
    snprintf(out, n, "%s %s of the year", mode, share);
  } else
    snprintf(out, n, "%s: %.0f\u00a0dB %s", mode, fabs(margin), margin < 0.0 ? "short of it" : "to spare");
}

static double snr_at(const es_report_view *v, const es_path_answer *a, double percent) {
  if (a->status != ES_OK || percent > v->setup->highest_percent) return NAN;
  if (!v->setup->timed) return percent == 50.0 ? a->snr_db[v->percents->median] : NAN;
  return es_snr_at(v->percents->value, a->snr_db, v->percents->n, percent);
}

static json_t *best_mode(const es_report_view *v, const es_path_answer *a, double snr_db) {
  const es_mode *mode = isnan(snr_db) ? NULL : es_best_mode(&v->setup->job->modes, snr_db, a->doubt.widening_hz);
  return mode != NULL ? json_string_nocheck(mode->name) : json_null();
}

json_t *es_report_path(const es_report_view *v, size_t scenario, size_t listener) {
  const es_setup *setup = es_setup_in(v->setup, scenario);
  const es_job *job = setup->job;
  const es_listener *who = &job->listeners.items[listener];
  const es_path_answer *a = es_listener_answer(v->answers, scenario, listener);
  json_t *record = es_record_path(setup, &job->scenarios[scenario], who, v->percents, a);
  if (record == NULL) return NULL;
  es_map_kind kind = v->setup->timed ? ES_MAP_HEARD : ES_MAP_LEVEL;
  double value = es_report_value(v, scenario, listener);
  int class = es_map_class(kind, value);
  size_t n_steps;
  const es_map_step *steps = es_map_steps(kind, &n_steps);
  const es_mode *mode = es_mode_find(&job->modes, who->rx.mode);
  char limited[96], words[160];
  const char *limit_kind;
  limit_words(record, a, v->percents->median, limited, sizeof limited, &limit_kind);
  sentence(v, a, mode != NULL ? mode->name : who->rx.mode, words, sizeof words);
  double p90 = snr_at(v, a, 90.0), p50 = snr_at(v, a, 50.0), p10 = snr_at(v, a, 10.0);
  json_t *more = json_pack(
      "{s:s,s:s,s:i,s:s,s:s,s:s,s:[o,o,o],s:o,s:o,s:o,s:o}", "shape",
      es_shape_name(class < 0 ? ES_MARK_DASH : steps[class].shape), "word", class < 0 ? "no answer" : steps[class].word,
      "step", class, "limited", limited, "limited_kind", limit_kind, "sentence", words, "best", best_mode(v, a, p90),
      best_mode(v, a, p50), best_mode(v, a, p10), "snr_p90", es_json_number(p90), "snr_p50", es_json_number(p50),
      "snr_p10", es_json_number(p10), "heard_percent", es_json_number(a->heard_percent));
  if (more != NULL && a->status == ES_OK) {
    json_object_set_new(more, "steps_db", budget_steps(v, scenario, a));
    json_object_set_new(more, "arrives_dbm", es_json_number(a->level_dbm[v->percents->median]));
  }
  json_object_update(record, more);
  json_object_del(record, "climate_at_centre"); /* in paths/, for those who look into it */
  json_decref(more);
  return record;
}
