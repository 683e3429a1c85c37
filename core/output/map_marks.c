/* map_marks.c - listeners and the beacon: shapes that say how often it is heard, and names where there is room. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "output/map_parts.h"

static const double HALO_PX = 2.0, OPEN_LINE_PX = 2.0, SALTIRE_LINE_PX = 2.4;
static const double MARK_BOX_PX = 16.0, BEACON_BOX_PX = 22.0;
static const double NAME_WIDTH_MAX_PX = 190.0;
enum { LISTENER_RINGS = 3 };

/* --- shapes ------------------------------------------------------------------------------------------------------ */

static void polygon(cairo_t *cr, double x, double y, const double (*corners)[2], int n) {
  for (int k = 0; k < n; k++) cairo_line_to(cr, x + corners[k][0], y + corners[k][1]);
  cairo_close_path(cr);
}

static void trace_shape(cairo_t *cr, es_mark_shape shape, double x, double y) {
  static const double SQUARE[][2] = {{-5, -5}, {5, -5}, {5, 5}, {-5, 5}};
  static const double UP[][2] = {{0, -7}, {6.6, 4.8}, {-6.6, 4.8}};
  static const double DIAMOND[][2] = {{0, -7}, {6.4, 0}, {0, 7}, {-6.4, 0}};
  static const double DOWN[][2] = {{0, 6.6}, {6.4, -4.8}, {-6.4, -4.8}};
  cairo_new_path(cr);
  switch (shape) {
  case ES_MARK_DISC: cairo_arc(cr, x, y, 6.0, 0.0, 2.0 * ES_PI); break;
  case ES_MARK_RING: cairo_arc(cr, x, y, 5.4, 0.0, 2.0 * ES_PI); break;
  case ES_MARK_SQUARE: polygon(cr, x, y, SQUARE, 4); break;
  case ES_MARK_TRIANGLE: polygon(cr, x, y, UP, 3); break;
  case ES_MARK_DIAMOND: polygon(cr, x, y, DIAMOND, 4); break;
  case ES_MARK_TRIANGLE_DOWN: polygon(cr, x, y, DOWN, 3); break;
  case ES_MARK_SALTIRE:
    cairo_move_to(cr, x - 5, y - 5);
    cairo_line_to(cr, x + 5, y + 5);
    cairo_move_to(cr, x + 5, y - 5);
    cairo_line_to(cr, x - 5, y + 5);
    break;
  case ES_MARK_DASH:
    cairo_move_to(cr, x - 5, y);
    cairo_line_to(cr, x + 5, y);
    break;
  }
}

static bool is_open(es_mark_shape shape) {
  return shape == ES_MARK_DIAMOND || shape == ES_MARK_TRIANGLE_DOWN || shape == ES_MARK_RING;
}
static bool is_stroke(es_mark_shape shape) { return shape == ES_MARK_SALTIRE || shape == ES_MARK_DASH; }

static double line_of(es_mark_shape shape) {
  return is_stroke(shape) ? SALTIRE_LINE_PX : is_open(shape) ? OPEN_LINE_PX : 0.0;
}

void es_mark_draw(const es_pen *pen, const es_palette *palette, es_mark_shape shape, double x, double y) {
  cairo_t *cr = pen->cr;
  cairo_save(cr);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  trace_shape(cr, shape, x, y);
  es_pen_ink(pen, palette->paper[ES_PAPER_SHEET], 1.0);
  cairo_set_line_width(cr, line_of(shape) + 2.0 * HALO_PX);
  cairo_stroke_preserve(cr);
  if (is_open(shape)) cairo_fill_preserve(cr);
  es_pen_ink(pen, palette->paper[ES_PAPER_INK], 1.0);
  cairo_set_line_width(cr, line_of(shape));
  if (line_of(shape) > 0.0)
    cairo_stroke(cr);
  else
    cairo_fill(cr);
  cairo_restore(cr);
}

static void draw_beacon(const es_map_parts *m) {
  static const double RADIUS[] = {11.0, 9.0, 5.0, 1.9};
  cairo_t *cr = m->pen.cr;
  for (int k = 0; k < 4; k++) {
    cairo_new_path(cr);
    cairo_arc(cr, ES_MAP_CENTRE_X, ES_MAP_CENTRE_Y, RADIUS[k], 0.0, 2.0 * ES_PI);
    es_pen_ink(&m->pen, m->palette.paper[k == 1 ? ES_PAPER_INK : ES_PAPER_SHEET], 1.0);
    cairo_set_line_width(cr, 1.6);
    if (k == 2)
      cairo_stroke(cr);
    else
      cairo_fill(cr);
  }
}

es_mark_shape es_mark_of(es_map_kind kind, double value) {
  size_t n;
  const es_map_step *steps = es_map_steps(kind, &n);
  int class = es_map_class(kind, value);
  return class < 0 ? ES_MARK_DASH : steps[class].shape;
}

