/* progress.h - how far the work has come: a bar on a terminal, plain lines otherwise, always on standard error. */
#ifndef EARSHOT_BASE_PROGRESS_H
#define EARSHOT_BASE_PROGRESS_H

#include <stdbool.h>
#include <stddef.h>

typedef struct es_progress es_progress;

es_progress *es_progress_start(bool quiet); /* NULL is accepted by the others and stays silent */
/* A new stage of `total` steps, named in a few words. [one thread] */
void es_progress_stage(es_progress *p, const char *name, size_t total);
void es_progress_step(es_progress *p, size_t steps); /* [any thread] */
void es_progress_end(es_progress *p);

#endif
