/* digest.h - one number that stands for all a job says and for the files it names: to notice that either has changed.
 *
 * Left out is what other records stand for: the list of listeners, the heights, powers and seasons that are scenarios, and
 * the contents (not the names) of the ground's rasters, of which only some may be needed. Left out, too, is what no map hangs
 * on: what is aimed at, what is compared, the report.                                                                    */
#ifndef EARSHOT_JOB_DIGEST_H
#define EARSHOT_JOB_DIGEST_H

#include <stdint.h>

#include "base/faults.h"
#include "job/tree.h"

/* A file that has gone counts as its name only; one that is there and cannot be read is a fault. Folders count with the plain
 * files in them. [setup] */
uint64_t es_job_digest(const es_tree *tree, const char *job_path, es_faults *faults);

#endif
