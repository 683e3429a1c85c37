/* map_lines.c - the lines over the map: graticule, locator squares, distance rings, bearing ring, frame. */
#include <math.h>
#include <stdio.h>

#include "base/units.h"
#include "output/graticule.h"
#include "output/map_parts.h"

enum { LINE_PIECES = 96 };

static const double LABEL_GAP_PX = 84.0; /* between labels along one side of the frame */

static es_rgb paper(const es_map_parts *m, int which) { return m->palette.paper[which]; }

/* --- graticule --------------------------------------------------------------------------------------------------- */

static void trace(const es_map_parts *m, const es_graticule *g, bool parallel, double value) {
  bool begun = false;
  for (int k = 0; k <= LINE_PIECES; k++) {
    double x, y;
    bool near = es_graticule_point(g, parallel, value, (double)k / LINE_PIECES, &x, &y);
    if (near && begun)
      cairo_line_to(m->pen.cr, x, y);
    else if (near)
      cairo_move_to(m->pen.cr, x, y);
    begun = near;
  }
}

static void trace_all(const es_map_parts *m, const es_graticule *g, bool parallel, double step) {
  for (double at = es_graticule_first(g, parallel, step); at <= es_graticule_end(g, parallel); at += step)
    trace(m, g, parallel, at);
}

static void draw_lines(const es_map_parts *m, const es_graticule *g, double step_lat, double step_lon, double width,
                       double strength) {
  trace_all(m, g, true, step_lat);
  trace_all(m, g, false, step_lon);
  es_pen_ink(&m->pen, paper(m, ES_PAPER_COAST), strength);
  cairo_set_line_width(m->pen.cr, width);
  cairo_stroke(m->pen.cr);
}

static bool squares_wanted(const es_map_parts *m, double least_px) {
  return m->sheet->locator_squares && es_graticule_squares(&m->view, least_px);
}

static void gutter_label(const es_map_parts *m, bool parallel, double at, const char *text) {
  cairo_t *cr = m->pen.cr;
  es_rgb ink = m->palette.page_light[ES_PAGE_INK_2];
  double x = parallel ? ES_MAP_LEFT_PX : at, y = parallel ? at : ES_MAP_BOTTOM_PX;
  cairo_move_to(cr, x, y);
  if (parallel)
    cairo_rel_line_to(cr, -5.0, 0.0);
  else
    cairo_rel_line_to(cr, 0.0, 5.0);
  es_pen_ink(&m->pen, paper(m, ES_PAPER_INK), 1.0);
  cairo_set_line_width(cr, 1.2);
  cairo_stroke(cr);
  cairo_save(cr);
  cairo_translate(cr, parallel ? x - 11.0 : x, parallel ? y : y + 20.0);
  if (parallel) cairo_rotate(cr, -0.5 * ES_PI);
  es_pen_line(&m->pen, ES_TYPE_LABEL, ink, 0.0, 0.0, ES_MIDDLE, 0.0, text);
  cairo_restore(cr);
}

static void label_side(const es_map_parts *m, const es_graticule *g, bool parallel) {
  double step = parallel ? g->step_lat : g->step_lon, last = -INFINITY, at;
  for (double value = es_graticule_first(g, parallel, step); value <= es_graticule_end(g, parallel) + 1e-9;
       value += step) {
    if (!es_graticule_leaves(g, parallel, value, &at) || fabs(at - last) < LABEL_GAP_PX) continue;
    char text[ES_GRATICULE_LABEL];
    es_graticule_label(parallel ? value : m->view.beacon.lon_deg + value, parallel, step, text);
    gutter_label(m, parallel, at, text);
    last = at;
  }
}

static void clip_to_frame(cairo_t *cr) {
  cairo_save(cr);
  cairo_rectangle(cr, ES_MAP_LEFT_PX, ES_MAP_TOP_PX, ES_MAP_SIDE_PX, ES_MAP_SIDE_PX);
  cairo_clip(cr);
}

void es_map_draw_graticule(const es_map_parts *m) {
  es_graticule g = es_graticule_of(&m->view);
  clip_to_frame(m->pen.cr);
  draw_lines(m, &g, g.step_lat, g.step_lon, 0.8, 0.30);
  if (squares_wanted(m, ES_SQUARE_MIN_PX)) draw_lines(m, &g, 1.0, 2.0, 1.3, 0.55);
  cairo_restore(m->pen.cr);
  label_side(m, &g, true);
  label_side(m, &g, false);
}

