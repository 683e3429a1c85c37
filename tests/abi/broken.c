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
#elif defined(TOO_LARGE) /* says that it is longer than it is */
const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = sizeof(es_model) + 65536,
                                 .id = "too-large",
                                 .role = ES_TERM,
                                 .touches = ES_SURFACE,
                                 .evaluate = evaluate};
#elif defined(NO_CHOICE) /* its setting falls back on a fourth of three choices */
static const es_setting settings[] = {{"shape", "", "how it grows", 0, 3, 3, "flat|steep|round"}};
const es_model es_model_entry = {TINY("no-choice", ES_TERM, ES_SURFACE, evaluate), .settings = settings,
                                 .n_settings = 1};
#elif defined(NO_KEY)
static const es_setting settings[] = {{NULL, "dB", "nameless", 0, 3, 1, NULL}};
const es_model es_model_entry = {TINY("no-key", ES_TERM, ES_SURFACE, evaluate), .settings = settings, .n_settings = 1};
#endif
