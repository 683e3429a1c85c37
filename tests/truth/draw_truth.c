/* draw_truth.c - two pictures from errors.csv: predicted against measured loss, and error against distance.
 *
 * draw_truth ERRORS.csv FOLDER                                                                                        */
#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "output/palette.h"

enum { WIDTH = 1200, HEIGHT = 760, LEFT = 90, RIGHT = 30, TOP = 96, BOTTOM = 70 };
static const char *const FONT = "DejaVu Sans";

/* One panel: what its axes show. */
typedef struct axes {
  const char *title, *note, *x_name, *y_name;
  double x_min, x_max, x_step, y_min, y_max, y_step;
} axes;

typedef struct sheet {
  cairo_surface_t *surface;
  cairo_t *pen;
  es_palette palette;
  axes of;
} sheet;

static void ink(const sheet *s, es_rgb c) { cairo_set_source_rgb(s->pen, c.r / 255.0, c.g / 255.0, c.b / 255.0); }

static double x_at(const sheet *s, double x) {
  return LEFT + (x - s->of.x_min) / (s->of.x_max - s->of.x_min) * (WIDTH - LEFT - RIGHT);
}

static double y_at(const sheet *s, double y) {
  return HEIGHT - BOTTOM - (y - s->of.y_min) / (s->of.y_max - s->of.y_min) * (HEIGHT - TOP - BOTTOM);
}

/* align 0: from x, 0.5: about x, 1: up to x. */
static void word(const sheet *s, double x, double y, double size, double align, const char *text) {
  cairo_text_extents_t e;
  cairo_set_font_size(s->pen, size);
  cairo_text_extents(s->pen, text, &e);
  cairo_move_to(s->pen, x - align * e.x_advance, y);
  cairo_show_text(s->pen, text);
}

static void line(const sheet *s, double x0, double y0, double x1, double y1, double width) {
  cairo_set_line_width(s->pen, width);
  cairo_move_to(s->pen, x_at(s, x0), y_at(s, y0));
  cairo_line_to(s->pen, x_at(s, x1), y_at(s, y1));
  cairo_stroke(s->pen);
}

static void draw_grid(const sheet *s) {
  char text[32];
  const axes *a = &s->of;
  for (double x = a->x_min; x <= a->x_max + 1e-9; x += a->x_step) {
    ink(s, s->palette.profile[ES_PROFILE_GRID]);
    line(s, x, a->y_min, x, a->y_max, 1.0);
    ink(s, s->palette.page_light[ES_PAGE_INK]);
    snprintf(text, sizeof text, "%g", x);
    word(s, x_at(s, x), HEIGHT - BOTTOM + 24, 15, 0.5, text);
  }
  for (double y = a->y_min; y <= a->y_max + 1e-9; y += a->y_step) {
    ink(s, s->palette.profile[ES_PROFILE_GRID]);
    line(s, a->x_min, y, a->x_max, y, 1.0);
    ink(s, s->palette.page_light[ES_PAGE_INK]);
    snprintf(text, sizeof text, "%g", y);
    word(s, LEFT - 10, y_at(s, y) + 5, 15, 1.0, text);
  }
}

static void draw_words(const sheet *s) {
  ink(s, s->palette.page_light[ES_PAGE_INK]);
  word(s, LEFT, 36, 22, 0.0, s->of.title);
  word(s, LEFT + 0.5 * (WIDTH - LEFT - RIGHT), HEIGHT - 18, 16, 0.5, s->of.x_name);
  cairo_save(s->pen);
  cairo_translate(s->pen, 26, TOP + 0.5 * (HEIGHT - TOP - BOTTOM));
  cairo_rotate(s->pen, -0.5 * ES_PI);
  word(s, 0, 0, 16, 0.5, s->of.y_name);
  cairo_restore(s->pen);
  ink(s, s->palette.page_light[ES_PAGE_INK_2]);
  word(s, WIDTH - RIGHT, 36, 14, 1.0, s->of.note);
}

static es_rgb way_colour(const sheet *s, const char *way) {
  int at = strcmp(way, "ducting") == 0 ? ES_WAY_DUCT : strcmp(way, "surface") == 0 ? ES_WAY_SURFACE : ES_WAY_SCATTER;
  return s->palette.way[at];
}

static void mark(const sheet *s, double x, double y, es_rgb colour, bool high_band) {
  const double size = 4.5;
  ink(s, colour);
  cairo_new_path(s->pen);
  if (high_band)
    cairo_arc(s->pen, x, y, size, 0.0, 2.0 * ES_PI);
  else
    cairo_rectangle(s->pen, x - size, y - size, 2.0 * size, 2.0 * size);
  cairo_fill_preserve(s->pen);
  ink(s, s->palette.page_light[ES_PAGE_SHEET]);
  cairo_set_line_width(s->pen, 0.8);
  cairo_stroke(s->pen);
}

/* A ring about a value of a doubtful station. */
static void ring(const sheet *s, double x, double y) {
  ink(s, s->palette.page_light[ES_PAGE_INK]);
  cairo_set_line_width(s->pen, 1.2);
  cairo_new_path(s->pen);
  cairo_arc(s->pen, x, y, 7.0, 0.0, 2.0 * ES_PI);
  cairo_stroke(s->pen);
}

static double key_entry(const sheet *s, double x, const char *text) {
  cairo_text_extents_t e;
  ink(s, s->palette.page_light[ES_PAGE_INK]);
  word(s, x + 14, 71, 15, 0.0, text);
  cairo_text_extents(s->pen, text, &e);
  return x + 14 + e.x_advance + 30;
}

