#include "job/scenario.h"

#include <math.h>
#include <stdlib.h>

#include "base/text.h"

const char *es_season_name(int32_t season) {
  static const char *const names[] = {"no-trees", "in-leaf", "out-of-leaf"};
  return names[season];
}

char *es_scenario_name(const char *variant, double height_m, double power_dbm, int32_t season, bool with_season) {
  return es_format("%s%s%.9gm-%s%.9gdbm%s%s", variant, variant[0] != '\0' ? "-" : "", height_m,
                   power_dbm < 0.0 ? "minus" : "", fabs(power_dbm), with_season ? "-" : "",
                   with_season ? es_season_name(season) : "");
}

es_scenario *es_scenarios_make(const es_variation *v, size_t *n) {
  size_t powers = v->n_powers > 0 ? v->n_powers : 1;
  size_t total = v->n_variants * v->n_heights * powers * v->n_seasons;
  es_scenario *scenarios = calloc(total > 0 ? total : 1, sizeof *scenarios);
  *n = 0;
  for (size_t i = 0; scenarios != NULL && i < total; i++) {
    es_scenario *s = &scenarios[(*n)++];
    s->season = v->season[i % v->n_seasons];
    s->height_m = v->height_m[i / v->n_seasons / powers % v->n_heights];
    s->variant = i / v->n_seasons / powers / v->n_heights;
    s->power_dbm = v->n_powers > 0 ? v->power_dbm[i / v->n_seasons % powers] : v->variant_power_dbm[s->variant];
    s->name = es_scenario_name(v->variant[s->variant], s->height_m, s->power_dbm, s->season, v->name_season);
    if (s->name != NULL) continue;
    es_scenarios_free(scenarios, *n);
    *n = 0;
    return NULL;
  }
  return scenarios;
}

void es_scenarios_free(es_scenario *scenarios, size_t n) {
  for (size_t i = 0; scenarios != NULL && i < n; i++) free(scenarios[i].name);
  free(scenarios);
}
