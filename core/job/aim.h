/* aim.h - what the job wants most (`aim`), and which scenarios it wants side by side (`compare`). */
#ifndef EARSHOT_JOB_AIM_H
#define EARSHOT_JOB_AIM_H

#include "job/job.h"
#include "job/read.h"

/* Names must be of the list; the share of time must be one the chain answers for. Listeners and modes are read already. */
void es_aim_read(const es_reader *reader, es_node node, es_job *job);
/* Pairs of scenarios by name; the scenarios are made already. */
void es_compare_read(const es_reader *reader, es_node node, es_job *job);

#endif
