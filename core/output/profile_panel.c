#include "output/profile_panel.h"

#include <math.h>

#include "base/units.h"

enum { PIECES = 400 };

static const double PALE = 0.8; /* leaves under a hatch: brown on green would not be seen */

/* --- geometry ---------------------------------------------------------------------------------------------------- */

double es_profile_path_m(const es_profile_sheet *s) { return s->dist_m[s->n - 1]; }

double es_profile_bulge(const es_profile_sheet *s, double d) {
  return isinf(s->earth_radius_m) ? 0.0 : d * (es_profile_path_m(s) - d) / (2.0 * s->earth_radius_m);
}

static double antenna(const es_profile_sheet *s, bool beacon) {
  return beacon ? s->ground_m[0] + s->beacon_mast_m : s->ground_m[s->n - 1] + s->listener_mast_m;
}

double es_profile_line(const es_profile_sheet *s, double d) {
  double share = d / es_profile_path_m(s);
  return (1.0 - share) * antenna(s, true) + share * antenna(s, false);
}

double es_profile_zone_radius(const es_profile_sheet *s, double d) {
  double path = es_profile_path_m(s), lambda_m = ES_LIGHT_M_S / (s->freq_ghz * 1e9);
  return sqrt(fmax(lambda_m * d * (path - d) / path, 0.0));
}

static bool known_at(const es_profile_sheet *s, size_t i) {
  return (s->known == NULL || s->known[i] != 0) && !isnan(s->ground_m[i]);
}

/* Last sample at or before a distance; never the last of all. */
static size_t sample_before(const es_profile_sheet *s, double d) {
  size_t low = 0, high = s->n - 1;
  while (high - low > 1) {
    size_t middle = (low + high) / 2;
    if (s->dist_m[middle] <= d)
      low = middle;
    else
      high = middle;
  }
  return low;
}

double es_profile_ground(const es_profile_sheet *s, double d) {
  size_t i = sample_before(s, d);
  if (!known_at(s, i) || !known_at(s, i + 1)) return NAN;
  double share = (d - s->dist_m[i]) / (s->dist_m[i + 1] - s->dist_m[i]);
  return (1.0 - share) * s->ground_m[i] + share * s->ground_m[i + 1];
}

double es_panel_x(const es_profile_panel *p, double d) {
  return p->x + p->width * (d - p->from_m) / (p->to_m - p->from_m);
}
double es_panel_y(const es_profile_panel *p, double h) {
  return p->y + p->height * (p->high_m - h) / (p->high_m - p->low_m);
}

static double canopy_top(const es_profile_sheet *s, size_t i) {
  if (s->top_m == NULL || isnan(s->top_m[i]) || !known_at(s, i)) return NAN;
  return s->top_m[i] > s->ground_m[i] + 0.5 ? s->top_m[i] : NAN;
}

void es_panel_fit(es_profile_panel *p) {
  const es_profile_sheet *s = p->sheet;
  double low = INFINITY, high = -INFINITY;
  for (size_t i = 0; i < s->n; i++) {
    double d = s->dist_m[i], bulge = es_profile_bulge(s, d);
    if (d < p->from_m - 1e-6 || d > p->to_m + 1e-6 || !known_at(s, i)) continue;
    low = fmin(low, s->ground_m[i] + bulge);
    high = fmax(high, fmax(s->ground_m[i], canopy_top(s, i)) + bulge);
  }
  for (int k = 0; k <= PIECES; k++) {
    double d = p->from_m + (p->to_m - p->from_m) * k / PIECES;
    high = fmax(high, es_profile_line(s, d) + es_profile_zone_radius(s, d));
    low = fmin(low, es_profile_line(s, d));
  }
  double range = fmax(high - low, 5.0);
  p->low_m = low - 0.05 * range - (p->near ? 0.10 * range : 0.0);
  p->high_m = high + (p->near ? 0.30 : 0.15) * range;
}

double es_panel_height_step(const es_profile_panel *p) {
  static const double STEPS[] = {1, 2, 5, 10, 20, 50, 100, 200, 500};
  for (int k = 0; k < 9; k++)
    if ((p->high_m - p->low_m) / STEPS[k] <= 6.5) return STEPS[k];
  return 1000.0;
}

/* --- layers, bottom up ------------------------------------------------------------------------------------------- */

