/* outside.c - keeps its value for the first receiver and says that it is outside its range. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  for (size_t k = 0; k < task->n_percent; k++) out->status[k * task->rx->n] = ES_OUTSIDE;
  return tiny_fill(task, out, 4.0);
}

const es_model es_model_entry = {TINY("outside", ES_TERM, ES_SURFACE, evaluate)};
