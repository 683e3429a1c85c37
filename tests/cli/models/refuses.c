/* A model that cannot be set up. */
#include <stdio.h>

#include "earshot/model.h"

static int32_t create(const double *values, void **self, es_error *err) {
  (void)values, (void)self;
  snprintf(err->detail, sizeof err->detail, "its table is not there");
  return err->status = ES_FAILED;
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)task, (void)out, (void)err;
  return ES_OK;
}

const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = sizeof(es_model),
                                 .id = "refuses",
                                 .role = ES_TERM,
                                 .touches = ES_SURFACE,
                                 .max_ghz = 100,
                                 .max_km = 1000,
                                 .create = create,
                                 .evaluate = evaluate};
