/* bench_chain.h - a chain of models over one line of ground, for the tests of this folder. */
#ifndef EARSHOT_TESTS_BENCH_CHAIN_H
#define EARSHOT_TESTS_BENCH_CHAIN_H

#include "near.h"

#include <string.h>

#include "base/status.h"
#include "base/units.h"
#include "model/chain.h"

typedef struct bench_chain {
  es_arena *keep, *scratch;
  es_model_set set;
  es_faults faults;
  es_climate *climate;
  es_chain chain;
} bench_chain;

/* Climate "M" of the worked examples: a mid-latitude year. */
static inline es_climate_plan bench_climate_plan(void) {
  es_climate_plan plan = {.maps = NULL};
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) plan.value[side][key] = NAN;
  const struct {
    es_climate_key key;
    double value;
  } given[] = {{ES_DELTA_N_MEDIAN, 40},
               {ES_DELTA_N_ENHANCED_SLOPE, 15.5},
               {ES_DELTA_N_SUB_SLOPE, 9.0},
               {ES_GRADIENT_65M_1PCT, -180},
               {ES_VAPOUR_DENSITY, 7.5},
               {ES_RAIN_6H, 38},
               {ES_RAIN_ANNUAL, 700},
               {ES_RAIN_CONVECTIVE, 0.2},
               {ES_ZERO_ISOTHERM, 2.4},
               {ES_TROPO_CLIMATE, 5},
               {ES_DELTA_N, 40},
               {ES_N0, 325},
               {ES_PRESSURE, 1013},
               {ES_TEMPERATURE, 15}};
  for (size_t i = 0; i < sizeof given / sizeof *given; i++) plan.value[0][given[i].key] = given[i].value;
  return plan;
}

/* Opens a folder of models and makes a chain: of `ids` (space between, at most 8), or its own when NULL. */
static inline void bench_chain_open(bench_chain *b, const char *folder, es_chain_kind kind, const char *ids) {
  *b = (bench_chain){.keep = es_arena_create(), .scratch = es_arena_create()};
  assert_true(b->keep != NULL && b->scratch != NULL);
  es_climate_plan plan = bench_climate_plan();
  b->climate = es_climate_open(&plan, "job.yaml", &b->faults);
  assert_non_null(b->climate);
  assert_true(es_models_open(&folder, 1, true, &b->set, &b->faults));
  char words[256] = "", *list[8], *rest = NULL;
  size_t n = 0;
  strncat(words, ids != NULL ? ids : "", sizeof words - 1);
  for (char *w = strtok_r(words, " ", &rest); w != NULL && n < 8; w = strtok_r(NULL, " ", &rest)) list[n++] = w;
  bool made =
      es_chain_make(kind, ids != NULL ? list : NULL, n, &b->set, NULL, 0, "p2001", "job.yaml", &b->faults, &b->chain);
  if (!made) fail_msg("%s", b->faults.n > 0 ? b->faults.items[0].text : "no chain");
}

static inline void bench_chain_close(bench_chain *b) {
  es_models_close(&b->set);
  es_climate_close(b->climate);
  es_faults_free(&b->faults);
  es_arena_destroy(b->keep);
  es_arena_destroy(b->scratch);
}

#endif
