/* profile.h - one profile given as numbers, through the same code as a run: radial, chain, combination. */
#ifndef EARSHOT_RUN_PROFILE_H
#define EARSHOT_RUN_PROFILE_H

#include <jansson.h>

#include "job/job.h"
#include "run/setup.h"

/* Evaluates and returns {"results": [{"time_percent", "basic_loss_db", "status", "ways", "terms", "symbols"}]}; NULL with
 * faults. Owned by the caller. */
json_t *es_profile_evaluate(const es_profile_job *job, const es_model_folders *folders, es_faults *faults);

#endif
