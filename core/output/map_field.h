/* map_field.h - what lies under each pixel of the map: land, sea or nothing known; the class; the way to the coast. */
#ifndef EARSHOT_OUTPUT_MAP_FIELD_H
#define EARSHOT_OUTPUT_MAP_FIELD_H

#include "output/map_sheet.h"
#include "output/map_view.h"

enum { ES_FIELD_SEA, ES_FIELD_LAND, ES_FIELD_VOID };
enum { ES_FIELD_NO_DATA = -1, ES_FIELD_OUTSIDE = -2 };

typedef struct es_field_map {
  int side, scale; /* pixels of the square map frame */
  uint8_t *ground; /* ES_FIELD_SEA ... */
  int8_t *class;   /* 0 ..., ES_FIELD_NO_DATA, ES_FIELD_OUTSIDE (of the ring) */
  float *coast_px; /* of sea pixels: to the nearest land, px at scale 1; FLT_MAX: far */
  float *relief;   /* of land pixels inside the ring: -1 (in shade) .. 1 */
  bool has_void, has_coast;
} es_field_map;

int32_t es_field_map_make(const es_frame *frame, const es_view *view, const float *values, const es_map_ground *ground,
                          es_map_kind kind, int scale, es_field_map *out, es_error *err);
void es_field_map_fini(es_field_map *field);

/* Relief of every land pixel inside the ring, into field->relief (zero elsewhere). Sun from four sides, 45 degrees high,
 * heights x 5, after E. Imhof, "Cartographic Relief Presentation", 1982. */
void es_relief_make(const es_frame *frame, const es_view *view, const es_map_ground *ground, es_field_map *field);

#endif
