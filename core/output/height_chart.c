#include "output/height_chart.h"

#include <cairo-svg.h>
#include <glib.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "output/files.h"
#include "output/map_parts.h"
#include "output/png_file.h"

enum { ACROSS = 4 };
static const double WIDTH = 1096.0, LEFT = 48.0, RIGHT = 1048.0;
static const double BOX_W = 206.0, BOX_H = 140.0, BOX_X = 144.0, BOX_PITCH = 232.0; /* look: small multiples */
static const double HEAD = 148.0, ROW = 202.0, FOOT = 118.0;
static const double COUNT_X = 104.0, COUNT_W = 800.0, COUNT_H = 300.0, AREA_H = 170.0, BETWEEN = 74.0;
static const uint32_t PIXELS_PER_M = 3780; /* 96 to the inch */

typedef struct drawing {
  const es_height_chart *chart;
  es_palette palette;
  es_pen pen;
  es_rgb ink, soft, grid, accent;
} drawing;

/* A panel: heights across, some quantity up. */
typedef struct panel {
  double x, y, w, h;   /* y: of its foot */
  double from_m, to_m; /* heights */
  double bottom, top;  /* of the quantity */
} panel;

/* --- axes ----------------------------------------------------------------------------------------------------------- */

static double across(const panel *p, double height_m) {
  return p->x + p->w * (height_m - p->from_m) / (p->to_m - p->from_m);
}

static double up(const panel *p, double value) { return p->y - p->h * (value - p->bottom) / (p->top - p->bottom); }

static void line(const drawing *d, es_rgb colour, double width, double x1, double y1, double x2, double y2) {
  es_pen_ink(&d->pen, colour, 1.0);
  cairo_set_line_width(d->pen.cr, width);
  cairo_move_to(d->pen.cr, x1, y1);
  cairo_line_to(d->pen.cr, x2, y2);
  cairo_stroke(d->pen.cr);
}

static void dashed(const drawing *d, es_rgb colour, double on, double off, double x1, double y1, double x2, double y2) {
  const double dash[] = {on, off};
  cairo_set_dash(d->pen.cr, dash, 2, 0.0);
  line(d, colour, 1.0, x1, y1, x2, y2);
  cairo_set_dash(d->pen.cr, NULL, 0, 0.0);
}

/* The foot of a panel with its heights; labels at the ticks when there is room for them. */
static void height_axis(const drawing *d, const panel *p, bool labels) {
  double step = es_round_step(p->to_m - p->from_m, p->w / 55.0);
  line(d, d->ink, 1.0, p->x, p->y, p->x + p->w, p->y);
  for (double at = step * ceil(p->from_m / step - 1e-9); at <= p->to_m + 1e-9 * step; at += step) {
    double x = across(p, at);
    char text[32];
    line(d, d->ink, 1.0, x, p->y, x, p->y + 4.0);
    snprintf(text, sizeof text, at + step > p->to_m + 1e-9 * step ? "%g\u00a0m" : "%g", at);
    if (labels) es_pen_line(&d->pen, ES_TYPE_LABEL, d->soft, x, p->y + 20.0, ES_MIDDLE, 0.0, text);
  }
}

static void proposed_line(const drawing *d, const panel *p, bool label) {
  const es_height_chart *c = d->chart;
  if (c->proposed >= c->n) return;
  double x = across(p, c->height_m[c->proposed]);
  dashed(d, d->soft, 4.0, 3.0, x, p->y, x, p->y - p->h);
  if (!label) return;
  char text[32];
  snprintf(text, sizeof text, "%g\u00a0m", c->height_m[c->proposed]);
  bool left = x > p->x + 0.5 * p->w;
  es_pen_haloed(&d->pen, ES_TYPE_STRONG, d->ink, x + (left ? -5.0 : 5.0), p->y - 8.0, left ? ES_RIGHT : ES_LEFT, 0.0,
                0.0, text);
}

/* A line through the values that are there. */
static void curve(const drawing *d, const panel *p, const double *value, es_rgb colour, double width) {
  const es_height_chart *c = d->chart;
  cairo_t *cr = d->pen.cr;
  cairo_new_path(cr);
  for (size_t i = 0; i < c->n; i++) {
    if (isnan(value[i])) {
      cairo_new_sub_path(cr);
      continue;
    }
    cairo_line_to(cr, across(p, c->height_m[i]), up(p, value[i]));
  }
  es_pen_ink(&d->pen, colour, 1.0);
  cairo_set_line_width(cr, width);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke(cr);
}

/* --- words ---------------------------------------------------------------------------------------------------------- */

