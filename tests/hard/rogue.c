/* rogue.c - a term that raises a signal where it is told to: in evaluate at the highest of several beacon heights, in create,
 * or when the library is opened. */
#include <signal.h>
#include <stddef.h>

#include "earshot/model.h"

static volatile int nowhere;

#ifdef ON_LOAD
__attribute__((constructor)) static void load(void) { raise(SIGSEGV); }
#endif

static int32_t create(const double *values, void **self, es_error *err) {
  (void)values, (void)self, (void)err;
#ifdef IN_CREATE
  raise(SIGABRT);
#endif
  return 0;
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  for (size_t i = 0; i < task->n_percent * task->rx->n; i++) out->value[i] = 0.0;
#ifdef RAISES
  if (task->beacon->antenna_m - task->beacon->ground_m > 15.0 && task->rx->n > 1) raise(RAISES);
#endif
  return nowhere;
}

ES_EXPORT const es_model es_model_entry = {.abi = ES_ABI,
                                           .size = sizeof(es_model),
                                           .id = "rogue",
                                           .title = "raises a signal",
                                           .source = "tests/hard",
                                           .role = ES_TERM,
                                           .touches = ES_SURFACE,
                                           .min_ghz = 0.1,
                                           .max_ghz = 100.0,
                                           .min_km = 0.0,
                                           .max_km = 1000.0,
                                           .create = create,
                                           .evaluate = evaluate};