static es_rgb colour(const es_profile_panel *p, int which) { return p->palette->profile[which]; }

static void stroke(const es_profile_panel *p, es_rgb c, double width) {
  es_pen_ink(p->pen, c, 1.0);
  cairo_set_line_width(p->pen->cr, width);
  cairo_stroke(p->pen->cr);
}

/* A curve at a constant height above sea. */
static void trace_level(const es_profile_panel *p, double h) {
  for (int k = 0; k <= PIECES; k++) {
    double d = p->from_m + (p->to_m - p->from_m) * k / PIECES;
    cairo_line_to(p->pen->cr, es_panel_x(p, d), es_panel_y(p, h + es_profile_bulge(p->sheet, d)));
  }
  cairo_new_sub_path(p->pen->cr);
}

static void draw_height_lines(const es_profile_panel *p) {
  static const double DOTS[] = {1.5, 4.0};
  double step = es_panel_height_step(p), highest_bulge = es_profile_bulge(p->sheet, 0.5 * es_profile_path_m(p->sheet));
  double from = ceil((p->low_m - fmax(highest_bulge, 0.0)) / step) * step;
  cairo_new_path(p->pen->cr);
  for (double h = from; h < p->high_m - fmin(highest_bulge, 0.0); h += step)
    if (h != 0.0) trace_level(p, h);
  stroke(p, colour(p, ES_PROFILE_GRID), 1.0);
  cairo_set_dash(p->pen->cr, DOTS, 2, 0.0);
  trace_level(p, 0.0);
  stroke(p, p->palette->page_light[ES_PAGE_EDGE], 1.0);
  cairo_set_dash(p->pen->cr, NULL, 0, 0.0);
}

/* Edge of the zone at a share of its radius: 1 the upper, -1 the lower. */
static void trace_zone_edge(const es_profile_panel *p, double share, bool backwards) {
  for (int k = 0; k <= PIECES; k++) {
    int at = backwards ? PIECES - k : k;
    double d = p->from_m + (p->to_m - p->from_m) * at / PIECES;
    double h = es_profile_line(p->sheet, d) + share * es_profile_zone_radius(p->sheet, d);
    cairo_line_to(p->pen->cr, es_panel_x(p, d), es_panel_y(p, h));
  }
}

static void trace_zone(const es_profile_panel *p) {
  cairo_new_path(p->pen->cr);
  trace_zone_edge(p, 1.0, false);
  trace_zone_edge(p, -1.0, true);
  cairo_close_path(p->pen->cr);
}

static void draw_zone(const es_profile_panel *p) {
  trace_zone(p);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_ZONE), 1.0);
  cairo_fill_preserve(p->pen->cr);
  stroke(p, colour(p, ES_PROFILE_ZONE_EDGE), 1.1);
}

static double drawn(const es_profile_panel *p, size_t i, double h) {
  return es_panel_y(p, h + es_profile_bulge(p->sheet, p->sheet->dist_m[i]));
}

/* Visits the runs [first, last] of samples for which `in` holds. */
typedef bool (*is_in)(const es_profile_sheet *s, size_t i);
typedef void (*draw_run)(const es_profile_panel *p, size_t first, size_t last);
static void for_runs(const es_profile_panel *p, is_in in, draw_run draw) {
  for (size_t i = 0; i < p->sheet->n; i++) {
    if (!in(p->sheet, i)) continue;
    size_t first = i;
    while (i + 1 < p->sheet->n && in(p->sheet, i + 1)) i++;
    draw(p, first, i);
  }
}

static bool in_known(const es_profile_sheet *s, size_t i) { return known_at(s, i); }
static bool in_void(const es_profile_sheet *s, size_t i) { return !known_at(s, i); }
static bool in_canopy(const es_profile_sheet *s, size_t i) { return !isnan(canopy_top(s, i)); }
static bool in_water(const es_profile_sheet *s, size_t i) {
  return s->zone != NULL && s->zone[i] == ES_ZONE_SEA && known_at(s, i);
}

static void trace_ground(const es_profile_panel *p, size_t first, size_t last) {
  for (size_t i = first; i <= last; i++)
    cairo_line_to(p->pen->cr, es_panel_x(p, p->sheet->dist_m[i]), drawn(p, i, p->sheet->ground_m[i]));
}

