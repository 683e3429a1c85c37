/* record.h - run.json: what went in, what was used, what came out in counts. No clock, no host: the same input, the same bytes. */
#ifndef EARSHOT_RUN_RECORD_H
#define EARSHOT_RUN_RECORD_H

#include <jansson.h>

#include "run/listeners.h"
#include "run/map.h"

/* Inputs: job, stations, data sets with size, date, datum and checksum, models with settings, climate with sources. The
 * caller owns the result; NULL out of memory or when an input file has gone. */
json_t *es_record_inputs(const es_setup *setup, const es_percentages *percents, es_error *err);
/* Eight hexadecimal digits that stand for the inputs. */
void es_record_id(const json_t *inputs, char out[9]);
/* One listener's answer in full, for OUT/paths/ and `earshot path --json`. */
json_t *es_record_path(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                       const es_percentages *percents, const es_path_answer *answer);
json_t *es_record_counts(const es_setup *setup, const es_listener_answers *answers, const es_map_layers *layers);

#endif
