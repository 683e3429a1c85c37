/* places.h - a scenario's map for other people's map programs: KMZ, classes in colour, polygons by mode. */
#ifndef EARSHOT_RUN_PLACES_H
#define EARSHOT_RUN_PLACES_H

#include "run/listeners.h"
#include "run/map.h"

/* Writes map-classes-<scenario>.tif, map-<scenario>.kmz and coverage-<scenario>.gpkg into the folder, after the sheets: the
 * KMZ takes its key from one. [setup] */
int32_t es_places_write(const es_setup *setup, size_t scenario, const es_percentages *percents,
                        const es_map_cells *cells, const es_map_layers *layers, const es_listener_answers *answers,
                        const char *folder, const char *run_id, es_error *err);

#endif