/* Canopy from its top down to its base, or to the ground. */
static void trace_canopy(const es_profile_panel *p, size_t first, size_t last) {
  const es_profile_sheet *s = p->sheet;
  for (size_t i = first; i <= last; i++)
    cairo_line_to(p->pen->cr, es_panel_x(p, s->dist_m[i]), drawn(p, i, s->top_m[i]));
  for (size_t i = last + 1; i-- > first;) {
    double base = s->base_m != NULL && !isnan(s->base_m[i]) ? fmax(s->base_m[i], s->ground_m[i]) : s->ground_m[i];
    cairo_line_to(p->pen->cr, es_panel_x(p, s->dist_m[i]), drawn(p, i, base));
  }
  cairo_close_path(p->pen->cr);
}

/* Fills the path in hand: canopy with dots and its edge. */
static void fill_canopy(const es_profile_panel *p) {
  cairo_t *cr = p->pen->cr;
  double x0, y0, x1, y1;
  cairo_path_t *outline = cairo_copy_path(cr);
  cairo_path_extents(cr, &x0, &y0, &x1, &y1);
  cairo_save(cr);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_CANOPY), 1.0);
  cairo_fill_preserve(cr);
  cairo_clip(cr);
  for (double y = floor(y0 / 5.0) * 5.0; y < y1; y += 5.0)
    for (double x = floor(x0 / 10.0) * 10.0 + (fmod(y / 5.0, 2.0) != 0.0 ? 5.0 : 0.0); x < x1; x += 10.0)
      cairo_rectangle(cr, x, y, 1.4, 1.4);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_CANOPY_EDGE), 1.0);
  cairo_fill(cr);
  cairo_restore(cr);
  cairo_new_path(cr);
  cairo_append_path(cr, outline);
  cairo_path_destroy(outline);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  stroke(p, colour(p, ES_PROFILE_CANOPY_EDGE), 1.5);
}

static void draw_canopy(const es_profile_panel *p, size_t first, size_t last) {
  if (last == first) return;
  cairo_new_path(p->pen->cr);
  trace_canopy(p, first, last);
  fill_canopy(p);
}

static void close_to_foot(const es_profile_panel *p, size_t first, size_t last) {
  cairo_line_to(p->pen->cr, es_panel_x(p, p->sheet->dist_m[last]), p->y + p->height);
  cairo_line_to(p->pen->cr, es_panel_x(p, p->sheet->dist_m[first]), p->y + p->height);
  cairo_close_path(p->pen->cr);
}

static void fill_ground(const es_profile_panel *p, size_t first, size_t last) {
  cairo_new_path(p->pen->cr);
  trace_ground(p, first, last);
  close_to_foot(p, first, last);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_GROUND), 1.0);
  cairo_fill(p->pen->cr);
}

static void edge_ground(const es_profile_panel *p, size_t first, size_t last) {
  cairo_new_path(p->pen->cr);
  trace_ground(p, first, last);
  cairo_set_line_join(p->pen->cr, CAIRO_LINE_JOIN_ROUND);
  stroke(p, colour(p, ES_PROFILE_GROUND_EDGE), 1.6);
}

/* Water: 15 px deep, with two white lines. */
static void draw_water(const es_profile_panel *p, size_t first, size_t last) {
  cairo_t *cr = p->pen->cr;
  cairo_new_path(cr);
  trace_ground(p, first, last);
  for (size_t i = last + 1; i-- > first;)
    cairo_line_to(cr, es_panel_x(p, p->sheet->dist_m[i]), drawn(p, i, p->sheet->ground_m[i]) + 15.0);
  cairo_close_path(cr);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_WATER), 1.0);
  cairo_fill(cr);
  for (int k = 1; k <= 2; k++) {
    cairo_save(cr);
    cairo_translate(cr, 0.0, 5.0 * k);
    trace_ground(p, first, last);
    cairo_restore(cr);
    stroke(p, p->palette->paper[ES_PAPER_SHEET], 1.0);
  }
}

/* Nothing known: hatched from foot to top. */
static void draw_void(const es_profile_panel *p, size_t first, size_t last) {
  const es_profile_sheet *s = p->sheet;
  double x0 = es_panel_x(p, s->dist_m[first > 0 ? first - 1 : 0]);
  double x1 = es_panel_x(p, s->dist_m[last + 1 < s->n ? last + 1 : last]);
  cairo_t *cr = p->pen->cr;
  cairo_save(cr);
  cairo_rectangle(cr, x0, p->y, x1 - x0, p->height);
  cairo_clip(cr);
  for (double x = floor((x0 - p->height) / 9.0) * 9.0; x < x1; x += 9.0) {
    cairo_move_to(cr, x, p->y + p->height);
    cairo_line_to(cr, x + p->height, p->y);
  }
  stroke(p, p->palette->paper[ES_PAPER_NO_DATA], 1.5);
  cairo_restore(cr);
}

