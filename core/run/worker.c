#include "run/worker.h"

#include <stdlib.h>

es_worker *es_workers_create(int threads) {
  es_worker *workers = calloc((size_t)threads, sizeof *workers);
  if (workers == NULL) return NULL;
  for (int i = 0; i < threads; i++) {
    workers[i] = (es_worker){es_arena_create(), es_arena_create(), es_outlines_create(), NULL};
    if (workers[i].keep == NULL || workers[i].scratch == NULL || workers[i].outlines == NULL) {
      es_workers_destroy(workers, threads);
      return NULL;
    }
  }
  return workers;
}

void es_workers_destroy(es_worker *workers, int threads) {
  for (int i = 0; workers != NULL && i < threads; i++) {
    es_arena_destroy(workers[i].keep);
    es_arena_destroy(workers[i].scratch);
    es_outlines_destroy(workers[i].outlines);
  }
  free(workers);
}

void es_worker_reset(es_worker *w) {
  es_arena_back_to(w->keep, (es_arena_mark){0});
  es_arena_back_to(w->scratch, (es_arena_mark){0});
}
