/* climate_maps.h - the user's own copies of the ITU's digital maps: read once, then asked at places.
 *
 * Names, grids and units: docs/models/refractivity.md. A map is plain text, one row of numbers a latitude:
 *
 *              0      1.5           358.5  360 degrees east
 *     +90   50.1    50.1    ...      50.1   50.1     blanks, tabs or commas between the numbers; the column of 360 degrees
 *    +88.5  49.7    49.8    ...      49.7   49.7     repeats that of 0 and may be left out
 *      .
 *     -90   44.0    44.0    ...      44.0   44.0
 *
 * Const after creation; values may be asked for from any thread.                                                        */
#ifndef EARSHOT_MODEL_CLIMATE_MAPS_H
#define EARSHOT_MODEL_CLIMATE_MAPS_H

#include "base/faults.h"
#include "earshot/model.h"
#include "place/geodesic.h"

typedef struct es_climate_maps es_climate_maps;

/* Reads every map of the folder that has a known name. A map that is not there is no fault; one that is there and cannot be
 * used is, once, with its file and line; so is a folder that is not there (blamed on job_file). NULL with faults. [setup] */
es_climate_maps *es_climate_maps_open(const char *folder, const char *job_file, es_faults *faults);
void es_climate_maps_close(es_climate_maps *maps); /* accepts NULL */

/* Value at a place: between the four grid points about it, or of the nearest for climate codes. NaN without such a map, or
 * at no place. maps may be NULL. */
double es_climate_maps_value(const es_climate_maps *maps, es_climate_key key, es_lonlat at);

/* The file a quantity's map was read from, borrowed; NULL without such a map. maps may be NULL. */
const char *es_climate_maps_file(const es_climate_maps *maps, es_climate_key key);

#endif
