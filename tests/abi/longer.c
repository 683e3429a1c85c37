/* longer.c - built when the structure had grown: what this host does not know is passed over. */
#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  return tiny_fill(task, out, 1.0);
}

typedef struct later_model {
  es_model known;
  const char *not_yet[4];
} later_model;

ES_EXPORT extern const later_model later __asm__("es_model_entry");
const later_model later = {.known = {.abi = ES_ABI,
                                     .size = sizeof(later_model),
                                     .id = "longer",
                                     .title = "longer",
                                     .source = "tests/abi",
                                     .role = ES_TERM,
                                     .touches = ES_SURFACE,
                                     .min_ghz = 0.1,
                                     .max_ghz = 100.0,
                                     .max_km = 1000.0,
                                     .evaluate = evaluate},
                           .not_yet = {"of", "a", "later", "day"}};
