/* older.c - built when the structure ended before `destroy`: what it does not know is zero, though bytes follow. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  return tiny_fill(task, out, 2.0);
}

static void never_called(void *self) { *(volatile int *)self = 1; }

const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = offsetof(es_model, destroy),
                                 .id = "older",
                                 .title = "older",
                                 .source = "tests/abi",
                                 .role = ES_TERM,
                                 .touches = ES_SURFACE,
                                 .min_ghz = 0.1,
                                 .max_ghz = 100.0,
                                 .max_km = 1000.0,
                                 .evaluate = evaluate,
                                 .destroy = never_called};
