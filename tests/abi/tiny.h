/* tiny.h - the same entry for all the little models of this folder; each fills in what it is about. */
#ifndef EARSHOT_TESTS_TINY_H
#define EARSHOT_TESTS_TINY_H

#include <math.h>

#include "earshot/model.h"

/* One value everywhere. */
static inline int32_t tiny_fill(const es_task *task, es_answer *out, double value) {
  for (size_t i = 0; i < task->n_percent * task->rx->n; i++) out->value[i] = value;
  return 0;
}

#define TINY(ID, ROLE, TOUCHES, EVALUATE)                                                                              \
  .abi = ES_ABI, .size = sizeof(es_model), .id = ID, .title = ID, .source = "tests/abi", .role = ROLE,                 \
  .touches = TOUCHES, .min_ghz = 0.1, .max_ghz = 100.0, .min_km = 0.0, .max_km = 1000.0, .evaluate = EVALUATE

#endif
