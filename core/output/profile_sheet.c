#include "output/profile_sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "output/labels.h"
#include "output/png_file.h"
#include "output/profile_panel.h"

static const int SHEET_WIDTH_PX = 1600, SHEET_HEIGHT_PX = 930;
static const uint32_t PIXELS_PER_M = 5776; /* 1600 px print 277 mm wide */
static const double LEFT = 72.0, PANEL_LEFT = 100.0, PANEL_RIGHT = 1560.0;
static const double NEAR_END_M = 1000.0;

typedef struct drawing {
  const es_profile_sheet *sheet;
  es_palette palette;
  es_pen pen;
  es_profile_panel main, first, last;
  es_label_room *room; /* of the main panel */
  es_rgb ink, ink2, edge;
} drawing;

/* --- panels and axes --------------------------------------------------------------------------------------------- */

static es_profile_panel panel(const drawing *d, double x, double y, double width, double height, double from,
                              double to) {
  es_profile_panel p = {d->sheet, &d->palette, &d->pen, x, y, width, height, from, to, 0.0, 1.0, width < 1000.0};
  es_panel_fit(&p);
  return p;
}

/* The ends show a kilometre, of shorter paths a fifth. */
static void set_panels(drawing *d) {
  double path = es_profile_path_m(d->sheet), end = fmin(NEAR_END_M, 0.2 * path);
  d->main = panel(d, PANEL_LEFT, 182.0, 1460.0, 338.0, 0.0, path);
  d->first = panel(d, PANEL_LEFT, 606.0, 690.0, 236.0, 0.0, end);
  d->last = panel(d, 870.0, 606.0, 690.0, 236.0, path - end, path);
}

static void line(const drawing *d, double x0, double y0, double x1, double y1, es_rgb colour, double width) {
  cairo_move_to(d->pen.cr, x0, y0);
  cairo_line_to(d->pen.cr, x1, y1);
  es_pen_ink(&d->pen, colour, 1.0);
  cairo_set_line_width(d->pen.cr, width);
  cairo_stroke(d->pen.cr);
}

static void height_axis(const drawing *d, const es_profile_panel *p) {
  double step = es_panel_height_step(p), bulge = es_profile_bulge(d->sheet, p->from_m);
  for (double h = ceil((p->low_m - bulge) / step) * step; h + bulge < p->high_m; h += step) {
    char text[24];
    double y = es_panel_y(p, h + bulge);
    if (y < p->y + 6.0 || y > p->y + p->height - 2.0) continue;
    snprintf(text, sizeof text, "%s%.0f", h < 0.0 ? "−" : "", fabs(h));
    es_pen_line(&d->pen, ES_TYPE_LABEL, d->ink2, p->x - 9.0, y + 4.7, ES_RIGHT, 0.0, text);
  }
}

static void main_distances(const drawing *d) {
  const es_profile_panel *p = &d->main;
  bool km = p->to_m >= 3000.0;
  double unit = km ? 1000.0 : 1.0, step = es_round_step(p->to_m, 8.0), foot = p->y + p->height;
  char text[40];
  line(d, p->x, foot, p->x + p->width, foot, d->ink, 1.2);
  for (double m = 0.0; m <= p->to_m + 0.5; m += step) {
    double x = es_panel_x(p, m);
    line(d, x, foot, x, foot + 5.0, d->ink, 1.2);
    if (x > PANEL_RIGHT - 90.0) continue;
    snprintf(text, sizeof text, "%g", m / unit);
    es_pen_line(&d->pen, ES_TYPE_LABEL, d->ink2, x, foot + 23.0, ES_MIDDLE, 0.0, text);
  }
  line(d, PANEL_RIGHT, foot, PANEL_RIGHT, foot + 5.0, d->ink, 1.2);
  snprintf(text, sizeof text, km && p->to_m < 200e3 ? "%.1f\u00a0%s" : "%.0f\u00a0%s", p->to_m / unit, km ? "km" : "m");
  es_pen_line(&d->pen, ES_TYPE_STRONG, d->ink, PANEL_RIGHT, foot + 23.0, ES_RIGHT, 0.0, text);
  snprintf(text, sizeof text, "distance from the beacon, %s", km ? "km" : "m");
  es_pen_line(&d->pen, ES_TYPE_SMALL, d->ink2, 0.5 * (PANEL_LEFT + PANEL_RIGHT), foot + 42.0, ES_MIDDLE, 0.0, text);
}