static void square_name(es_map_parts *m, double offset, double north) {
  double x, y, lon = m->view.beacon.lon_deg + offset;
  if (!es_view_place(&m->view, (es_lonlat){lon, north}, &x, &y)) return;
  if (hypot(x - ES_MAP_CENTRE_X, y - ES_MAP_CENTRE_Y) > ES_MAP_RING_PX - 3.0) return;
  char name[5];
  es_square_name(lon, north - 1.0, name);
  double width = es_pen_width(&m->pen, ES_TYPE_STRONG, name);
  es_box box = {x + 6.0, y + 7.0, x + 6.0 + width, y + 20.0};
  if (!es_label_room_free(m->room, es_box_grown(box, 2.0))) return;
  es_pen_haloed(&m->pen, ES_TYPE_STRONG, paper(m, ES_PAPER_COAST), box.x0, y + 18.5, ES_LEFT, 0.0, 0.0, name);
}

void es_map_draw_square_names(es_map_parts *m) {
  if (!squares_wanted(m, ES_SQUARE_NAMED_MIN_PX)) return;
  es_graticule g = es_graticule_of(&m->view);
  for (double north = ceil(g.extent.south_deg); north <= g.extent.north_deg; north += 1.0)
    for (double offset = es_graticule_first(&g, false, 2.0); offset <= g.extent.east_deg; offset += 2.0)
      if (north > -90.0) square_name(m, offset, north);
}

/* --- distance rings ---------------------------------------------------------------------------------------------- */

static const double RING_LAST = 0.96; /* of the radius: a ring at the limit itself would hide it */

/* The widest of 1, 2 or 5 x 10^n that gives two rings: never more than four. */
static double ring_step(double radius_m) {
  static const double STEPS[] = {5.0, 2.0, 1.0, 0.5, 0.2};
  double power = pow(10.0, floor(log10(radius_m)));
  int k = 0;
  while (k < 4 && 2.0 * STEPS[k] * power > RING_LAST * radius_m) k++;
  return STEPS[k] * power;
}

static void ring_text(double dist_m, char out[24]) {
  if (dist_m >= 1000.0)
    snprintf(out, 24, "%.0f\u00a0km", dist_m / 1000.0);
  else
    snprintf(out, 24, "%.0f\u00a0m", dist_m);
}

void es_map_draw_rings(const es_map_parts *m) {
  static const double DOTS[] = {2.0, 5.0};
  cairo_t *cr = m->pen.cr;
  cairo_save(cr);
  cairo_set_dash(cr, DOTS, 2, 0.0);
  cairo_set_line_width(cr, 1.1);
  es_pen_ink(&m->pen, paper(m, ES_PAPER_INK), 0.8);
  for (int k = 1; k <= m->ring_count; k++) {
    cairo_new_sub_path(cr);
    cairo_arc(cr, ES_MAP_CENTRE_X, ES_MAP_CENTRE_Y, k * m->ring_step_m * m->view.px_per_m, 0.0, 2.0 * ES_PI);
  }
  cairo_stroke(cr);
  cairo_restore(cr);
}

/* At bearing 122, moved by 15 until it covers no mark. */
static bool place_ring_label(es_map_parts *m, int k) {
  char text[24];
  ring_text((k + 1) * m->ring_step_m, text);
  double width = es_pen_width(&m->pen, ES_TYPE_LABEL, text);
  for (int turn = 0; turn < 24; turn++) {
    double x, y;
    es_view_polar(&m->view, (k + 1) * m->ring_step_m, es_rad(122.0 + 15.0 * turn), &x, &y);
    es_box box = es_box_about(x, y, width, 14.0);
    if (!es_label_room_free(m->room, es_box_grown(box, 2.0))) continue;
    m->ring_label[k] = true;
    m->ring_label_x[k] = x;
    m->ring_label_y[k] = y;
    return es_label_room_take(m->room, box);
  }
  return true;
}

