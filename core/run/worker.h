/* worker.h - what one thread owns: two arenas, emptied after each radial, and the outlines of the path in hand. */
#ifndef EARSHOT_RUN_WORKER_H
#define EARSHOT_RUN_WORKER_H

#include "base/arena.h"
#include "base/status.h"
#include "radial/outline.h"

struct es_path_memory;

typedef struct es_worker {
  es_arena *keep, *scratch;
  es_outlines *outlines;
  struct es_path_memory
      *memory; /* of the listener at work (run/path_memory.h); NULL: nothing is remembered. Borrowed */
} es_worker;

/* One worker a thread; NULL out of memory. */
es_worker *es_workers_create(int threads);
void es_workers_destroy(es_worker *workers, int threads);
void es_worker_reset(es_worker *worker);

#endif
