/* ends.c - an end that loses the elevations it is told, in degrees for both ends together. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  size_t n = task->rx->n;
  for (size_t i = 0; i < task->n_percent * n; i++)
    out->value[i] = (task->el_tx[i % n] + task->el_rx[i % n]) * 180.0 / 3.14159265358979323846;
  return 0;
}

const es_model es_model_entry = {TINY("ends", ES_END, ES_DUCT | ES_SCATTER, evaluate)};