static void head(const drawing *d) {
  const es_height_chart *c = d->chart;
  double width = RIGHT - LEFT;
  es_pen_line(&d->pen, ES_TYPE_EYEBROW, d->accent, LEFT, 40.0, ES_LEFT, width, c->eyebrow);
  es_pen_line(&d->pen, ES_TYPE_TITLE, d->ink, LEFT, 78.0, ES_LEFT, width, c->title);
  es_pen_line(&d->pen, ES_TYPE_LEAD, d->soft, LEFT, 106.0, ES_LEFT, width, c->lead);
}

static void foot(const drawing *d, double y) {
  static const char caution[] = "Prediction, not measurement";
  double taken = es_pen_line(&d->pen, ES_TYPE_STRONG, d->ink, RIGHT, y, ES_RIGHT, 0.0, caution);
  if (d->chart->foot != NULL)
    es_pen_line(&d->pen, ES_TYPE_SMALL, d->soft, LEFT, y, ES_LEFT, RIGHT - LEFT - taken - 24.0, d->chart->foot);
}

/* --- boxes of SNR --------------------------------------------------------------------------------------------------- */

static size_t boxes_drawn(const es_height_chart *c) {
  return c->n_boxes < ES_HEIGHT_BOXES ? c->n_boxes : (size_t)ES_HEIGHT_BOXES;
}

static size_t rows_drawn(const es_height_chart *c) { return (boxes_drawn(c) + ACROSS - 1) / ACROSS; }

static void widen(double value, double *least, double *most) {
  if (isnan(value)) return;
  *least = fmin(*least, value);
  *most = fmax(*most, value);
}

/* One range for all boxes, in tens of dB, with what modes need in it. */
static void find_range(const es_height_chart *c, double *bottom, double *top) {
  double least = INFINITY, most = -INFINITY;
  for (size_t b = 0; b < boxes_drawn(c); b++)
    for (size_t i = 0; i < c->n; i++) {
      widen(c->boxes[b].low_db[i], &least, &most);
      widen(c->boxes[b].median_db[i], &least, &most);
      widen(c->boxes[b].high_db[i], &least, &most);
    }
  for (size_t l = 0; l < c->n_levels; l++) widen(c->levels[l].snr_db, &least, &most);
  if (!(least <= most)) least = -10.0, most = 10.0;
  *bottom = 10.0 * floor(least / 10.0);
  *top = fmax(10.0 * ceil(most / 10.0), *bottom + 10.0);
}

/* The band between low and high; pieces where both are there. */
static void band(const drawing *d, const panel *p, const es_height_box *box) {
  const es_height_chart *c = d->chart;
  cairo_t *cr = d->pen.cr;
  es_pen_ink(&d->pen, d->palette.profile[ES_PROFILE_ZONE], 1.0);
  for (size_t i = 0; i + 1 < c->n; i++) {
    if (isnan(box->low_db[i]) || isnan(box->high_db[i]) || isnan(box->low_db[i + 1]) || isnan(box->high_db[i + 1]))
      continue;
    cairo_move_to(cr, across(p, c->height_m[i]), up(p, box->low_db[i]));
    cairo_line_to(cr, across(p, c->height_m[i]), up(p, box->high_db[i]));
    cairo_line_to(cr, across(p, c->height_m[i + 1]), up(p, box->high_db[i + 1]));
    cairo_line_to(cr, across(p, c->height_m[i + 1]), up(p, box->low_db[i + 1]));
    cairo_close_path(cr);
  }
  cairo_fill(cr);
}

static void open_circle(const drawing *d, double x, double y) {
  cairo_t *cr = d->pen.cr;
  cairo_new_path(cr);
  cairo_arc(cr, x, y, 4.5, 0.0, 2.0 * ES_PI);
  es_pen_ink(&d->pen, d->palette.paper[ES_PAPER_SHEET], 1.0);
  cairo_fill_preserve(cr);
  es_pen_ink(&d->pen, d->ink, 1.0);
  cairo_set_line_width(cr, 1.8);
  cairo_stroke(cr);
}

/* What modes need; names only at the left box of a row, moved down where they would meet. */
static void level_lines(const drawing *d, const panel *p, bool names) {
  const es_height_chart *c = d->chart;
  double free_from = -INFINITY;
  for (size_t l = 0; l < c->n_levels; l++) {
    double y = up(p, c->levels[l].snr_db), at = fmax(y + 4.0, free_from);
    char text[64];
    dashed(d, d->grid, 1.0, 3.0, p->x, y, p->x + p->w, y);
    if (!names) continue;
    free_from = at + 14.0;
    snprintf(text, sizeof text, "%.40s %s%.0f\u00a0dB", c->levels[l].name, c->levels[l].snr_db < 0.0 ? "\u2212" : "+",
             fabs(c->levels[l].snr_db));
    es_pen_line(&d->pen, ES_TYPE_SMALL, d->soft, p->x - 6.0, at, ES_RIGHT, BOX_X - 8.0, text);
  }
}

