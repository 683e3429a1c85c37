/* answer_record.h - spread and verdict of one answer for JSON. */
#ifndef EARSHOT_RUN_ANSWER_RECORD_H
#define EARSHOT_RUN_ANSWER_RECORD_H

#include <jansson.h>

#include "run/path.h"

/* The caller owns the results. */
json_t *es_record_spread(const es_path_answer *answer);
json_t *es_record_verdict(const es_path_answer *answer);

#endif
