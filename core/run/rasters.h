/* rasters.h - a scenario's layers as GeoTIFFs, and back: what a run that was stopped picks up instead of computing it again.
 *
 * The rasters hold every layer to the bit, so they are the record of a map that is done. Beside them stands a ticket,
 * OUT/.earshot/map-<scenario>.json: what the map depends on (one number, needs.h), its counts, and size and checksum of
 * each raster. A ticket whose number is another, or whose rasters are not all there as it says, counts for nothing.       */
#ifndef EARSHOT_RUN_RASTERS_H
#define EARSHOT_RUN_RASTERS_H

#include "run/map.h"
#include "run/needs.h"

typedef struct es_raster_place {
  const es_setup *setup;
  const es_scenario *scenario;
  const es_map_need *need;
  const char *folder;
  int threads;
} es_raster_place;

/* Writes map-<what>-<scenario>.tif for every layer, then the ticket. */
int32_t es_rasters_write(const es_raster_place *place, const es_map_layers *layers, es_error *err);
/* Layers of a map that is whole and made from the same need: *found, and filled. Not found is no error. */
int32_t es_rasters_read(const es_raster_place *place, size_t n_cells, es_map_layers *out, bool *found, es_error *err);

#endif
