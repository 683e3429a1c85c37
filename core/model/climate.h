/* climate.h - the climate of a path: the user's constant, else the user's own map, else the latitude, else a default.
 *
 * Source of maps, fallbacks and defaults: docs/models/refractivity.md. No ITU map is shipped. Const after creation; values
 * may be asked for from any thread.                                                                                       */
#ifndef EARSHOT_MODEL_CLIMATE_H
#define EARSHOT_MODEL_CLIMATE_H

#include "base/faults.h"
#include "job/job.h"

typedef enum es_climate_source { ES_FROM_USER, ES_FROM_MAP, ES_FROM_LATITUDE, ES_FROM_DEFAULT } es_climate_source;

typedef struct es_climate es_climate;

/* Reads the maps the plan names. NULL with faults when a map is there and cannot be used. [setup] */
es_climate *es_climate_open(const es_climate_plan *plan, const char *job_file, es_faults *faults);
void es_climate_close(es_climate *climate);

/* Value at a place for one side of the path (0 whole path, 1 beacon, 2 listener). Never NaN. source may be NULL. */
double es_climate_value(const es_climate *climate, es_climate_key key, int side, es_lonlat at,
                        es_climate_source *source);

const char *es_climate_key_name(es_climate_key key); /* as in the job file: "delta_n_median" */
const char *es_climate_key_unit(es_climate_key key);
const char *es_climate_source_name(es_climate_source source);

#endif
