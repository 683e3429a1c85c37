/* sea-spray.c - a loss model in ten lines: 0.01 dB for each kilometre over the sea. The figure is invented. */
#include "earshot/model.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  size_t n = task->rx->n;
  for (size_t k = 0; k < task->n_percent; k++)
    for (size_t r = 0; r < n; r++) out->value[k * n + r] = 0.01 * task->rx->sea_share[r] * task->rx->dist_m[r] / 1000.0;
  return ES_OK;
}

const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = sizeof(es_model),
                                 .id = "sea-spray",
                                 .title = "spray over the sea",
                                 .source = "invented, as an example",
                                 .role = ES_TERM,
                                 .touches = ES_SURFACE,
                                 .min_ghz = 1,
                                 .max_ghz = 50,
                                 .min_km = 0,
                                 .max_km = 1000,
                                 .evaluate = evaluate};
