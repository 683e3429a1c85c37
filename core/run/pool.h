/* pool.h - the same work on many items by a few threads. Items are taken from one counter; no locks, no order promised: an
 * item must write its own place only, and then the result does not depend on the number of threads.                        */
#ifndef EARSHOT_RUN_POOL_H
#define EARSHOT_RUN_POOL_H

#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

/* One item by one worker (0..threads-1). Not 0: no further items are begun and this status is returned; err is then filled
 * by the first worker that failed. */
typedef int32_t (*es_pool_fn)(void *shared, int worker, size_t item, es_error *err);

int32_t es_pool_run(int threads, size_t n, es_pool_fn work, void *shared, es_error *err);
/* Processors this process may use. */
int es_pool_processors(void);

#endif
