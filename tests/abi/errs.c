/* errs.c - says why it cannot answer. */
#include <string.h>

#include "tiny.h"

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)task, (void)out;
  strcpy(err->detail, "no tables for this planet");
  return err->status = ES_FAILED;
}

const es_model es_model_entry = {TINY("errs", ES_TERM, ES_SURFACE, evaluate)};