static void draw_key(const sheet *s) {
  static const char *const ways[] = {"surface", "ducting", "troposcatter"};
  double x = LEFT + 8;
  for (int i = 0; i < 3; i++) {
    mark(s, x, 66, way_colour(s, ways[i]), true);
    x = key_entry(s, x, ways[i]);
  }
  es_rgb plain = s->palette.page_light[ES_PAGE_INK_2];
  mark(s, x, 66, plain, false);
  x = key_entry(s, x, "1-5 GHz");
  mark(s, x, 66, plain, true);
  x = key_entry(s, x, "5-20 GHz");
  ring(s, x, 66);
  key_entry(s, x, "doubtful station");
}

static bool sheet_open(sheet *s, const axes *of) {
  es_error err = {0};
  s->of = *of;
  s->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  s->pen = cairo_create(s->surface);
  if (es_palette_load(&s->palette, &err) != 0 || cairo_status(s->pen) != CAIRO_STATUS_SUCCESS) return false;
  ink(s, s->palette.page_light[ES_PAGE_SHEET]);
  cairo_paint(s->pen);
  cairo_select_font_face(s->pen, FONT, CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  draw_grid(s);
  draw_words(s);
  draw_key(s);
  return true;
}

static bool sheet_close(sheet *s, const char *folder, const char *name) {
  char *path = es_format("%s/%s", folder, name);
  bool ok = path != NULL && cairo_surface_write_to_png(s->surface, path) == CAIRO_STATUS_SUCCESS;
  if (!ok) fprintf(stderr, "draw_truth: %s cannot be written\n", name);
  cairo_destroy(s->pen);
  cairo_surface_destroy(s->surface);
  free(path);
  return ok;
}

/* --- the values ----------------------------------------------------------------------------------------------------- */

typedef struct value {
  double freq_ghz, dist_km, percent, measured_db, error_db;
  const char *way;
  bool doubtful;
} value;

static bool read_value(const es_text_table *t, size_t row, value *v) {
  static const char *const columns[] = {"f_ghz", "d_km", "time_percent", "lb_measured_db", "whole_year_db"};
  double *const to[] = {&v->freq_ghz, &v->dist_km, &v->percent, &v->measured_db, &v->error_db};
  for (int i = 0; i < 5; i++)
    if (!es_parse_number(es_text_table_cell(t, row, es_text_table_column(t, columns[i])), to[i])) return false;
  v->way = es_text_table_cell(t, row, es_text_table_column(t, "whole_year_way"));
  v->doubtful = strcmp(es_text_table_cell(t, row, es_text_table_column(t, "doubtful")), "1") == 0;
  return v->percent <= 50.0;
}

typedef void place_fn(const value *v, double *x, double *y);
static void by_loss(const value *v, double *x, double *y) {
  *x = v->measured_db;
  *y = v->measured_db + v->error_db;
}
static void by_distance(const value *v, double *x, double *y) {
  *x = v->dist_km;
  *y = v->error_db;
}

static void draw_values(const sheet *s, const es_text_table *t, place_fn *place) {
  for (size_t row = 0; row < es_text_table_rows(t); row++) {
    value v;
    double x, y;
    if (!read_value(t, row, &v)) continue;
    place(&v, &x, &y);
    mark(s, x_at(s, x), y_at(s, y), way_colour(s, v.way), v.freq_ghz >= 5.0);
    if (v.doubtful) ring(s, x_at(s, x), y_at(s, y));
  }
}

static const char *const NOTE = "grade A paths, p <= 50 %, whole-year chain";

static bool draw_scatter(const es_text_table *t, const char *folder) {
  static const axes of = {"Predicted against measured loss",
                          NULL,
                          "measured basic loss (dB)",
                          "predicted (dB)",
                          120,
                          260,
                          20,
                          120,
                          260,
                          20};
  sheet s;
  axes with_note = of;
  with_note.note = NOTE;
  if (!sheet_open(&s, &with_note)) return false;
  ink(&s, s.palette.page_light[ES_PAGE_INK]);
  line(&s, of.x_min, of.y_min, of.x_max, of.y_max, 1.6);
  draw_values(&s, t, by_loss);
  return sheet_close(&s, folder, "truth-scatter.png");
}

static bool draw_distance(const es_text_table *t, const char *folder) {
  static const axes of = {"Error against distance",
                          NULL,
                          "length of the path (km)",
                          "predicted less measured (dB)",
                          0,
                          900,
                          100,
                          -50,
                          50,
                          10};
  sheet s;
  axes with_note = of;
  with_note.note = NOTE;
  if (!sheet_open(&s, &with_note)) return false;
  ink(&s, s.palette.page_light[ES_PAGE_INK]);
  line(&s, of.x_min, 0.0, of.x_max, 0.0, 1.6);
  draw_values(&s, t, by_distance);
  return sheet_close(&s, folder, "truth-distance.png");
}

int main(int argc, char **argv) {
  if (argc != 3) {
    fprintf(stderr, "draw_truth ERRORS.csv FOLDER\n");
    return 2;
  }
  es_error err = {0};
  es_text_table *t = es_text_table_open(argv[1], &err);
  if (t == NULL) {
    fprintf(stderr, "draw_truth: %s\n", err.detail);
    return 1;
  }
  bool ok = draw_scatter(t, argv[2]) && draw_distance(t, argv[2]);
  es_text_table_close(t);
  return ok ? 0 : 1;
}
