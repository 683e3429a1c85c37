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

/* Reads the maps of the plan's folder (taken as it stands: relative to the working folder) and copies the plan's values. NULL
 * with faults when the folder is not there, or a map is there and cannot be used. [setup] */
es_climate *es_climate_open(const es_climate_plan *plan, const char *job_file, es_faults *faults);
void es_climate_close(es_climate *climate); /* accepts NULL */

/* Value at a place for one side of the path (0 whole path, 1 beacon, 2 listener). Never NaN. source may be NULL. A side for
 * which the user gave nothing takes what the user gave for the whole path, before any map. */
double es_climate_value(const es_climate *climate, es_climate_key key, int side, es_lonlat at,
                        es_climate_source *source);

/* True, with the value, when it is the same at every place: given by the user, or a default without map or latitude. */
bool es_climate_everywhere(const es_climate *climate, es_climate_key key, int side, double *value);

/* One quantity at one place, for the record of a run and the page of a path. */
typedef struct es_climate_entry {
  es_climate_key key;
  const char *name, *unit; /* "zero_isotherm_km", "km" ("": no unit) */
  double value;
  es_climate_source source;
  const char *file; /* the map it came from, borrowed from the climate; NULL unless source is ES_FROM_MAP */
} es_climate_entry;

/* Every quantity at a place, in the order of the keys. */
void es_climate_list(const es_climate *climate, int side, es_lonlat at, es_climate_entry out[ES_CLIMATE_KEYS]);
/* The file a quantity's map was read from, borrowed; NULL without such a map. */
const char *es_climate_map_file(const es_climate *climate, es_climate_key key);

const char *es_climate_key_name(es_climate_key key); /* as in the job file: "delta_n_median" */
const char *es_climate_key_unit(es_climate_key key);
const char *es_climate_source_name(es_climate_source source); /* "user", "map", "latitude", "default" */

#endif
