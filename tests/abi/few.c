/* few.c - fills the first percentage and forgets the others. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  for (size_t r = 0; r < task->rx->n; r++) out->value[r] = 4.0;
  return 0;
}

const es_model es_model_entry = {TINY("few", ES_TERM, ES_SURFACE, evaluate)};
