/* map_raster.h - a layer of a map as a Cloud Optimized GeoTIFF [GDAL]. */
#ifndef EARSHOT_OUTPUT_MAP_RASTER_H
#define EARSHOT_OUTPUT_MAP_RASTER_H

#include <stddef.h>

#include "base/status.h"
#include "output/map_class.h"
#include "place/frame.h"

/* float32, nodata NaN, the frame's own CRS, band description and unit, n_meta pairs of metadata. No times inside: same
 * input, same bytes, whatever `threads` (0: one). [setup] */
int32_t es_map_raster_write(const char *path, const es_frame *frame, const float *values, const char *description,
                            const char *unit, const char *const *keys, const char *const *texts, size_t n_meta,
                            int threads, es_error *err);

/* Reads such a file back, bit by bit, and no file beside it. ES_E_FILE when it is no GeoTIFF with as many cells of one band.
 * [setup] */
int32_t es_map_raster_read(const char *path, const es_frame *frame, float *values, es_error *err);

/* The classes of the map sheet as bytes with its colours of land; 255: no data. What a class means is metadata. [setup] */
int32_t es_map_classes_write(const char *path, const es_frame *frame, es_map_kind kind, const float *values,
                             int threads, es_error *err);

#endif
