/* nans.c - has no number for the first receiver and gives no reason. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  tiny_fill(task, out, 3.0);
  for (size_t k = 0; k < task->n_percent; k++) out->value[k * task->rx->n] = NAN;
  return 0;
}

const es_model es_model_entry = {TINY("nans", ES_TERM, ES_SURFACE, evaluate)};
