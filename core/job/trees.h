/* trees.h - what a job says of trees: the section `trees`, the list `obstacles`, and what the cover classes carry. */
#ifndef EARSHOT_JOB_TREES_H
#define EARSHOT_JOB_TREES_H

#include "job/job.h"
#include "job/read.h"
#include "job/vary.h"

/* What stands on cover classes, and the guard against counting trees twice. */
void es_cover_read(const es_reader *reader, es_node ground, const es_ground_keys *keys, es_job *job);
/* Fills job->trees; what the loss model should know is added to job->settings (which must have been read). */
void es_trees_read(const es_reader *reader, es_node node, es_job *job);
/* Sets how much trees have grown after `years`; NaN: as the section says. */
void es_trees_grow(const es_reader *reader, es_node vary, double years, es_job *job);
/* A file or a list; stations must be the beacon or listeners of the job; of several sites the one that is meant. */
void es_obstacle_list_read(const es_reader *reader, es_node node, const es_axis *sites, es_job *job);

#endif