void es_map_draw_ring_labels(const es_map_parts *m) {
  for (int k = 0; k < m->ring_count; k++) {
    char text[24];
    ring_text((k + 1) * m->ring_step_m, text);
    if (m->ring_label[k])
      es_pen_haloed(&m->pen, ES_TYPE_LABEL, paper(m, ES_PAPER_INK), m->ring_label_x[k], m->ring_label_y[k] + 4.7,
                    ES_MIDDLE, 0.0, 0.0, text);
  }
}

/* --- bearing ring ------------------------------------------------------------------------------------------------ */

typedef struct bearing_label {
  double x, y, turn; /* middle of the text */
} bearing_label;

/* The four main ones stand beside their tick, where the frame comes close; the others outside theirs. */
static bearing_label bearing_label_at(int degrees) {
  double r = ES_MAP_RING_PX, side = r + 12.5, cx = ES_MAP_CENTRE_X, cy = ES_MAP_CENTRE_Y;
  if (degrees == 0) return (bearing_label){cx + 23.0, cy - side, 0.0};
  if (degrees == 90) return (bearing_label){cx + side, cy + 23.0, 0.5 * ES_PI};
  if (degrees == 180) return (bearing_label){cx + 23.0, cy + side, 0.0};
  if (degrees == 270) return (bearing_label){cx - side, cy - 23.0, -0.5 * ES_PI};
  double east = sin(es_rad(degrees)), north = cos(es_rad(degrees));
  double away = r + 14.0 + 16.0 * fabs(east) + 6.0 * fabs(north);
  return (bearing_label){cx + away * east, cy - away * north, 0.0};
}

static es_box bearing_box(bearing_label at) {
  return at.turn == 0.0 ? es_box_about(at.x, at.y, 32.0, 14.0) : es_box_about(at.x, at.y, 14.0, 32.0);
}

static void draw_bearing_label(const es_map_parts *m, int degrees) {
  char text[8];
  bearing_label at = bearing_label_at(degrees);
  snprintf(text, sizeof text, "%03d°", degrees);
  double down = 4.5; /* from the middle of the digits to their baseline */
  es_pen_haloed(&m->pen, ES_TYPE_SMALL, paper(m, ES_PAPER_INK), at.x - down * sin(at.turn), at.y + down * cos(at.turn),
                ES_MIDDLE, 0.0, at.turn, text);
}

void es_map_draw_bearing_ring(const es_map_parts *m) {
  cairo_t *cr = m->pen.cr;
  es_pen_ink(&m->pen, paper(m, ES_PAPER_INK), 1.0);
  cairo_set_line_width(cr, 1.4);
  cairo_new_path(cr);
  cairo_arc(cr, ES_MAP_CENTRE_X, ES_MAP_CENTRE_Y, ES_MAP_RING_PX, 0.0, 2.0 * ES_PI);
  for (int degrees = 0; degrees < 360; degrees += 10) {
    double east = sin(es_rad(degrees)), south = -cos(es_rad(degrees));
    double length = degrees % 30 == 0 ? 9.0 : 5.0;
    cairo_move_to(cr, ES_MAP_CENTRE_X + ES_MAP_RING_PX * east, ES_MAP_CENTRE_Y + ES_MAP_RING_PX * south);
    cairo_rel_line_to(cr, length * east, length * south);
  }
  cairo_stroke(cr);
  for (int degrees = 0; degrees < 360; degrees += 30) draw_bearing_label(m, degrees);
}

void es_map_draw_frame(const es_map_parts *m) {
  cairo_rectangle(m->pen.cr, ES_MAP_LEFT_PX, ES_MAP_TOP_PX, ES_MAP_SIDE_PX, ES_MAP_SIDE_PX);
  es_pen_ink(&m->pen, paper(m, ES_PAPER_INK), 1.0);
  cairo_set_line_width(m->pen.cr, 1.4);
  cairo_stroke(m->pen.cr);
}

bool es_map_place_ring_labels(es_map_parts *m) {
  m->ring_step_m = ring_step(m->view.radius_m);
  m->ring_count = (int)fmin(floor(RING_LAST * m->view.radius_m / m->ring_step_m), 4.0);
  bool ok = true;
  for (int degrees = 0; ok && degrees < 360; degrees += 30)
    ok = es_label_room_take(m->room, bearing_box(bearing_label_at(degrees)));
  for (int k = 0; ok && k < m->ring_count; k++) ok = place_ring_label(m, k);
  return ok;
}
