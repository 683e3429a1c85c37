/* contours.h - where each mode is enough: polygons along the edges of cells, between the modes' needs [GDAL, OGR]. */
#ifndef EARSHOT_OUTPUT_CONTOURS_H
#define EARSHOT_OUTPUT_CONTOURS_H

#include <stddef.h>

#include "base/status.h"
#include "place/frame.h"

typedef struct es_contour_level {
  const char *name, *words; /* of the mode: "cw", "Morse by ear" */
  double from_db;           /* SNR in 2500 Hz that it needs */
} es_contour_level;

/* A GeoPackage with one layer, "coverage", on WGS 84: columns id (which level, from 1), mode, snr_2500hz_from_db, snr_2500hz_to_db
 * (null for the mode that needs most), mode_words and colour (the map sheet's on land, "#3695A6", for a map program to paint
 * by). Levels rise; at most 255 of them. [setup] */
int32_t es_contours_write(const char *path, const es_frame *frame, const float *snr_db, const es_contour_level *levels,
                          size_t n_levels, es_error *err);

#endif
