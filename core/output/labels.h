/* labels.h - finding room for names on a map.
 *
 * Greedy: names are asked for in the order of their weight; each takes the first free of eight places about its mark, then
 * of two wider rings joined to the mark by a leader (after E. Imhof, "Positioning names on maps", 1975).

        NW  N  NE
         W  o  E          11 px from the mark's centre, then 24, then 38
        SW  S  SE                                                                                                        */
#ifndef EARSHOT_OUTPUT_LABELS_H
#define EARSHOT_OUTPUT_LABELS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

typedef struct es_box {
  double x0, y0, x1, y1;
} es_box;

bool es_boxes_meet(es_box a, es_box b);
es_box es_box_grown(es_box box, double by);
es_box es_box_about(double x, double y, double width, double height);

typedef struct es_label_room es_label_room;

/* An empty sheet; nothing may be set outside `limits`. NULL out of memory. */
es_label_room *es_label_room_create(es_box limits);
void es_label_room_destroy(es_label_room *room); /* accepts NULL */
bool es_label_room_free(const es_label_room *room, es_box box);
/* Takes the space; false out of memory. */
bool es_label_room_take(es_label_room *room, es_box box);

typedef struct es_label {
  es_box box;
  bool placed, leader;
  double from_x, from_y, to_x, to_y; /* of the leader */
} es_label;

typedef struct es_label_wish {
  double x, y;          /* middle of the mark; its own box, and every other mark's, was taken before */
  double mark_px;       /* side of that box; 16 for a listener */
  double width, height; /* of the name */
  int rings;            /* how far it may go: 1..ES_LABEL_RINGS; listeners 3 */
} es_label_wish;
enum { ES_LABEL_RINGS = 6 };

/* Finds and takes room for a name. false: out of memory. */
bool es_label_place(es_label_room *room, es_label_wish wish, es_label *out);

#endif
