/* warp.h - a raster resampled onto a north-up grid [GDAL's warper]. [setup] */
#ifndef EARSHOT_GROUND_WARP_H
#define EARSHOT_GROUND_WARP_H

#include <gdal.h>
#include <stdbool.h>

/* Fills values[rows * cols] with the first band, NaN where it has nothing. False: GDAL's last error says why. */
bool es_warp(GDALDatasetH from, const char *from_crs, const char *to_crs, const double to_gt[6], int cols, int rows,
             bool nearest, float *values);

#endif
