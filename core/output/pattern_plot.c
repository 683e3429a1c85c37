/* pattern_plot.c - gain against direction: one accent line between circles of equal gain. See pattern_plot.h. */
#include "output/pattern_plot.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "output/palette.h"
#include "output/pen.h"
#include "output/png_file.h"

enum { WIDTH_PX = 1600, HEIGHT_PX = 900, RINGS = 4 };
static const double RING_DB = 10.0, RING_X = 430.0, RING_Y = 510.0, RING_PX = 320.0; /* azimuth */
static const double SIDE_X = 1010.0, SIDE_Y = 510.0;                                 /* elevation: half a ring */
static const double RIGHT_PX = 1536.0, LEFT_PX = 64.0;
static const uint32_t PIXELS_PER_M = 3780; /* 96 to the inch */

typedef struct plot {
  const es_antenna *antenna;
  double freq_ghz;
  const es_pattern_words *words;
  es_palette palette;
  es_pen pen;
  double top_dbi; /* of the outermost circle */
} plot;

/* Largest gain of all directions a plot shows. */
static double largest_dbi(const es_antenna *a, double freq_ghz) {
  double most = -INFINITY;
  for (int i = 0; i < 3600; i++) most = fmax(most, es_antenna_gain(a, freq_ghz, es_rad(0.1 * i), a->tilt, 0.0));
  return most;
}

/* Distance from the centre for a gain: the innermost 10 dB end at the centre. */
static double radius_px(const plot *p, double gain_dbi) {
  double share = 1.0 - (p->top_dbi - gain_dbi) / (RINGS * RING_DB);
  return RING_PX * es_clamp(share, 0.0, 1.0);
}

static void circle(const plot *p, double x, double from, double to, int ring) {
  double r = radius_px(p, p->top_dbi - RING_DB * ring);
  es_pen_ink(&p->pen, p->palette.paper[ES_PAPER_INK], 1.0);
  cairo_set_line_width(p->pen.cr, ring == 0 ? 1.4 : 1.1);
  const double dots[] = {2.0, 5.0};
  cairo_set_dash(p->pen.cr, dots, ring == 0 ? 0 : 2, 0.0);
  cairo_new_path(p->pen.cr);
  cairo_arc(p->pen.cr, x, RING_Y, r, from, to);
  cairo_stroke(p->pen.cr);
  cairo_set_dash(p->pen.cr, NULL, 0, 0.0);
}

static void ring_label(const plot *p, double x, int ring) {
  double gain = p->top_dbi - RING_DB * ring, r = radius_px(p, gain);
  char label[32];
  snprintf(label, sizeof label, "%s%.0f\u00a0dBi", gain < 0.0 ? "\u2212" : "", fabs(gain));
  es_pen_haloed(&p->pen, ES_TYPE_LABEL, p->palette.paper[ES_PAPER_INK], x + r * sin(es_rad(15.0)) + 4.0,
                RING_Y - r * cos(es_rad(15.0)) - 4.0, ES_LEFT, 0.0, 0.0, label);
}

static void axis_labels(const plot *p) {
  for (int ring = 0; ring < RINGS; ring++) {
    ring_label(p, RING_X, ring);
    ring_label(p, SIDE_X, ring);
  }
  for (int deg = 0; deg < 360; deg += 30) {
    char label[16];
    snprintf(label, sizeof label, "%03d\u00b0", deg);
    double x = RING_X + (RING_PX + 26.0) * sin(es_rad(deg)), y = RING_Y - (RING_PX + 26.0) * cos(es_rad(deg));
    es_pen_line(&p->pen, ES_TYPE_SMALL, p->palette.paper[ES_PAPER_INK], x, y + 4.5, ES_MIDDLE, 0.0, label);
  }
  for (int deg = -90; deg <= 90; deg += 30) {
    char label[16];
    snprintf(label, sizeof label, "%s%d\u00b0", deg < 0 ? "\u2212" : deg > 0 ? "+" : "", deg < 0 ? -deg : deg);
    double x = SIDE_X + (RING_PX + 22.0) * cos(es_rad(deg)), y = SIDE_Y - (RING_PX + 22.0) * sin(es_rad(deg));
    es_pen_line(&p->pen, ES_TYPE_SMALL, p->palette.paper[ES_PAPER_INK], x, y + 4.5, ES_LEFT, 0.0, label);
  }
}

static void gain_line(const plot *p, bool closed) {
  cairo_set_line_width(p->pen.cr, 2.2);
  if (closed) cairo_close_path(p->pen.cr);
  es_pen_ink(&p->pen, p->palette.page_light[ES_PAGE_ACCENT], 1.0);
  cairo_stroke(p->pen.cr);
}