/* A row of trees: a crown of five bumps, the outer ones lower, on stems; top and base to scale. */
static void trace_crown(const es_profile_panel *p, double x0, double x1, double top, double base) {
  static const double DROP[6] = {2.0, 1.0, 0.6, 0.6, 1.0, 2.0}; /* of the notches between bumps */
  static const double RISE[5] = {0.75, 0.1, 0.0, 0.1, 0.75};    /* of the bumps' tops */
  cairo_t *cr = p->pen->cr;
  double width = (x1 - x0) / 5.0, lift = fmin(0.5 * width, 0.3 * (base - top));
  cairo_new_path(cr);
  cairo_move_to(cr, x0 + 1.0, base);
  cairo_line_to(cr, x0, top + DROP[0] * lift);
  for (int k = 0; k < 5; k++) {
    double from = x0 + k * width, to = from + width, left = top + DROP[k] * lift, right = top + DROP[k + 1] * lift;
    double crest = top + RISE[k] * lift, pull = crest + (crest - 0.5 * (left + right)) / 3.0; /* a cubic peaks at 3/4 */
    cairo_curve_to(cr, from, pull, to, pull, to, right);
  }
  cairo_line_to(cr, x1 - 1.0, base);
  cairo_close_path(cr);
}

typedef struct crown {
  double x0, x1, top, base; /* px */
} crown;

static double ground_y(const es_profile_panel *p, double d) {
  return es_panel_y(p, es_profile_ground(p->sheet, d) + es_profile_bulge(p->sheet, d));
}

static bool crown_of(const es_profile_panel *p, const es_profile_trees *t, crown *out) {
  double middle = t->dist_m + 0.5 * t->depth_m, ground = es_profile_ground(p->sheet, middle);
  if (isnan(ground) || t->dist_m + t->depth_m < p->from_m || t->dist_m > p->to_m) return false;
  double bulge = es_profile_bulge(p->sheet, middle);
  *out = (crown){es_panel_x(p, t->dist_m), es_panel_x(p, t->dist_m + t->depth_m),
                 es_panel_y(p, ground + bulge + t->top_m), es_panel_y(p, ground + bulge + t->base_m)};
  out->x1 = fmax(out->x1, out->x0 + 4.0);
  return true;
}

static void draw_stems(const es_profile_panel *p, const es_profile_trees *t, crown c) {
  cairo_new_path(p->pen->cr);
  for (int i = 1; i <= 5; i++) {
    double d = t->dist_m + t->depth_m * i / 6.0, foot = ground_y(p, d);
    if (isnan(foot)) continue;
    cairo_move_to(p->pen->cr, es_panel_x(p, d), c.base);
    cairo_line_to(p->pen->cr, es_panel_x(p, d), foot);
  }
  stroke(p, colour(p, ES_PROFILE_CANOPY_EDGE), fmin(2.6, (c.x1 - c.x0) / 8.0));
}

static void draw_trees(const es_profile_panel *p) {
  for (size_t k = 0; k < p->sheet->n_trees; k++) {
    crown c;
    if (!crown_of(p, &p->sheet->trees[k], &c)) continue;
    draw_stems(p, &p->sheet->trees[k], c);
    trace_crown(p, c.x0, c.x1, c.top, c.base);
    fill_canopy(p);
  }
}

/* What of the zone lies inside the thing whose path is in hand: paled by `pale`, hatched with falling lines. */
static void hatch_inside(const es_profile_panel *p, double pale) {
  cairo_t *cr = p->pen->cr;
  cairo_save(cr);
  cairo_clip(cr);
  trace_zone(p);
  cairo_clip(cr);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_GROUND), pale);
  cairo_paint(cr);
  for (double x = floor((p->x - p->height) / 7.0) * 7.0; x < p->x + p->width; x += 7.0) {
    cairo_move_to(cr, x, p->y);
    cairo_line_to(cr, x + p->height, p->y + p->height);
  }
  stroke(p, colour(p, ES_PROFILE_BLOCKED), 1.6);
  cairo_restore(cr);
}