/* Distances in an inset count from its own end. */
static void near_distances(const drawing *d, const es_profile_panel *p, bool from_beacon) {
  double length = p->to_m - p->from_m, foot = p->y + p->height;
  for (int k = 0; k <= 4; k++) {
    double share = k / 4.0, x = p->x + (from_beacon ? share : 1.0 - share) * p->width;
    char text[24];
    bool end = k == 0 || k == 4, left = (k == 0) == from_beacon;
    snprintf(text, sizeof text, end ? "%.0f\u00a0m" : "%.0f", share * length);
    line(d, x, foot, x, foot + 5.0, d->ink, 1.2);
    es_pen_line(&d->pen, ES_TYPE_LABEL, d->ink2, x, foot + 20.0,
                !end   ? ES_MIDDLE
                : left ? ES_LEFT
                       : ES_RIGHT,
                0.0, text);
  }
  char text[200];
  snprintf(text, sizeof text, "distance from %s", from_beacon ? "the beacon" : d->sheet->listener_name);
  es_pen_line(&d->pen, ES_TYPE_SMALL, d->ink2, p->x + 0.5 * p->width, foot + 38.0, ES_MIDDLE, p->width, text);
}

/* --- what is written on the main panel --------------------------------------------------------------------------- */

static void text_at(const drawing *d, es_type type, es_rgb ink, es_box box, const char *text) {
  es_pen_haloed(&d->pen, type, ink, box.x0, box.y1 - 3.5, ES_LEFT, box.x1 - box.x0 + 1.0, 0.0, text);
}

static double point_x(const drawing *d, const es_profile_point *at) { return es_panel_x(&d->main, at->dist_m); }
static double point_y(const drawing *d, const es_profile_point *at) {
  return es_panel_y(&d->main, at->top_m + es_profile_bulge(d->sheet, at->dist_m));
}

/* Two lines at a point; above the zone for the worst, in the ground below for the next. */
static es_box point_box(const drawing *d, const es_profile_point *at, es_type type, bool above) {
  double width = es_pen_width(&d->pen, type, at->what), x = point_x(d, at);
  if (at->more != NULL) width = fmax(width, es_pen_width(&d->pen, ES_TYPE_LABEL, at->more));
  width = fmin(width, 520.0);
  double zone = es_profile_line(d->sheet, at->dist_m) + es_profile_zone_radius(d->sheet, at->dist_m);
  double top = above ? fmin(es_panel_y(&d->main, zone), point_y(d, at)) - 78.0 : point_y(d, at) + 62.0;
  top = fmin(fmax(top, d->main.y + 2.0), d->main.y + d->main.height - 42.0);
  double x0 = fmin(fmax(x - 0.5 * width, PANEL_LEFT + 8.0), PANEL_RIGHT - 20.0 - width);
  return (es_box){x0, top, x0 + width, top + 36.0};
}

static void write_point(const drawing *d, const es_profile_point *at, es_type type, es_box box) {
  text_at(d, type, d->ink, (es_box){box.x0, box.y0, box.x1, box.y0 + 17.0}, at->what);
  if (at->more != NULL)
    text_at(d, ES_TYPE_LABEL, d->ink, (es_box){box.x0, box.y0 + 18.0, box.x1, box.y0 + 35.0}, at->more);
}

/* The triangle stands on the point, joined to its words. */
static void draw_worst(const drawing *d) {
  const es_profile_point *at = &d->sheet->worst;
  if (at->what == NULL) return;
  es_rgb blocked = d->palette.profile[ES_PROFILE_BLOCKED];
  es_box box = point_box(d, at, ES_TYPE_STRONG, true);
  double x = point_x(d, at), y = point_y(d, at) - 3.0;
  double from_x = fmin(fmax(x, box.x0), box.x1 + 6.0);
  line(d, from_x, box.y1 - (from_x > box.x1 ? 18.0 : -3.0), x, from_x > box.x1 ? box.y1 - 18.0 : box.y1 + 3.0, blocked,
       1.0);
  line(d, x, from_x > box.x1 ? box.y1 - 18.0 : box.y1 + 3.0, x, y - 10.0, blocked, 1.0);
  cairo_move_to(d->pen.cr, x, y);
  cairo_line_to(d->pen.cr, x - 6.5, y - 12.0);
  cairo_line_to(d->pen.cr, x + 6.5, y - 12.0);
  cairo_close_path(d->pen.cr);
  es_pen_ink(&d->pen, blocked, 1.0);
  cairo_fill(d->pen.cr);
  write_point(d, at, ES_TYPE_STRONG, box);
}

