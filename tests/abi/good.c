/* good.c - a term with one setting of each kind: `level` dB, and as many for each km when steep. */
#include <stdlib.h>

#include "earshot/model.h"

enum { LEVEL, SHAPE, CONVENTION };
static const es_setting settings[] = {
    {"level", "dB", "what it adds", -10.0, 10.0, 1.5, NULL},
    {"shape", "", "how it grows", 0, 1, 0, "flat|steep"},
    {"convention", "", "only two of the three", 0, 1, 1, "p2001|p452"},
};

typedef struct good {
  double level_db, steep, convention;
} good;

static int32_t create(const double *values, void **self, es_error *err) {
  (void)err;
  good *g = malloc(sizeof *g);
  if (g == NULL) return ES_FAILED;
  *g = (good){values[LEVEL], values[SHAPE], values[CONVENTION]};
  *self = g;
  return 0;
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  const good *g = self;
  for (size_t i = 0; i < task->n_percent * task->rx->n; i++) {
    double km = task->rx->dist_m[i % task->rx->n] / 1e3;
    out->value[i] = g->level_db * (g->steep > 0.5 ? km : 1.0);
  }
  return 0;
}

const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = sizeof(es_model),
                                 .id = "good",
                                 .title = "a constant",
                                 .source = "tests/abi",
                                 .role = ES_TERM,
                                 .touches = ES_ALL_WAYS,
                                 .min_ghz = 1.0,
                                 .max_ghz = 30.0,
                                 .min_km = 0.0,
                                 .max_km = 100.0,
                                 .settings = settings,
                                 .n_settings = sizeof settings / sizeof *settings,
                                 .create = create,
                                 .evaluate = evaluate,
                                 .destroy = free};