static void hatch_ground(const es_profile_panel *p, size_t first, size_t last) {
  cairo_new_path(p->pen->cr);
  trace_ground(p, first, last);
  close_to_foot(p, first, last);
  hatch_inside(p, 0.0);
}

static void hatch_canopy(const es_profile_panel *p, size_t first, size_t last) {
  cairo_new_path(p->pen->cr);
  trace_canopy(p, first, last);
  hatch_inside(p, PALE);
}

static void draw_intrusions(const es_profile_panel *p) {
  for_runs(p, in_known, hatch_ground);
  for_runs(p, in_canopy, hatch_canopy);
  for (size_t k = 0; k < p->sheet->n_trees; k++) {
    crown c;
    if (!crown_of(p, &p->sheet->trees[k], &c)) continue;
    trace_crown(p, c.x0, c.x1, c.top, c.base);
    hatch_inside(p, PALE);
  }
}

/* The 0.6 line of the zone, then the sight line; dashed where nothing is known of the ground. */
static void draw_lines(const es_profile_panel *p) {
  static const double DASH[] = {6.0, 4.0};
  cairo_t *cr = p->pen->cr;
  cairo_new_path(cr);
  trace_zone_edge(p, -0.6, false);
  cairo_set_dash(cr, DASH, 2, 0.0);
  stroke(p, colour(p, ES_PROFILE_ZONE_EDGE), 1.2);
  cairo_set_dash(cr, NULL, 0, 0.0);
  trace_zone_edge(p, 0.0, false);
  stroke(p, colour(p, ES_PROFILE_RAY), 2.0);
}

static void dash_void(const es_profile_panel *p, size_t first, size_t last) {
  static const double GAPS[] = {6.0, 6.0};
  const es_profile_sheet *s = p->sheet;
  double d0 = s->dist_m[first > 0 ? first - 1 : 0], d1 = s->dist_m[last + 1 < s->n ? last + 1 : last];
  cairo_t *cr = p->pen->cr;
  cairo_set_dash(cr, GAPS, 2, 0.0);
  cairo_move_to(cr, es_panel_x(p, d0), es_panel_y(p, es_profile_line(s, d0)));
  cairo_line_to(cr, es_panel_x(p, d1), es_panel_y(p, es_profile_line(s, d1)));
  stroke(p, p->palette->paper[ES_PAPER_SHEET], 2.2);
  cairo_set_dash(cr, NULL, 0, 0.0);
}

static void draw_mast(const es_profile_panel *p, bool beacon) {
  const es_profile_sheet *s = p->sheet;
  double d = beacon ? 0.0 : es_profile_path_m(s), x = es_panel_x(p, d);
  double foot = es_panel_y(p, beacon ? s->ground_m[0] : s->ground_m[s->n - 1]);
  double top = es_panel_y(p, antenna(s, beacon));
  if (d < p->from_m - 1.0 || d > p->to_m + 1.0) return;
  cairo_new_path(p->pen->cr);
  cairo_move_to(p->pen->cr, x, foot);
  cairo_line_to(p->pen->cr, x, top);
  stroke(p, colour(p, ES_PROFILE_MAST), p->near ? 4.0 : 3.0);
  cairo_arc(p->pen->cr, x, top, 4.0, 0.0, 2.0 * ES_PI);
  es_pen_ink(p->pen, colour(p, ES_PROFILE_MAST), 1.0);
  cairo_fill(p->pen->cr);
}

void es_panel_draw(const es_profile_panel *p) {
  cairo_t *cr = p->pen->cr;
  cairo_save(cr);
  cairo_rectangle(cr, p->x, p->y, p->width, p->height);
  cairo_clip(cr);
  draw_height_lines(p);
  draw_zone(p);
  if (p->near) draw_trees(p);
  for_runs(p, in_canopy, draw_canopy);
  for_runs(p, in_known, fill_ground);
  for_runs(p, in_water, draw_water);
  for_runs(p, in_known, edge_ground);
  for_runs(p, in_void, draw_void);
  if (p->near) draw_intrusions(p);
  draw_lines(p);
  for_runs(p, in_void, dash_void);
  cairo_restore(cr);
  draw_mast(p, true);
  draw_mast(p, false);
}
