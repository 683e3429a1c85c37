/* run.h - the batch: a job in, a folder of answers out.
 *
 * Nothing is written before the whole job has been found good; files appear under their final names only when whole. A
 * second run of the same job in the same folder goes on where the first was stopped: see book.h.                        */
#ifndef EARSHOT_RUN_RUN_H
#define EARSHOT_RUN_RUN_H

#include "run/setup.h"

typedef struct es_run_options {
  const char *folder; /* made when missing */
  es_model_folders models;
  int threads;
  bool quiet;
  double memory_mb;       /* a job that needs more for ground and map is refused; 0: no limit */
  const atomic_int *stop; /* not 0: stop between radials and files; NULL: never */
} es_run_options;

/* 0; ES_E_INPUT when faults were added (nothing is written); another status with err when it stopped part-way. */
int32_t es_run(const es_job *job, const es_run_options *options, es_faults *faults, es_error *err);

#endif