static void draw_azimuth(const plot *p) {
  for (int ring = 0; ring < RINGS; ring++) circle(p, RING_X, 0.0, 2.0 * ES_PI, ring);
  cairo_new_path(p->pen.cr);
  for (int i = 0; i < 1440; i++) {
    double az = es_rad(0.25 * i);
    double r = radius_px(p, es_antenna_gain(p->antenna, p->freq_ghz, az, p->antenna->tilt, 0.0));
    cairo_line_to(p->pen.cr, RING_X + r * sin(az), RING_Y - r * cos(az));
  }
  gain_line(p, true);
}

/* Up and down in the direction the antenna points. */
static void draw_elevation(const plot *p) {
  for (int ring = 0; ring < RINGS; ring++) circle(p, SIDE_X, -0.5 * ES_PI, 0.5 * ES_PI, ring);
  cairo_new_path(p->pen.cr);
  for (int i = -720; i <= 720; i++) {
    double el = es_rad(0.125 * i);
    double r = radius_px(p, es_antenna_gain(p->antenna, p->freq_ghz, p->antenna->azimuth, el, 0.0));
    cairo_line_to(p->pen.cr, SIDE_X + r * cos(el), SIDE_Y - r * sin(el));
  }
  gain_line(p, false);
}

static void draw_words(const plot *p) {
  es_rgb ink = p->palette.paper[ES_PAPER_INK], soft = p->palette.page_light[ES_PAGE_INK_2];
  double width = RIGHT_PX - LEFT_PX;
  es_pen_line(&p->pen, ES_TYPE_EYEBROW, soft, LEFT_PX, 40.0, ES_LEFT, width, p->words->eyebrow);
  es_pen_line(&p->pen, ES_TYPE_TITLE, ink, LEFT_PX, 78.0, ES_LEFT, width, p->words->title);
  es_pen_line(&p->pen, ES_TYPE_LEAD, ink, LEFT_PX, 108.0, ES_LEFT, width, p->words->lead);
  es_pen_line(&p->pen, ES_TYPE_HEADING, ink, RING_X, 142.0, ES_MIDDLE, 0.0, "Going round, degrees from true north");
  es_pen_line(&p->pen, ES_TYPE_HEADING, ink, SIDE_X, 142.0, ES_LEFT, 0.0, "Up and down, where it points");
  es_pen_line(&p->pen, ES_TYPE_SMALL, soft, LEFT_PX, HEIGHT_PX - 16.0, ES_LEFT, width, p->words->foot);
}

static int32_t draw(plot *p, cairo_surface_t *surface, es_error *err) {
  cairo_t *cr = cairo_create(surface);
  int32_t status = es_pen_init(&p->pen, cr, p->palette.paper[ES_PAPER_SHEET], err);
  if (status == 0) {
    es_pen_ink(&p->pen, p->palette.paper[ES_PAPER_SHEET], 1.0);
    cairo_paint(cr);
    cairo_scale(cr, p->words->scale, p->words->scale);
    draw_azimuth(p);
    draw_elevation(p);
    axis_labels(p);
    draw_words(p);
    if (cairo_status(cr) != CAIRO_STATUS_SUCCESS)
      status = es_fail(err, ES_E_INTERNAL, "pattern: %s", cairo_status_to_string(cairo_status(cr)));
  }
  es_pen_fini(&p->pen);
  cairo_destroy(cr);
  return status;
}

static int32_t save(const char *path, cairo_surface_t *surface, const es_pattern_words *w, es_error *err) {
  const char *keys[] = {"Title", "Subject", "Description", "Source"};
  const char *texts[] = {w->title, w->eyebrow, w->lead, w->foot};
  cairo_surface_flush(surface);
  es_picture picture = {cairo_image_surface_get_data(surface),
                        WIDTH_PX * w->scale,
                        HEIGHT_PX * w->scale,
                        (size_t)cairo_image_surface_get_stride(surface),
                        PIXELS_PER_M * (uint32_t)w->scale,
                        keys,
                        texts,
                        sizeof keys / sizeof *keys};
  return es_png_write(path, &picture, err);
}

int32_t es_pattern_plot_write(const char *path, const es_antenna *antenna, double freq_ghz,
                              const es_pattern_words *words, es_error *err) {
  plot p = {.antenna = antenna, .freq_ghz = freq_ghz, .words = words};
  if (words->scale < 1 || words->scale > 10)
    return es_fail(err, ES_E_RANGE, "%s: scale=%d, want 1..10", path, words->scale);
  p.top_dbi = RING_DB * ceil(largest_dbi(antenna, freq_ghz) / RING_DB - 1e-9);
  int32_t status = es_palette_load(&p.palette, err);
  if (status != 0) return status;
  cairo_surface_t *surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH_PX * words->scale, HEIGHT_PX * words->scale);
  if (cairo_surface_status(surface) != CAIRO_STATUS_SUCCESS)
    status = es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  else
    status = draw(&p, surface, err);
  if (status == 0) status = save(path, surface, words, err);
  cairo_surface_destroy(surface);
  return status;
}
