#include "output/pen.h"

#include <math.h>

static const double HALO_PX = 3.6, HALO_STRENGTH = 0.88;

static cairo_font_options_t *font_options(void) {
  cairo_font_options_t *options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  return options;
}

int32_t es_pen_init(es_pen *pen, cairo_t *cr, es_rgb paper, es_error *err) {
  *pen = (es_pen){.cr = cr, .fonts = pango_cairo_font_map_new(), .paper = paper};
  if (pen->fonts != NULL) pen->context = pango_font_map_create_context(pen->fonts);
  if (pen->context == NULL) return es_fail(err, ES_E_MEMORY, "no fonts: want DejaVu (package fonts-dejavu-core)");
  cairo_font_options_t *options = font_options();
  pango_cairo_context_set_font_options(pen->context, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(pen->context, FALSE);
  pen->layout = pango_layout_new(pen->context);
  pango_layout_set_single_paragraph_mode(pen->layout, TRUE);
  pango_cairo_update_context(cr, pen->context);
  return ES_OK;
}

void es_pen_fini(es_pen *pen) {
  if (pen->layout != NULL) g_object_unref(pen->layout);
  if (pen->context != NULL) g_object_unref(pen->context);
  if (pen->fonts != NULL) g_object_unref(pen->fonts);
  *pen = (es_pen){0};
}

void es_pen_ink(const es_pen *pen, es_rgb c, double strength) {
  cairo_set_source_rgba(pen->cr, c.r / 255.0, c.g / 255.0, c.b / 255.0, strength);
}

static void set_font(const es_pen *pen, es_type type) {
  PangoFontDescription *font = pango_font_description_new();
  pango_font_description_set_family_static(font, type.serif ? "DejaVu Serif" : "DejaVu Sans");
  pango_font_description_set_weight(font, type.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, type.px * PANGO_SCALE);
  pango_layout_set_font_description(pen->layout, font);
  pango_font_description_free(font);
}

static void set_spacing(const es_pen *pen, es_type type) {
  PangoAttrList *list = pango_attr_list_new();
  if (type.spacing_px > 0.0)
    pango_attr_list_insert(list, pango_attr_letter_spacing_new((int)lround(type.spacing_px * PANGO_SCALE)));
  pango_layout_set_attributes(pen->layout, list);
  pango_attr_list_unref(list);
}

/* Text that is no UTF-8 is shown with marks where it is broken. max_lines 0: one line, never cut. */
static void set_text(const es_pen *pen, es_type type, double width, int max_lines, const char *text) {
  char *valid = g_utf8_make_valid(text, -1);
  set_font(pen, type);
  set_spacing(pen, type);
  pango_layout_set_width(pen->layout, max_lines > 0 ? (int)lround(width * PANGO_SCALE) : -1);
  pango_layout_set_height(pen->layout, max_lines > 0 ? -max_lines : -1);
  pango_layout_set_wrap(pen->layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_ellipsize(pen->layout, max_lines > 0 ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
  pango_layout_set_text(pen->layout, valid, -1);
  g_free(valid);
}

static double layout_width(const es_pen *pen) {
  int width;
  pango_layout_get_size(pen->layout, &width, NULL);
  return (double)width / PANGO_SCALE;
}

double es_pen_width(const es_pen *pen, es_type type, const char *text) {
  set_text(pen, type, 0.0, 0, text);
  return layout_width(pen);
}

static double start_of(es_align align, double x, double width) {
  return align == ES_LEFT ? x : align == ES_MIDDLE ? x - 0.5 * width : x - width;
}

/* Cut only when it is too long: a layout of given width would put right-to-left text at its far end. */
static double set_line(const es_pen *pen, es_type type, double width, const char *text) {
  set_text(pen, type, 0.0, 0, text);
  double natural = layout_width(pen);
  if (width <= 0.0 || natural <= width) return natural;
  set_text(pen, type, width, 1, text);
  return layout_width(pen);
}

double es_pen_line(const es_pen *pen, es_type type, es_rgb ink, double x, double y, es_align align, double width,
                   const char *text) {
  double drawn = set_line(pen, type, width, text);
  es_pen_ink(pen, ink, 1.0);
  cairo_move_to(pen->cr, start_of(align, x, drawn), y);
  pango_cairo_show_layout_line(pen->cr, pango_layout_get_line_readonly(pen->layout, 0));
  return drawn;
}

double es_pen_haloed(const es_pen *pen, es_type type, es_rgb ink, double x, double y, es_align align, double width,
                     double turn, const char *text) {
  cairo_t *cr = pen->cr;
  double drawn = set_line(pen, type, width, text);
  cairo_save(cr);
  cairo_translate(cr, x, y);
  cairo_rotate(cr, turn);
  cairo_move_to(cr, start_of(align, 0.0, drawn), 0.0);
  pango_cairo_layout_line_path(cr, pango_layout_get_line_readonly(pen->layout, 0));
  cairo_set_line_width(cr, HALO_PX);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  es_pen_ink(pen, pen->paper, HALO_STRENGTH);
  cairo_stroke_preserve(cr);
  es_pen_ink(pen, ink, 1.0);
  cairo_fill(cr);
  cairo_restore(cr);
  return drawn;
}

int es_pen_paragraph(const es_pen *pen, es_type type, es_rgb ink, double x, double y, double width, int max_lines,
                     double lead, bool draw, const char *text) {
  set_text(pen, type, width, max_lines, text);
  int lines = pango_layout_get_line_count(pen->layout);
  if (lines > max_lines) lines = max_lines;
  es_pen_ink(pen, ink, 1.0);
  for (int i = 0; draw && i < lines; i++) {
    cairo_move_to(pen->cr, x, y + i * lead);
    pango_cairo_show_layout_line(pen->cr, pango_layout_get_line_readonly(pen->layout, i));
  }
  return lines;
}
