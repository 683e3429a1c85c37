/* A model that fails when it is used: on one receiver, or only on many, as a map has them. */
#include <stdio.h>
#include <string.h>

#include "earshot/model.h"

static int32_t create(const double *values, void **self, es_error *err) {
  static const double least[] = {1, 2};
  (void)err;
  *self = (void *)(uintptr_t)&least[values[0] == 0.0 ? 0 : 1];
  return ES_OK;
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  if ((double)task->rx->n >= *(const double *)self) {
    snprintf(err->detail, sizeof err->detail, "it fails as it was told to");
    return err->status = ES_FAILED;
  }
  memset(out->value, 0, task->n_percent * task->rx->n * sizeof *out->value);
  return ES_OK;
}

static const es_setting settings[] = {{"on", "", "what it fails on", 0, 1, 0, "anything|maps"}};

const es_model es_model_entry = {.abi = ES_ABI,
                                 .size = sizeof(es_model),
                                 .id = "fails",
                                 .role = ES_TERM,
                                 .touches = ES_SURFACE,
                                 .max_ghz = 100,
                                 .max_km = 1000,
                                 .settings = settings,
                                 .n_settings = 1,
                                 .create = create,
                                 .evaluate = evaluate};