static void draw_next(const drawing *d) {
  const es_profile_point *at = &d->sheet->next;
  if (at->what == NULL) return;
  es_box box = point_box(d, at, ES_TYPE_LABEL, false);
  double x = fmin(fmax(point_x(d, at), box.x0), box.x1);
  line(d, point_x(d, at), point_y(d, at) + 2.0, x, box.y0 - 1.0, d->ink, 1.0);
  write_point(d, at, ES_TYPE_LABEL, box);
}

typedef struct line_name {
  const char *text;
  es_rgb ink;
  double start;    /* first place tried, as a share of the path */
  double share;    /* of the zone's radius, up or down: the curve it is set at */
  double shift_px; /* from that curve */
  double leader;   /* curve to join it to, as a share; NaN: none */
} line_name;

static double curve_y(const drawing *d, double dist, double share) {
  double h = es_profile_line(d->sheet, dist) + share * es_profile_zone_radius(d->sheet, dist);
  return es_panel_y(&d->main, h);
}

/* Names of the lines, once each, at the first free place along the path. */
static bool name_line(const drawing *d, line_name n) {
  double width = es_pen_width(&d->pen, ES_TYPE_LABEL, n.text);
  for (int k = 0; k < 12; k++) {
    double at = n.start + 0.06 * k, dist = (at > 0.92 ? at - 0.84 : at) * es_profile_path_m(d->sheet);
    double x = es_panel_x(&d->main, dist), y = curve_y(d, dist, n.share) + n.shift_px;
    es_box box = es_box_about(x, y, width, 16.0);
    if (!es_label_room_free(d->room, es_box_grown(box, 3.0))) continue;
    if (!isnan(n.leader)) line(d, x, curve_y(d, dist, n.leader), x, box.y0 + 1.0, n.ink, 1.0);
    text_at(d, ES_TYPE_LABEL, n.ink, box, n.text);
    return es_label_room_take(d->room, box);
  }
  return true;
}

static bool take_point(const drawing *d, const es_profile_point *at, es_type type, bool above) {
  return at->what == NULL || es_label_room_take(d->room, point_box(d, at, type, above));
}

/* "sea" in the widest water. */
static bool name_water(const drawing *d) {
  const es_profile_sheet *s = d->sheet;
  size_t best = 0, best_last = 0;
  for (size_t i = 0; s->zone != NULL && i < s->n; i++) {
    size_t first = i;
    while (i < s->n && s->zone[i] == ES_ZONE_SEA) i++;
    if (i > first + 1 && s->dist_m[i - 1] - s->dist_m[first] > s->dist_m[best_last] - s->dist_m[best]) {
      best = first;
      best_last = i - 1;
    }
  }
  double middle = 0.5 * (s->dist_m[best] + s->dist_m[best_last]), ground = es_profile_ground(s, middle);
  if (es_panel_x(&d->main, s->dist_m[best_last]) - es_panel_x(&d->main, s->dist_m[best]) < 40.0 || isnan(ground))
    return true;
  double y = es_panel_y(&d->main, ground + es_profile_bulge(s, middle)) + 27.0;
  es_box box = es_box_about(es_panel_x(&d->main, middle), y, es_pen_width(&d->pen, ES_TYPE_LABEL, "sea"), 16.0);
  if (!es_label_room_free(d->room, box)) return true;
  text_at(d, ES_TYPE_LABEL, d->ink, box, "sea");
  return es_label_room_take(d->room, box);
}

static int32_t write_on_main(drawing *d, es_error *err) {
  es_rgb zone = d->palette.profile[ES_PROFILE_ZONE_EDGE];
  d->room = es_label_room_create((es_box){PANEL_LEFT + 4.0, d->main.y, PANEL_RIGHT - 4.0, d->main.y + d->main.height});
  bool ok = d->room != NULL && take_point(d, &d->sheet->worst, ES_TYPE_STRONG, true) &&
            take_point(d, &d->sheet->next, ES_TYPE_LABEL, false) && name_water(d) &&
            name_line(d, (line_name){"sight line", d->ink, 0.14, 0.0, -17.0, NAN}) &&
            name_line(d, (line_name){"first Fresnel zone", zone, 0.36, 1.0, -17.0, NAN}) &&
            name_line(d, (line_name){"0.6 of the zone", zone, 0.20, -1.0, 26.0, -0.6});
  draw_next(d);
  draw_worst(d);
  es_label_room_destroy(d->room);
  d->room = NULL;
  return ok ? ES_OK : es_fail(err, ES_E_MEMORY, "profile sheet: out of memory");
}

