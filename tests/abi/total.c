/* total.c - a whole answer: 150 dB by scatter. */
#include <string.h>

#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  memset(out->winner, ES_SCATTER, task->n_percent * task->rx->n);
  return tiny_fill(task, out, 150.0);
}

const es_model es_model_entry = {TINY("total", ES_TOTAL, 0, evaluate)};
