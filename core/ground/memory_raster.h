/* memory_raster.h - an array seen as a raster, for GDAL's algorithms. The array stays the caller's. [setup] */
#ifndef EARSHOT_GROUND_MEMORY_RASTER_H
#define EARSHOT_GROUND_MEMORY_RASTER_H

#include <gdal.h>

/* One band over pixels[rows * cols]. crs may be NULL. NULL on failure; close with GDALClose before the array goes. */
GDALDatasetH es_memory_raster(void *pixels, GDALDataType type, int cols, int rows, const char *crs, const double gt[6]);

#endif
