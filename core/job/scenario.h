/* scenario.h - all combinations of what varies: variant, then height, power and season, the last running fastest. */
#ifndef EARSHOT_JOB_SCENARIO_H
#define EARSHOT_JOB_SCENARIO_H

#include "job/job.h"

typedef struct es_variation {
  char *const *variant;            /* what is special about each: "north-hill-dish"; "" */
  const double *variant_power_dbm; /* of each variant: holds when n_powers is 0 */
  const double *height_m, *power_dbm;
  const int32_t *season;
  size_t n_variants, n_heights, n_powers, n_seasons;
  bool name_season; /* the job says which seasons */
} es_variation;

/* "no-trees", "in-leaf", "out-of-leaf": as jobs and records have it. */
const char *es_season_name(int32_t season);
/* "north-hill-18m-27dbm-in-leaf": letters, digits, points and hyphens; minus is written "minus". NULL out of memory. */
char *es_scenario_name(const char *variant, double height_m, double power_dbm, int32_t season, bool with_season);
/* NULL out of memory. Caller frees with es_scenarios_free. */
es_scenario *es_scenarios_make(const es_variation *variation, size_t *n);
void es_scenarios_free(es_scenario *scenarios, size_t n);

#endif
