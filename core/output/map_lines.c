/* map_lines.c - the lines over the map: graticule, locator squares, distance rings, bearing ring, frame. */
#include <math.h>
#include <stdio.h>

#include "base/units.h"
#include "output/graticule.h"
#include "output/map_parts.h"

enum { LINE_PIECES = 96 };

static const double LABEL_GAP_PX = 84.0;                              /* between labels along one side of the frame */
static const double SQUARE_MIN_PX = 46.0, SQUARE_NAMED_MIN_PX = 90.0; /* smaller squares are not drawn, not named */

static es_rgb paper(const es_map_parts *m, int which) { return m->palette.paper[which]; }

/* --- graticule --------------------------------------------------------------------------------------------------- */

typedef struct grid {
  const es_map_parts *parts;
  es_extent extent;
  double step_lat, step_lon;
} grid;

static void trace(const es_map_parts *m, es_lonlat from, es_lonlat to) {
  bool begun = false;
  for (int k = 0; k <= LINE_PIECES; k++) {
    double share = (double)k / LINE_PIECES, x, y;
    es_lonlat at = {from.lon_deg + share * (to.lon_deg - from.lon_deg),
                    from.lat_deg + share * (to.lat_deg - from.lat_deg)};
    bool near = es_view_place(&m->view, at, &x, &y);
    if (near && begun)
      cairo_line_to(m->pen.cr, x, y);
    else if (near)
      cairo_move_to(m->pen.cr, x, y);
    begun = near;
  }
}

static es_lonlat corner(const grid *g, double offset_deg, double lat_deg) {
  return (es_lonlat){remainder(g->parts->view.beacon.lon_deg + offset_deg, 360.0), lat_deg};
}

/* First multiple of the step, in true longitude, at or after the western edge; as an offset from the beacon. */
static double first_meridian(const grid *g, double step) {
  double beacon = g->parts->view.beacon.lon_deg;
  return ceil((beacon + g->extent.west_deg) / step - 1e-9) * step - beacon;
}

static void trace_meridian(const grid *g, double offset) {
  es_lonlat from = corner(g, offset, g->extent.south_deg), to = {from.lon_deg, g->extent.north_deg};
  trace(g->parts, from, to);
}

/* From edge to edge; offsets keep it whole across 180 degrees. */
static void trace_parallel(const grid *g, double lat) {
  double beacon = g->parts->view.beacon.lon_deg;
  trace(g->parts, (es_lonlat){beacon + g->extent.west_deg, lat}, (es_lonlat){beacon + g->extent.east_deg, lat});
}

static void draw_lines(const grid *g, double step_lat, double step_lon, double width, double strength) {
  cairo_t *cr = g->parts->pen.cr;
  for (double lat = ceil(g->extent.south_deg / step_lat - 1e-9) * step_lat; lat <= g->extent.north_deg; lat += step_lat)
    trace_parallel(g, lat);
  for (double offset = first_meridian(g, step_lon); offset <= g->extent.east_deg; offset += step_lon)
    trace_meridian(g, offset);
  es_pen_ink(&g->parts->pen, paper(g->parts, ES_PAPER_COAST), strength);
  cairo_set_line_width(cr, width);
  cairo_stroke(cr);
}

static bool squares_wanted(const es_map_parts *m, double least_px) {
  double degree_px = 111e3 * m->view.px_per_m; /* a degree of latitude, nearly */
  return m->sheet->locator_squares && degree_px * fmin(1.0, 2.0 * cos(es_rad(m->view.beacon.lat_deg))) >= least_px;
}

/* Where a line of constant latitude (or longitude) leaves the frame at its left (or lower) side. */
static bool leaves_frame(const grid *g, bool parallel, double value, double *at) {
  double beacon = g->parts->view.beacon.lon_deg, x0 = 0.0, y0 = 0.0;
  bool had = false;
  for (int k = 0; k <= 4 * LINE_PIECES; k++) {
    double share = k / (4.0 * LINE_PIECES), x, y;
    const es_extent *e = &g->extent;
    es_lonlat place = parallel ? (es_lonlat){beacon + e->west_deg + share * (e->east_deg - e->west_deg), value}
                               : (es_lonlat){beacon + value, e->south_deg + share * (e->north_deg - e->south_deg)};
    bool has = es_view_place(&g->parts->view, place, &x, &y);
    double d0 = parallel ? x0 - ES_MAP_LEFT_PX : ES_MAP_BOTTOM_PX - y0;
    double d1 = parallel ? x - ES_MAP_LEFT_PX : ES_MAP_BOTTOM_PX - y;
    if (has && had && d0 <= 0.0 && d1 > 0.0) {
      double part = d0 / (d0 - d1);
      *at = parallel ? y0 + part * (y - y0) : x0 + part * (x - x0);
      double low = parallel ? ES_MAP_TOP_PX : ES_MAP_LEFT_PX;
      if (*at > low + 34.0 && *at < low + ES_MAP_SIDE_PX - 34.0) return true;
    }
    had = has;
    x0 = x;
    y0 = y;
  }
  return false;
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

static void label_side(const grid *g, bool parallel) {
  double step = parallel ? g->step_lat : g->step_lon;
  double from = parallel ? ceil(g->extent.south_deg / step - 1e-9) * step : first_meridian(g, step);
  double to = parallel ? g->extent.north_deg : g->extent.east_deg, last = -INFINITY, at;
  for (double value = from; value <= to + 1e-9; value += step) {
    if (!leaves_frame(g, parallel, value, &at) || fabs(at - last) < LABEL_GAP_PX) continue;
    char text[ES_GRATICULE_LABEL];
    es_graticule_label(parallel ? value : g->parts->view.beacon.lon_deg + value, parallel, step, text);
    gutter_label(g->parts, parallel, at, text);
    last = at;
  }
}

static void clip_to_frame(cairo_t *cr) {
  cairo_save(cr);
  cairo_rectangle(cr, ES_MAP_LEFT_PX, ES_MAP_TOP_PX, ES_MAP_SIDE_PX, ES_MAP_SIDE_PX);
  cairo_clip(cr);
}

static grid grid_of(const es_map_parts *m) {
  grid g = {.parts = m, .extent = es_extent_of(&m->view)};
  g.step_lat = es_graticule_step(g.extent.north_deg - g.extent.south_deg);
  g.step_lon = es_graticule_step(g.extent.east_deg - g.extent.west_deg);
  return g;
}

void es_map_draw_graticule(const es_map_parts *m) {
  grid g = grid_of(m);
  clip_to_frame(m->pen.cr);
  draw_lines(&g, g.step_lat, g.step_lon, 0.8, 0.30);
  if (squares_wanted(m, SQUARE_MIN_PX)) draw_lines(&g, 1.0, 2.0, 1.3, 0.55);
  cairo_restore(m->pen.cr);
  label_side(&g, true);
  label_side(&g, false);
}

static void square_name(const grid *g, double offset, double north) {
  es_map_parts *m = (es_map_parts *)(uintptr_t)g->parts;
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
  if (!squares_wanted(m, SQUARE_NAMED_MIN_PX)) return;
  grid g = grid_of(m);
  for (double north = ceil(g.extent.south_deg); north <= g.extent.north_deg; north += 1.0)
    for (double offset = first_meridian(&g, 2.0); offset <= g.extent.east_deg; offset += 2.0)
      if (north > -90.0) square_name(&g, offset, north);
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
