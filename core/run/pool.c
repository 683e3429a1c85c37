#include "run/pool.h"

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdlib.h>

typedef struct pool {
  es_pool_fn work;
  void *shared;
  size_t n;
  _Atomic size_t next;
  _Atomic int32_t status;
  es_error *err;
} pool;

typedef struct worker {
  pool *pool;
  int index;
  pthread_t thread;
} worker;

static void *run(void *data) {
  worker *w = data;
  pool *p = w->pool;
  for (;;) {
    size_t item = atomic_fetch_add(&p->next, 1);
    if (item >= p->n || atomic_load(&p->status) != 0) return NULL;
    es_error err = {0};
    int32_t none = 0, status = p->work(p->shared, w->index, item, &err);
    if (status != 0 && atomic_compare_exchange_strong(&p->status, &none, status) && p->err != NULL) *p->err = err;
  }
}

int32_t es_pool_run(int threads, size_t n, es_pool_fn work, void *shared, es_error *err) {
  pool p = {.work = work, .shared = shared, .n = n, .err = err};
  worker *workers = calloc((size_t)threads, sizeof *workers);
  if (workers == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  int started = 0; /* worker 0 is the caller; a thread that cannot be had is done without */
  for (int i = 0; i < threads; i++) workers[i] = (worker){.pool = &p, .index = i};
  while (started + 1 < threads && pthread_create(&workers[started + 1].thread, NULL, run, &workers[started + 1]) == 0)
    started++;
  run(&workers[0]);
  for (int i = 1; i <= started; i++) pthread_join(workers[i].thread, NULL);
  free(workers);
  return atomic_load(&p.status);
}

int es_pool_processors(void) {
  cpu_set_t set;
  return sched_getaffinity(0, sizeof set, &set) == 0 ? CPU_COUNT(&set) : 1;
}
