/* map_parts.h - what the files that draw a map sheet share. Internal to core/output. */
#ifndef EARSHOT_OUTPUT_MAP_PARTS_H
#define EARSHOT_OUTPUT_MAP_PARTS_H

#include "output/labels.h"
#include "output/map_field.h"
#include "output/pen.h"

typedef struct es_map_parts {
  const es_sheet *sheet;
  es_palette palette;
  es_map_paint paints[ES_MAP_CLASSES_MAX];
  es_view view;
  es_field_map field;
  es_pen pen;
  es_map_mark *marks; /* sorted from near to far */
  size_t n_marks;
  size_t counts[ES_MAP_CLASSES_MAX], n_unanswered;
  size_t n_beyond;   /* marks outside the ring, not drawn */
  size_t n_nameless; /* names that found no room */
  es_label_room *room;
  int ring_count; /* distance rings */
  double ring_step_m;
  bool ring_label[4]; /* found room, and where */
  double ring_label_x[4], ring_label_y[4];
} es_map_parts;

/* map_colour.c: the pixels inside the map frame. */
void es_map_colour(const es_map_parts *parts, cairo_surface_t *surface);
/* map_lines.c: graticule and squares; rings; the bearing ring; the map's frame. */
void es_map_draw_graticule(const es_map_parts *parts);
void es_map_draw_rings(const es_map_parts *parts);
void es_map_draw_bearing_ring(const es_map_parts *parts);
void es_map_draw_frame(const es_map_parts *parts);
void es_map_draw_square_names(es_map_parts *parts); /* where room is left */
/* Chooses the distance rings; takes room for their labels and those of the bearings. false: out of memory. */
bool es_map_place_ring_labels(es_map_parts *parts);
void es_map_draw_ring_labels(const es_map_parts *parts);
/* map_marks.c: the listeners, the beacon, their names. */
void es_mark_draw(const es_pen *pen, const es_palette *palette, es_mark_shape shape, double x, double y);
es_mark_shape es_mark_of(es_map_kind kind, double value);
bool es_map_take_marks(es_map_parts *parts);
int32_t es_map_draw_marks(es_map_parts *parts, es_error *err);
/* map_column.c: all beside and below the map. */
void es_map_draw_column(const es_map_parts *parts);

#endif