/* The name, or when it does not fit its first word: of a station that is its call. */
static void draw_name(const drawing *d, double x, double y, double width, const char *name) {
  char first[64];
  size_t n = strcspn(name, " ");
  bool fits = es_pen_width(&d->pen, ES_TYPE_STRONG, name) <= width || n >= sizeof first;
  snprintf(first, sizeof first, "%.*s", (int)(n < sizeof first ? n : 0), name);
  es_pen_line(&d->pen, ES_TYPE_STRONG, d->ink, x, y, ES_LEFT, width, fits ? name : first);
}

static void draw_box(const drawing *d, const panel *p, size_t b, bool labels) {
  const es_height_chart *c = d->chart;
  const es_height_box *box = &c->boxes[b];
  double gain_px =
      es_pen_line(&d->pen, ES_TYPE_LABEL, d->soft, p->x + p->w, p->y - p->h - 12.0, ES_RIGHT, 0.0, box->gain);
  es_mark_draw(&d->pen, &d->palette, box->shape, p->x + 6.0, p->y - p->h - 16.5);
  draw_name(d, p->x + 18.0, p->y - p->h - 12.0, p->w - gain_px - 26.0, box->name);
  band(d, p, box);
  level_lines(d, p, b % ACROSS == 0);
  proposed_line(d, p, b == 0);
  curve(d, p, box->median_db, d->ink, 2.2);
  if (box->stop < c->n) open_circle(d, across(p, c->height_m[box->stop]), up(p, box->median_db[box->stop]));
  height_axis(d, p, labels);
}

static void snr_key(const drawing *d, double y) {
  cairo_t *cr = d->pen.cr;
  es_pen_line(&d->pen, ES_TYPE_LABEL, d->soft, BOX_X + 1.5 * BOX_PITCH + 0.5 * BOX_W, y, ES_MIDDLE, 0.0,
              "height of the beacon antenna above ground");
  y += 26.0;
  es_pen_ink(&d->pen, d->palette.profile[ES_PROFILE_ZONE], 1.0);
  cairo_rectangle(cr, BOX_X, y - 12.0, 34.0, 14.0);
  cairo_fill(cr);
  line(d, d->ink, 2.2, BOX_X, y - 5.0, BOX_X + 34.0, y - 5.0);
  double taken = es_pen_line(&d->pen, ES_TYPE_SMALL, d->soft, BOX_X + 42.0, y, ES_LEFT, 0.0,
                             "signal over noise in 2500\u00a0Hz half of the time, and 8 in 10 chance (time and model)");
  double x = BOX_X + 42.0 + taken + 28.0;
  open_circle(d, x, y - 5.0);
  es_pen_line(&d->pen, ES_TYPE_SMALL, d->soft, x + 12.0, y, ES_LEFT, RIGHT - x - 12.0, "within 1\u00a0dB of its best");
  if (d->chart->left_out != NULL)
    es_pen_line(&d->pen, ES_TYPE_SMALL, d->soft, BOX_X, y + 22.0, ES_LEFT, RIGHT - BOX_X, d->chart->left_out);
}

static double snr_height(const es_height_chart *c) { return HEAD + (double)rows_drawn(c) * ROW + FOOT; }

static void draw_snr(const drawing *d) {
  const es_height_chart *c = d->chart;
  double bottom, top;
  find_range(c, &bottom, &top);
  head(d);
  for (size_t b = 0; b < boxes_drawn(c); b++) {
    double y = HEAD + 20.0 + (double)(b / ACROSS) * ROW + BOX_H;
    panel p = {
        BOX_X + (double)(b % ACROSS) * BOX_PITCH, y, BOX_W, BOX_H, c->height_m[0], c->height_m[c->n - 1], bottom, top};
    draw_box(d, &p, b, b + ACROSS >= boxes_drawn(c)); /* the lowest of its column */
  }
  double end = HEAD + (double)rows_drawn(c) * ROW;
  snr_key(d, end + 4.0);
  foot(d, end + FOOT - 18.0);
}

/* --- counts --------------------------------------------------------------------------------------------------------- */

