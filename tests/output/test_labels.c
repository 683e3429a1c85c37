/* test_labels.c - no two names meet, none meets a mark, none leaves the sheet. */
#include "output/labels.h"

#include <stdlib.h>

#include "near.h"

enum { MARKS = 200 };

static const es_box SHEET = {0.0, 0.0, 1090.0, 1090.0};

static double next(uint32_t *seed) {
  *seed = *seed * 1664525u + 1013904223u;
  return (*seed >> 8) / 16777216.0;
}

typedef struct crowd {
  double x[MARKS], y[MARKS], width[MARKS];
  es_label labels[MARKS];
} crowd;

static void place(crowd *c, uint32_t seed, double spread) {
  es_label_room *room = es_label_room_create(SHEET);
  assert_non_null(room);
  for (int i = 0; i < MARKS; i++) {
    c->x[i] = 545.0 + spread * (next(&seed) - 0.5);
    c->y[i] = 545.0 + spread * (next(&seed) - 0.5);
    c->width[i] = 25.0 + 40.0 * next(&seed);
    assert_true(es_label_room_take(room, es_box_about(c->x[i], c->y[i], 16.0, 16.0)));
  }
  for (int i = 0; i < MARKS; i++)
    assert_true(es_label_place(room, (es_label_wish){c->x[i], c->y[i], 16.0, c->width[i], 14.3, 3}, &c->labels[i]));
  es_label_room_destroy(room);
}

static int check(const crowd *c) {
  int placed = 0;
  for (int i = 0; i < MARKS; i++) {
    es_box box = c->labels[i].box;
    if (!c->labels[i].placed) continue;
    placed++;
    assert_true(box.x0 >= SHEET.x0 && box.y0 >= SHEET.y0 && box.x1 <= SHEET.x1 && box.y1 <= SHEET.y1);
    for (int k = 0; k < MARKS; k++) {
      assert_false(es_boxes_meet(box, es_box_about(c->x[k], c->y[k], 16.0, 16.0)));
      if (k != i && c->labels[k].placed) assert_false(es_boxes_meet(box, c->labels[k].box));
    }
  }
  return placed;
}

static void names_never_meet(void **state) {
  (void)state;
  static crowd wide, tight;
  for (uint32_t seed = 1; seed <= 5; seed++) {
    place(&wide, seed, 1080.0);
    place(&tight, seed, 300.0);
    assert_true(check(&wide) > 150);           /* nearly all find room on a whole sheet */
    assert_true(check(&tight) < check(&wide)); /* and fewer in a crowd */
  }
}

static es_label alone(double x, double y) {
  es_label label;
  es_label_room *room = es_label_room_create(SHEET);
  assert_true(es_label_room_take(room, es_box_about(x, y, 16.0, 16.0)));
  assert_true(es_label_place(room, (es_label_wish){x, y, 16.0, 50.0, 14.0, 3}, &label));
  es_label_room_destroy(room);
  return label;
}

static void first_place_is_east(void **state) {
  (void)state;
  es_label label = alone(500.0, 500.0);
  assert_true(label.placed && !label.leader);
  assert_near(label.box.x0, 511.0, 1e-9);
  assert_near(label.box.y0, 493.0, 1e-9);
}

static void at_the_right_edge_it_is_west(void **state) {
  (void)state;
  es_label label = alone(1075.0, 500.0);
  assert_true(label.placed);
  assert_near(label.box.x1, 1064.0, 1e-9);
}

/* With all eight near places taken the name goes further out, tied by a leader. */
static void crowded_name_gets_a_leader(void **state) {
  (void)state;
  es_label label;
  es_label_room *room = es_label_room_create(SHEET);
  assert_true(es_label_room_take(room, es_box_about(500.0, 500.0, 40.0, 30.0)));
  assert_true(es_label_place(room, (es_label_wish){500.0, 500.0, 16.0, 50.0, 14.0, 3}, &label));
  assert_true(label.placed && label.leader);
  assert_near(hypot(label.from_x - 500.0, label.from_y - 500.0), 9.0, 1e-9);
  assert_true(es_label_place(room, (es_label_wish){500.0, 500.0, 16.0, 50.0, 14.0, 1}, &label));
  assert_false(label.placed);
  es_label_room_destroy(room);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(names_never_meet), cmocka_unit_test(first_place_is_east),
                                     cmocka_unit_test(at_the_right_edge_it_is_west),
                                     cmocka_unit_test(crowded_name_gets_a_leader)};
  return cmocka_run_group_tests_name("labels", tests, NULL, NULL);
}