/* --- insets ------------------------------------------------------------------------------------------------------ */

static void join(const drawing *d, const es_profile_panel *p) {
  static const double DOTS[] = {1.5, 4.0};
  double foot = d->main.y + d->main.height;
  cairo_set_dash(d->pen.cr, DOTS, 2, 0.0);
  line(d, es_panel_x(&d->main, p->from_m), foot + 9.0, p->x, p->y, d->edge, 1.0);
  line(d, es_panel_x(&d->main, p->to_m), foot + 9.0, p->x + p->width, p->y, d->edge, 1.0);
  cairo_set_dash(d->pen.cr, NULL, 0, 0.0);
}

/* Height of the antenna above ground, as a bar beside the mast. */
static void mast_bar(const drawing *d, const es_profile_panel *p, bool beacon) {
  const es_profile_sheet *s = d->sheet;
  double ground = beacon ? s->ground_m[0] : s->ground_m[s->n - 1],
         mast = beacon ? s->beacon_mast_m : s->listener_mast_m;
  double x = beacon ? p->x + 28.0 : p->x + p->width - 28.0;
  double foot = es_panel_y(p, ground), top = es_panel_y(p, ground + mast);
  char text[24];
  line(d, x, foot, x, top, d->ink, 1.0);
  line(d, x - 4.0, foot, x + 4.0, foot, d->ink, 1.0);
  line(d, x - 4.0, top, x + 4.0, top, d->ink, 1.0);
  snprintf(text, sizeof text, mast < 20.0 && fabs(mast - round(mast)) > 0.05 ? "%.1f\u00a0m" : "%.0f\u00a0m", mast);
  double middle = fmin(0.5 * (foot + top) + 5.0, foot - 4.0);
  es_pen_haloed(&d->pen, ES_TYPE_STRONG, d->ink, beacon ? x + 8.0 : x - 8.0, middle, beacon ? ES_LEFT : ES_RIGHT, 0.0,
                0.0, text);
}

/* At the point; before the trees where they are what stands there. */
static double bracket_x(const es_profile_panel *p, const es_profile_point *at) {
  for (size_t k = 0; k < p->sheet->n_trees; k++) {
    const es_profile_trees *t = &p->sheet->trees[k];
    if (at->dist_m >= t->dist_m && at->dist_m <= t->dist_m + t->depth_m)
      return fmax(es_panel_x(p, t->dist_m) - 9.0, p->x + 12.0);
  }
  return es_panel_x(p, at->dist_m);
}

/* How far what stands in the way rises above the sight line, or stays below it. */
static void clearance_bracket(const drawing *d, const es_profile_panel *p, const es_profile_point *at) {
  if (at->what == NULL || at->dist_m < p->from_m || at->dist_m > p->to_m) return;
  es_rgb blocked = d->palette.profile[ES_PROFILE_BLOCKED];
  double sight = es_profile_line(d->sheet, at->dist_m), top = at->top_m + es_profile_bulge(d->sheet, at->dist_m);
  double x = bracket_x(p, at), y0 = es_panel_y(p, top), y1 = es_panel_y(p, sight);
  char text[24];
  line(d, x, y0, x, y1, blocked, 1.6);
  line(d, x - 5.0, y0, x + 5.0, y0, blocked, 1.6);
  line(d, x - 5.0, y1, x + 5.0, y1, blocked, 1.6);
  snprintf(text, sizeof text, "%.1f\u00a0m", fabs(top - sight));
  bool left = x > p->x + 80.0;
  es_pen_haloed(&d->pen, ES_TYPE_STRONG, blocked, left ? x - 9.0 : x + 9.0, 0.5 * (y0 + y1) + 4.5,
                left ? ES_RIGHT : ES_LEFT, 0.0, 0.0, text);
}

