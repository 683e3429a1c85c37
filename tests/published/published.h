/* published.h - the door of `earshot profile`, with the models of this build. */
#ifndef EARSHOT_TESTS_PUBLISHED_PUBLISHED_H
#define EARSHOT_TESTS_PUBLISHED_PUBLISHED_H

#include <jansson.h>

#include "run/profile.h"

/* An answer to a profile that was read. Faults are printed; NULL when there is any. Caller frees. */
json_t *published_answer(const es_profile_job *job);
/* Reads and answers a file. */
json_t *published_evaluate(const char *path);

#endif
