/* kmz.h - a map as a KMZ (OGC KML 2.3): the colours as a ground overlay, the sheet's column on the screen, the listeners as
 * placemarks with their cards [cairo, GDAL's zip].                                                                        */
#ifndef EARSHOT_OUTPUT_KMZ_H
#define EARSHOT_OUTPUT_KMZ_H

#include "output/map_sheet.h"

typedef struct es_placemark {
  const char *name, *card; /* any text */
  es_lonlat at;
  es_mark_shape shape;
} es_placemark;

typedef struct es_kmz {
  const char *title, *about; /* any text */
  const char *sheet_png;     /* the map sheet already written: its column is the legend */
  const char *beacon_name;
  const es_placemark *marks;
  size_t n_marks;
} es_kmz;

/* values and kind as of the map sheet. No times inside: same input, same bytes. [setup] */
int32_t es_kmz_write(const char *path, const es_frame *frame, es_map_kind kind, const float *values,
                     const es_map_ground *ground, const es_kmz *kmz, es_error *err);

#endif