static void draw_inset(const drawing *d, const es_profile_panel *p, bool beacon) {
  char title[240];
  double end = p->to_m - p->from_m;
  if (end == NEAR_END_M)
    snprintf(title, sizeof title, "The %s kilometre at %s", beacon ? "first" : "last",
             beacon ? "the beacon" : d->sheet->listener_name);
  else
    snprintf(title, sizeof title, "The %s %.0f m at %s", beacon ? "first" : "last", end,
             beacon ? "the beacon" : d->sheet->listener_name);
  join(d, p);
  es_panel_draw(p);
  cairo_rectangle(d->pen.cr, p->x, p->y, p->width, p->height);
  es_pen_ink(&d->pen, d->edge, 1.0);
  cairo_set_line_width(d->pen.cr, 1.4);
  cairo_stroke(d->pen.cr);
  height_axis(d, p);
  near_distances(d, p, beacon);
  mast_bar(d, p, beacon);
  clearance_bracket(d, p, &d->sheet->worst);
  es_pen_haloed(&d->pen, ES_TYPE_STRONG, d->ink, p->x + 14.0, p->y + 22.0, ES_LEFT, p->width - 28.0, 0.0, title);
  const char *note = beacon ? d->sheet->near_beacon : d->sheet->near_listener;
  if (note != NULL)
    es_pen_haloed(&d->pen, ES_TYPE_LABEL, d->ink, p->x + 14.0, p->y + 42.0, ES_LEFT, p->width - 28.0, 0.0, note);
}

/* --- head and foot ----------------------------------------------------------------------------------------------- */

static void draw_head(const drawing *d) {
  const es_profile_sheet *s = d->sheet;
  double width = PANEL_RIGHT - LEFT;
  char bearings[64];
  es_pen_line(&d->pen, ES_TYPE_EYEBROW, d->palette.page_light[ES_PAGE_ACCENT], LEFT, 44.0, ES_LEFT, width, s->eyebrow);
  es_pen_line(&d->pen, (es_type){27.0, false, true, 0.0}, d->ink, LEFT, 82.0, ES_LEFT, width, s->verdict);
  if (s->limits != NULL) es_pen_line(&d->pen, ES_TYPE_LEAD, d->ink, LEFT, 112.0, ES_LEFT, width, s->limits);
  if (s->helps != NULL) es_pen_line(&d->pen, ES_TYPE_LEAD, d->ink, LEFT, 136.0, ES_LEFT, 1150.0, s->helps);
  snprintf(bearings, sizeof bearings, "true bearing %05.1f°, back %05.1f°", s->bearing_deg, s->back_bearing_deg);
  es_pen_line(&d->pen, ES_TYPE_LABEL, d->ink2, PANEL_RIGHT, 136.0, ES_RIGHT, 0.0, bearings);
  es_pen_line(&d->pen, ES_TYPE_SMALL, d->ink2, LEFT - 6.0, 168.0, ES_LEFT, 0.0,
              "height above sea, m (lines follow the curve of the Earth)");
}

static double exaggeration(const es_profile_panel *p) {
  return p->height / (p->high_m - p->low_m) / (p->width / (p->to_m - p->from_m));
}

/* " Effective Earth radius 8 495 km (median air)."; a flat Earth has none. NULL: out of memory. */
static char *radius_text(const es_profile_sheet *s) {
  if (isinf(s->earth_radius_m)) return strdup("");
  double km = round(s->earth_radius_m / 1000.0), thousands = trunc(km / 1000.0);
  const char *note = s->radius_note;
  return es_format(" Effective Earth radius %s%.0f\u202f%03.0f\u00a0km%s%s%s.", km < 0.0 ? "−" : "", fabs(thousands),
                   fabs(km - 1000.0 * thousands), note != NULL ? " (" : "", note != NULL ? note : "",
                   note != NULL ? ")" : "");
}

static int decimals(double factor) { return factor < 20.0 ? 1 : 0; }

static int32_t draw_foot(const drawing *d, es_error *err) {
  double above = exaggeration(&d->main), first = exaggeration(&d->first), last = exaggeration(&d->last);
  const char *foot = d->sheet->foot;
  char *radius = radius_text(d->sheet), *text = NULL;
  if (radius != NULL)
    text =
        es_format("Heights drawn %.*f times larger than distances above, %.*f and %.*f times below.%s Masts and trees "
                  "stand to scale.%s%s",
                  decimals(above), above, decimals(first), first, decimals(last), last, radius, foot != NULL ? " " : "",
                  foot != NULL ? foot : "");
  if (text != NULL) es_pen_paragraph(&d->pen, ES_TYPE_SMALL, d->ink2, LEFT, 902.0, 1230.0, 2, 16.0, true, text);
  es_pen_line(&d->pen, (es_type){12.5, true, false, 0.0}, d->ink, PANEL_RIGHT, 902.0, ES_RIGHT, 0.0,
              "Prediction, not measurement");
  free(radius);
  int32_t status = text != NULL ? ES_OK : es_fail(err, ES_E_MEMORY, "profile sheet: out of memory");
  free(text);
  return status;
}

