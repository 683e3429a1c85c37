/* broken.c - what a host must refuse; the build chooses which. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  return tiny_fill(task, out, 0.0);
}

#if defined(OTHER_ABI)
const es_model es_model_entry = {.abi = ES_ABI + 7, .size = sizeof(es_model), .id = "other-abi", .evaluate = evaluate};
#elif defined(NO_SYMBOL)
const es_model another_name = {TINY("no-symbol", ES_TERM, ES_SURFACE, evaluate)};
#elif defined(WRONG_ROLE)
const es_model es_model_entry = {TINY("wrong-role", 9, ES_SURFACE, evaluate)};
#elif defined(NO_WAY)
const es_model es_model_entry = {TINY("no-way", ES_TERM, 0, evaluate)};
#elif defined(SHORT_STRUCT) /* too old to know evaluate() */
const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = offsetof(es_model, prepared_bytes),
                                 .id = "short-struct",
                                 .role = ES_TERM,
                                 .touches = ES_SURFACE,
                                 .evaluate = evaluate};
#elif defined(NO_ID)
const es_model es_model_entry = {TINY("", ES_TERM, ES_SURFACE, evaluate)};
#endif
