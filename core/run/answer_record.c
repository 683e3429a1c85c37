#include "run/answer_record.h"

#include <math.h>

#include "output/files.h"
#include "run/verdict.h"

static json_t *three(const double values[ES_CHANCES]) {
  return json_pack("[o,o,o]", es_json_number(values[0]), es_json_number(values[1]), es_json_number(values[2]));
}

json_t *es_record_spread(const es_path_answer *a) {
  const es_doubt *d = &a->doubt;
  json_t *sigmas = json_object();
  for (int i = 0; i < ES_SIGMAS; i++)
    json_object_set_new(
        sigmas, es_sigma_names[i],
        json_pack("{s:o,s:o}", "sigma_db", es_json_number(d->spread.db[i]), "basis", es_json_word(d->spread.basis[i])));
  return json_pack("{s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "sigmas", sigmas, "level_sigma_db",
                   es_json_number(es_spread_level_db(&d->spread)), "heard_sigma_db",
                   es_json_number(es_spread_heard_db(&d->spread)), "chance_percent", three(es_chance_percent),
                   "received_dbm", three(d->level_dbm), "snr_2500hz_db", three(d->snr_db), "heard_percent_8_in_10",
                   json_pack("[o,o]", es_json_number(d->heard_low_percent), es_json_number(d->heard_high_percent)),
                   "confidence_percent", es_json_number(d->confidence_percent), "signal_width_hz",
                   es_json_number(d->widening_hz));
}

static json_t *mode_id(const es_mode *mode) { return mode != NULL ? json_string_nocheck(mode->id) : json_null(); }

json_t *es_record_verdict(const es_path_answer *a) {
  const es_verdict *v = &a->verdict;
  json_t *helps = json_array();
  for (size_t i = 0; i < v->n_help; i++)
    json_array_append_new(helps, json_pack("{s:o,s:o,s:o}", "change", es_json_word(v->help[i].what), "gain_db",
                                           es_json_number(v->help[i].db), "heard_percent",
                                           es_json_number(v->help[i].heard_percent)));
  return json_pack(
      "{s:o,s:o,s:o,s:{s:s,s:o,s:o,s:o,s:o},s:[o,o,o],s:o,s:o}", "verdict", es_json_word(v->verdict), "cause",
      es_json_word(v->limit), "help", es_json_word(v->helpful), "limited_by", "what", es_cause_name(v->cause.kind),
      "db", es_json_number(v->cause.db), "distance_km", es_json_number(v->cause.from_m / 1e3), "from",
      isnan(v->cause.from_m) ? json_null() : json_string(v->cause.listener ? "listener" : "beacon"),
      "above_sight_line_m", es_json_number(v->cause.above_m), "best_mode_p10_p50_p90", mode_id(v->best[0]),
      mode_id(v->best[1]), mode_id(v->best[2]), "helps", helps, "opening_percent", es_json_number(v->opening_percent));
}