static int32_t draw_all(drawing *d, es_error *err) {
  cairo_t *cr = d->pen.cr;
  es_pen_ink(&d->pen, d->palette.paper[ES_PAPER_SHEET], 1.0);
  cairo_paint(cr);
  cairo_scale(cr, d->sheet->scale, d->sheet->scale);
  set_panels(d);
  draw_head(d);
  es_panel_draw(&d->main);
  height_axis(d, &d->main);
  main_distances(d);
  int32_t status = write_on_main(d, err);
  draw_inset(d, &d->first, true);
  draw_inset(d, &d->last, false);
  if (status == ES_OK) status = draw_foot(d, err);
  if (status == ES_OK && cairo_status(cr) != CAIRO_STATUS_SUCCESS)
    status = es_fail(err, ES_E_INTERNAL, "profile sheet: %s", cairo_status_to_string(cairo_status(cr)));
  return status;
}

static int32_t draw_on(drawing *d, cairo_surface_t *surface, es_error *err) {
  cairo_t *cr = cairo_create(surface);
  int32_t status = es_pen_init(&d->pen, cr, d->palette.paper[ES_PAPER_SHEET], err);
  if (status == ES_OK) status = draw_all(d, err);
  es_pen_fini(&d->pen);
  cairo_destroy(cr);
  return status;
}

/* --- the file ---------------------------------------------------------------------------------------------------- */

static int32_t check(const char *path, const es_profile_sheet *s, es_error *err) {
  if (s->scale < 1 || s->scale > 4) return es_fail(err, ES_E_RANGE, "%s: scale=%d, want 1..4", path, s->scale);
  if (s->n < 2 || !(s->dist_m[s->n - 1] > 0.0) || !(s->freq_ghz > 0.0))
    return es_fail(err, ES_E_RANGE, "%s: %zu samples at %g GHz, want a path of two or more and a frequency", path, s->n,
                   s->freq_ghz);
  if (isnan(s->ground_m[0]) || isnan(s->ground_m[s->n - 1]))
    return es_fail(err, ES_E_INPUT, "%s: no ground height at an end, want both", path);
  return ES_OK;
}

enum { OWN_TEXTS = 4 };

static int32_t write_png(const char *path, cairo_surface_t *surface, const es_profile_sheet *s, es_error *err) {
  const char *own_keys[OWN_TEXTS] = {"Title", "Subject", "Cause", "Help"};
  const char *own_texts[OWN_TEXTS] = {s->verdict, s->eyebrow, s->limits, s->helps};
  const char **keys = calloc(OWN_TEXTS + s->n_text, sizeof *keys),
             **texts = calloc(OWN_TEXTS + s->n_text, sizeof *texts);
  int32_t status = keys != NULL && texts != NULL ? ES_OK : es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  if (status == ES_OK) {
    for (size_t k = 0; k < OWN_TEXTS + s->n_text; k++) {
      keys[k] = k < OWN_TEXTS ? own_keys[k] : s->text_keys[k - OWN_TEXTS];
      texts[k] = k < OWN_TEXTS ? own_texts[k] != NULL ? own_texts[k] : "" : s->text_values[k - OWN_TEXTS];
    }
    cairo_surface_flush(surface);
    es_picture picture = {cairo_image_surface_get_data(surface),
                          SHEET_WIDTH_PX * s->scale,
                          SHEET_HEIGHT_PX * s->scale,
                          (size_t)cairo_image_surface_get_stride(surface),
                          PIXELS_PER_M * (uint32_t)s->scale,
                          keys,
                          texts,
                          OWN_TEXTS + s->n_text};
    status = es_png_write(path, &picture, err);
  }
  free(keys);
  free(texts);
  return status;
}

int32_t es_profile_sheet_write(const char *path, const es_profile_sheet *sheet, es_error *err) {
  drawing d = {.sheet = sheet};
  int32_t status = check(path, sheet, err);
  if (status == ES_OK) status = es_palette_load(&d.palette, err);
  if (status != ES_OK) return status;
  d.ink = d.palette.paper[ES_PAPER_INK];
  d.ink2 = d.palette.page_light[ES_PAGE_INK_2];
  d.edge = d.palette.page_light[ES_PAGE_EDGE];
  cairo_surface_t *surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, SHEET_WIDTH_PX * sheet->scale, SHEET_HEIGHT_PX * sheet->scale);
  if (cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS)
    status = es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  if (status == ES_OK) status = draw_on(&d, surface, err);
  if (status == ES_OK) status = write_png(path, surface, sheet, err);
  cairo_surface_destroy(surface);
  return status;
}
