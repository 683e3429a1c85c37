/* run.h - the batch: a job in, a folder of answers out.
 *
 * Nothing is written before the whole job has been found good; files appear under their final names only when whole. */
#ifndef EARSHOT_RUN_RUN_H
#define EARSHOT_RUN_RUN_H

#include "run/setup.h"

typedef struct es_run_options {
  const char *folder; /* made when missing */
  es_model_folders models;
  int threads;
  bool quiet;
  size_t memory_bytes; /* a job that needs more is refused; 0: no limit */
} es_run_options;

/* The job may be a faulty one (es_job_read): then what else is wrong with it is added to the faults already there.
 * 0; ES_E_INPUT when there are (nothing is written); another status with err when it stopped part-way. */
int32_t es_run(const es_job *job, const es_run_options *options, es_faults *faults, es_error *err);

#endif