static void value_axis(const drawing *d, const panel *p, double step, const char *what) {
  for (double at = p->bottom; at <= p->top + 1e-9 * step; at += step) {
    char text[32];
    double y = up(p, at);
    line(d, d->palette.page_light[ES_PAGE_RULE], 1.0, p->x, y, p->x + p->w, y);
    snprintf(text, sizeof text, "%g", at);
    es_pen_line(&d->pen, ES_TYPE_LABEL, d->soft, p->x - 8.0, y + 4.5, ES_RIGHT, 0.0, text);
  }
  es_pen_line(&d->pen, ES_TYPE_HEADING, d->ink, p->x, p->y - p->h - 14.0, ES_LEFT, p->w, what);
}

enum { NAMED_LINES = 8 };

/* Lines by where they end, the highest first. */
static size_t order_lines(const es_height_chart *c, size_t *order) {
  size_t n = 0;
  for (size_t l = 0; l < c->n_lines && l < NAMED_LINES; l++) {
    size_t at = n++;
    for (; at > 0 && c->lines[order[at - 1]].listeners[c->n - 1] < c->lines[l].listeners[c->n - 1]; at--)
      order[at] = order[at - 1];
    order[at] = l;
  }
  return n;
}

/* Names stand at the lines' ends, from the highest down, moved apart where they would meet. */
static void name_lines(const drawing *d, const panel *p) {
  const es_height_chart *c = d->chart;
  size_t order[NAMED_LINES], n = order_lines(c, order);
  double free_from = -INFINITY;
  for (size_t i = 0; i < n; i++) {
    size_t l = order[i];
    double y = fmax(up(p, c->lines[l].listeners[c->n - 1]) + 4.5, free_from);
    free_from = y + 17.0;
    char text[96];
    snprintf(text, sizeof text, "%.60s: %g", c->lines[l].name, c->lines[l].listeners[c->n - 1]);
    es_pen_line(&d->pen, ES_TYPE_LABEL, d->ink, p->x + p->w + 10.0, y, ES_LEFT, RIGHT - p->x - p->w - 10.0, text);
  }
}

static void dots(const drawing *d, const panel *p, const double *value) {
  const es_height_chart *c = d->chart;
  for (size_t i = 0; i < c->n; i++) {
    if (isnan(value[i])) continue;
    cairo_new_path(d->pen.cr);
    cairo_arc(d->pen.cr, across(p, c->height_m[i]), up(p, value[i]), 2.6, 0.0, 2.0 * ES_PI);
    es_pen_ink(&d->pen, d->ink, 1.0);
    cairo_fill(d->pen.cr);
  }
}

static double counts_height(const es_height_chart *c) {
  return HEAD + 24.0 + COUNT_H + (c->area_km2 != NULL ? BETWEEN + AREA_H : 0.0) + 96.0;
}

static void draw_area(const drawing *d, double y) {
  const es_height_chart *c = d->chart;
  double most = 0.0;
  for (size_t i = 0; i < c->n; i++) most = fmax(most, isnan(c->area_km2[i]) ? 0.0 : c->area_km2[i]);
  double step = es_round_step(fmax(most, 1.0), 4.0);
  panel p = {
      COUNT_X, y, COUNT_W, AREA_H, c->height_m[0], c->height_m[c->n - 1], 0.0, step * ceil(fmax(most, 1.0) / step)};
  value_axis(d, &p, step, "Area covered, km\u00b2");
  proposed_line(d, &p, false);
  curve(d, &p, c->area_km2, d->ink, 2.0);
  dots(d, &p, c->area_km2);
  height_axis(d, &p, true);
}

static void draw_counts(const drawing *d) {
  const es_height_chart *c = d->chart;
  double step = fmax(1.0, es_round_step(fmax(c->n_listeners, 1.0), 5.0)), y = HEAD + 24.0 + COUNT_H;
  panel p = {COUNT_X,
             y,
             COUNT_W,
             COUNT_H,
             c->height_m[0],
             c->height_m[c->n - 1],
             0.0,
             step * ceil(fmax(c->n_listeners, 1.0) / step)};
  head(d);
  value_axis(d, &p, step, "Listeners that hear it");
  proposed_line(d, &p, true);
  for (size_t l = 0; l < c->n_lines; l++) {
    curve(d, &p, c->lines[l].listeners, d->ink, 2.0);
    dots(d, &p, c->lines[l].listeners);
  }
  name_lines(d, &p);
  height_axis(d, &p, c->area_km2 == NULL);
  if (c->area_km2 != NULL) draw_area(d, y += BETWEEN + AREA_H);
  es_pen_line(&d->pen, ES_TYPE_LABEL, d->soft, COUNT_X + 0.5 * COUNT_W, y + 42.0, ES_MIDDLE, 0.0,
              "height of the beacon antenna above ground");
  foot(d, y + 78.0);
}

