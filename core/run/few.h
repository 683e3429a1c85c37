/* few.h - a setup as if the job's list held some of its listeners only, evenly taken. */
#ifndef EARSHOT_RUN_FEW_H
#define EARSHOT_RUN_FEW_H

#include "run/setup.h"

typedef struct es_few {
  es_setup setup; /* everything but the lists is borrowed from the whole one */
  es_job job, *jobs;
  es_setup *variants;
  const es_job **pointers;
} es_few;

/* `few` must stay where it is. False out of memory: es_few_fini() it then too. n is at most the length of the list. [setup] */
bool es_few_init(es_few *few, const es_setup *whole, size_t n);
void es_few_fini(es_few *few);

#endif
