/* ways.c - a way of 100 dB that leaves at 0.1 and arrives at 0.2 radians; built once as a duct, once as scatter. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  for (size_t r = 0; r < task->rx->n; r++) {
    out->el_tx[r] = 0.1;
    out->el_rx[r] = 0.2;
  }
  return tiny_fill(task, out, 100.0);
}

#ifdef BUILD_SCATTER
const es_model es_model_entry = {TINY("way-scatter", ES_WAY, ES_SCATTER, evaluate)};
#else
const es_model es_model_entry = {TINY("way-duct", ES_WAY, ES_DUCT, evaluate), .correlated_with = ES_SURFACE};
#endif