/* --- files ---------------------------------------------------------------------------------------------------------- */

typedef void (*draw_fn)(const drawing *d);

static int32_t draw_on(cairo_surface_t *surface, const es_height_chart *chart, draw_fn draw, es_error *err) {
  drawing d = {.chart = chart};
  int32_t status = es_palette_load(&d.palette, err);
  if (status != 0) return status;
  cairo_t *cr = cairo_create(surface);
  d.ink = d.palette.paper[ES_PAPER_INK];
  d.soft = d.palette.page_light[ES_PAGE_INK_2];
  d.grid = d.palette.profile[ES_PROFILE_GRID];
  d.accent = d.palette.page_light[ES_PAGE_ACCENT];
  status = es_pen_init(&d.pen, cr, d.palette.paper[ES_PAPER_SHEET], err);
  if (status == 0) {
    es_pen_ink(&d.pen, d.palette.paper[ES_PAPER_SHEET], 1.0);
    cairo_paint(cr);
    draw(&d);
    if (cairo_status(cr) != CAIRO_STATUS_SUCCESS)
      status = es_fail(err, ES_E_INTERNAL, "chart: %s", cairo_status_to_string(cairo_status(cr)));
  }
  es_pen_fini(&d.pen);
  cairo_destroy(cr);
  return status;
}

static int32_t write_png(const char *path, const es_height_chart *c, double height, draw_fn draw, es_error *err) {
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)WIDTH, (int)height);
  int32_t status = cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS
                       ? draw_on(surface, c, draw, err)
                       : es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  if (status == 0) {
    const char *keys[] = {"Title", "Subject", "Description", "Source"};
    const char *texts[] = {c->title, c->eyebrow, c->lead, c->foot != NULL ? c->foot : ""};
    cairo_surface_flush(surface);
    es_picture picture = {cairo_image_surface_get_data(surface),
                          (int)WIDTH,
                          (int)height,
                          (size_t)cairo_image_surface_get_stride(surface),
                          PIXELS_PER_M,
                          keys,
                          texts,
                          sizeof keys / sizeof *keys};
    status = es_png_write(path, &picture, err);
  }
  cairo_surface_destroy(surface);
  return status;
}

static cairo_status_t gather(void *to, const unsigned char *bytes, unsigned int n) {
  g_string_append_len(to, (const char *)bytes, (gssize)n);
  return CAIRO_STATUS_SUCCESS;
}

/* cairo numbers its surfaces through the life of the program, and writes the number as a name that nobody uses: without it
 * the same chart has the same bytes. */
static void forget_number(GString *svg) {
  static const char name[] = "id=\"surface";
  char *at = strstr(svg->str, name);
  if (at == NULL) return;
  size_t from = (size_t)(at - svg->str) + strlen(name);
  g_string_erase(svg, (gssize)from, (gssize)strspn(svg->str + from, "0123456789"));
}

static int32_t write_svg(const char *path, const es_height_chart *c, double height, draw_fn draw, es_error *err) {
  GString *svg = g_string_new(NULL);
  cairo_surface_t *surface = cairo_svg_surface_create_for_stream(gather, svg, WIDTH, height);
  cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PX);
  int32_t status = draw_on(surface, c, draw, err);
  cairo_surface_finish(surface);
  if (status == 0 && cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS)
    status = es_fail(err, ES_E_INTERNAL, "%s: %s", path, cairo_status_to_string(cairo_surface_status(surface)));
  cairo_surface_destroy(surface);
  forget_number(svg);
  if (status == 0) status = es_file_write(path, svg->str, svg->len, err);
  g_string_free(svg, TRUE);
  return status;
}

static int32_t write_both(const char *png, const char *svg, const es_height_chart *c, double height, draw_fn draw,
                          es_error *err) {
  if (c->n < 2) return es_fail(err, ES_E_RANGE, "%s: n=%zu heights, want at least 2", png, c->n);
  int32_t status = write_png(png, c, ceil(height), draw, err);
  return status == 0 ? write_svg(svg, c, ceil(height), draw, err) : status;
}

int32_t es_height_counts_write(const char *png, const char *svg, const es_height_chart *c, es_error *err) {
  return write_both(png, svg, c, counts_height(c), draw_counts, err);
}

int32_t es_height_snr_write(const char *png, const char *svg, const es_height_chart *c, es_error *err) {
  return write_both(png, svg, c, snr_height(c), draw_snr, err);
}