/* --- names ------------------------------------------------------------------------------------------------------- */

static bool on_map(const es_map_parts *m, const es_map_mark *mark) {
  return mark->dist_m * m->view.px_per_m <= ES_MAP_RING_PX + 0.5;
}

bool es_map_take_marks(es_map_parts *m) {
  bool ok = es_label_room_take(m->room, es_box_about(ES_MAP_CENTRE_X, ES_MAP_CENTRE_Y, BEACON_BOX_PX, BEACON_BOX_PX));
  for (size_t i = 0; ok && i < m->n_marks; i++) {
    double x, y;
    es_view_polar(&m->view, m->marks[i].dist_m, m->marks[i].azimuth, &x, &y);
    if (on_map(m, &m->marks[i])) ok = es_label_room_take(m->room, es_box_about(x, y, MARK_BOX_PX, MARK_BOX_PX));
  }
  return ok;
}

static void draw_leader(const es_map_parts *m, const es_label *label) {
  cairo_t *cr = m->pen.cr;
  for (int pass = 0; pass < 2; pass++) {
    cairo_move_to(cr, label->from_x, label->from_y);
    cairo_line_to(cr, label->to_x, label->to_y);
    cairo_set_line_width(cr, pass == 0 ? 3.0 : 1.0);
    es_pen_ink(&m->pen, m->palette.paper[pass == 0 ? ES_PAPER_SHEET : ES_PAPER_INK], pass == 0 ? 0.8 : 1.0);
    cairo_stroke(cr);
  }
}

static void draw_name(const es_map_parts *m, es_type type, const es_label *label, const char *name) {
  double middle = 0.5 * (label->box.y0 + label->box.y1), width = label->box.x1 - label->box.x0;
  if (label->leader) draw_leader(m, label);
  es_pen_haloed(&m->pen, type, m->palette.paper[ES_PAPER_INK], label->box.x0, middle + 0.36 * type.px, ES_LEFT,
                width + 0.5, 0.0, name);
}

static bool place_name(es_map_parts *m, es_type type, es_label_wish wish, const char *name, es_label *out) {
  wish.width = fmin(es_pen_width(&m->pen, type, name), NAME_WIDTH_MAX_PX);
  wish.height = 1.1 * type.px;
  if (!es_label_place(m->room, wish, out)) return false;
  if (!out->placed) m->n_nameless++;
  return true;
}

/* The beacon first, then from near to far; names are kept in labels[0] and labels[1 + i]. */
static bool place_names(es_map_parts *m, es_label *labels) {
  const char *beacon = m->sheet->beacon_name;
  es_label_wish centre = {ES_MAP_CENTRE_X, ES_MAP_CENTRE_Y, BEACON_BOX_PX, 0.0, 0.0, ES_LABEL_RINGS};
  bool ok = beacon == NULL || place_name(m, ES_TYPE_PLACE, centre, beacon, &labels[0]);
  for (size_t i = 0; ok && i < m->n_marks; i++) {
    es_label_wish wish = {0.0, 0.0, MARK_BOX_PX, 0.0, 0.0, LISTENER_RINGS};
    es_view_polar(&m->view, m->marks[i].dist_m, m->marks[i].azimuth, &wish.x, &wish.y);
    if (on_map(m, &m->marks[i]))
      ok = place_name(m, ES_TYPE_LABEL, wish, m->marks[i].name, &labels[1 + i]);
    else
      m->n_beyond++;
  }
  return ok;
}

/* From far to near, so that the nearer mark lies on top; names above all marks. */
static void draw_all(const es_map_parts *m, const es_label *labels) {
  for (size_t i = m->n_marks; i-- > 0;) {
    double x, y;
    es_view_polar(&m->view, m->marks[i].dist_m, m->marks[i].azimuth, &x, &y);
    if (on_map(m, &m->marks[i]))
      es_mark_draw(&m->pen, &m->palette, es_mark_of(m->sheet->kind, m->marks[i].value), x, y);
  }
  draw_beacon(m);
  for (size_t i = 0; i < m->n_marks; i++)
    if (labels[1 + i].placed) draw_name(m, ES_TYPE_LABEL, &labels[1 + i], m->marks[i].name);
  if (labels[0].placed) draw_name(m, ES_TYPE_PLACE, &labels[0], m->sheet->beacon_name);
}

int32_t es_map_draw_marks(es_map_parts *m, es_error *err) {
  es_label *labels = calloc(m->n_marks + 1, sizeof *labels);
  if (labels == NULL || !place_names(m, labels)) {
    free(labels);
    return es_fail(err, ES_E_MEMORY, "names of %zu listeners: out of memory", m->n_marks);
  }
  draw_all(m, labels);
  free(labels);
  return ES_OK;
}
