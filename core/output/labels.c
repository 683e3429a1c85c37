#include "output/labels.h"

#include <math.h>
#include <stdlib.h>

enum { BANDS = 64, DIRECTIONS = 8 };

static const double SPACE_PX = 2.0;       /* kept free round a name */
static const double BESIDE_PX = 10.5;     /* a name beside its mark keeps off the mark's box of 16 px */
static const double LEADER_FROM_PX = 9.0; /* leaders begin outside the mark and its halo */
static const double RING_PX[ES_LABEL_RINGS] = {11.0, 24.0, 38.0, 54.0, 72.0, 92.0};
/* E, NE, SE, W, NW, SW, N, S */
static const double EAST[DIRECTIONS] = {1, 0.7071, 0.7071, -1, -0.7071, -0.7071, 0, 0};
static const double SOUTH[DIRECTIONS] = {0, -0.7071, 0.7071, 0, -0.7071, 0.7071, -1, 1};

/* Boxes sorted into bands of equal height, so that a question looks at its neighbours only. */
typedef struct band {
  es_box *boxes;
  size_t n, room;
} band;
struct es_label_room {
  es_box limits;
  band bands[BANDS];
};

bool es_boxes_meet(es_box a, es_box b) { return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1; }
es_box es_box_grown(es_box b, double by) { return (es_box){b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by}; }
es_box es_box_about(double x, double y, double width, double height) {
  return (es_box){x - 0.5 * width, y - 0.5 * height, x + 0.5 * width, y + 0.5 * height};
}

es_label_room *es_label_room_create(es_box limits) {
  es_label_room *room = calloc(1, sizeof *room);
  if (room != NULL) room->limits = limits;
  return room;
}

void es_label_room_destroy(es_label_room *room) {
  if (room == NULL) return;
  for (int i = 0; i < BANDS; i++) free(room->bands[i].boxes);
  free(room);
}

static int band_at(const es_label_room *room, double y) {
  double share = (y - room->limits.y0) / (room->limits.y1 - room->limits.y0);
  return (int)fmin(fmax(share * BANDS, 0.0), BANDS - 1.0);
}

bool es_label_room_free(const es_label_room *room, es_box box) {
  const es_box *l = &room->limits;
  if (box.x0 < l->x0 || box.y0 < l->y0 || box.x1 > l->x1 || box.y1 > l->y1) return false;
  for (int i = band_at(room, box.y0); i <= band_at(room, box.y1); i++)
    for (size_t k = 0; k < room->bands[i].n; k++)
      if (es_boxes_meet(box, room->bands[i].boxes[k])) return false;
  return true;
}

static bool add_to_band(band *b, es_box box) {
  if (b->n == b->room) {
    size_t wanted = b->room == 0 ? 16 : 2 * b->room;
    es_box *grown = realloc(b->boxes, wanted * sizeof *grown);
    if (grown == NULL) return false;
    b->boxes = grown;
    b->room = wanted;
  }
  b->boxes[b->n++] = box;
  return true;
}

bool es_label_room_take(es_label_room *room, es_box box) {
  for (int i = band_at(room, box.y0); i <= band_at(room, box.y1); i++)
    if (!add_to_band(&room->bands[i], box)) return false;
  return true;
}

/* The box that touches the point on its own side: right of it when it lies east, and so on. */
static es_box box_beside(const es_label_wish *w, int direction, int ring) {
  double wider = 0.5 * w->mark_px - 8.0; /* the distances are those of a listener's mark */
  double east = EAST[direction], south = SOUTH[direction], away = RING_PX[ring] + wider;
  double sideways = east == 0.0 ? 0.0 : copysign(fmax(fabs(east) * away, BESIDE_PX + wider), east);
  double cx = w->x + sideways, cy = w->y + south * away;
  double x0 = east > 0.0 ? cx : east < 0.0 ? cx - w->width : cx - 0.5 * w->width;
  double y0 = cy - (0.5 - 0.25 * (south > 0.0 ? 1.0 : south < 0.0 ? -1.0 : 0.0)) * w->height;
  if (east == 0.0) y0 = south > 0.0 ? cy : cy - w->height; /* straight below or above */
  return (es_box){x0, y0, x0 + w->width, y0 + w->height};
}

static void set_leader(es_label *label, double x, double y) {
  const es_box *b = &label->box;
  label->to_x = fmin(fmax(x, b->x0), b->x1);
  label->to_y = fmin(fmax(y, b->y0), b->y1);
  double dx = label->to_x - x, dy = label->to_y - y, length = hypot(dx, dy);
  label->leader = length > LEADER_FROM_PX + 2.0;
  if (!label->leader) return;
  label->from_x = x + dx * LEADER_FROM_PX / length;
  label->from_y = y + dy * LEADER_FROM_PX / length;
}

bool es_label_place(es_label_room *room, es_label_wish wish, es_label *out) {
  *out = (es_label){0};
  for (int ring = 0; ring < wish.rings && ring < ES_LABEL_RINGS; ring++)
    for (int direction = 0; direction < DIRECTIONS; direction++) {
      es_box box = box_beside(&wish, direction, ring);
      if (!es_label_room_free(room, es_box_grown(box, SPACE_PX))) continue;
      out->box = box;
      out->placed = true;
      if (ring > 0) set_leader(out, wish.x, wish.y);
      return es_label_room_take(room, box);
    }
  return true;
}
