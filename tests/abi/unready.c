/* unready.c - cannot be set up. */
#include <string.h>

#include "tiny.h"

static int32_t create(const double *values, void **self, es_error *err) {
  (void)values, (void)self;
  strcpy(err->detail, "its data are elsewhere");
  return err->status = ES_FAILED;
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  return tiny_fill(task, out, 0.0);
}

const es_model es_model_entry = {TINY("unready", ES_TERM, ES_SURFACE, evaluate), .create = create};
