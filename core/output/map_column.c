/* map_column.c - all that is written beside the map: head, key, small keys, scale, facts, doubt; and the foot below. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"
#include "output/map_parts.h"

static const double LEFT = 1206.0, RIGHT = 1564.0, WIDTH = 358.0;
static const double BOTTOM = 1152.0; /* blocks that would reach below are left out */
static const double FACT_X = 1314.0;
static const double ROW = 34.0, WAY_SWATCH = 36.0; /* of the key */

typedef struct column {
  const es_map_parts *m;
  const es_pen *pen;
  es_rgb ink, ink2, rule, edge, accent, sheet;
  double y; /* last baseline or lower edge */
} column;

static column column_of(const es_map_parts *m) {
  const es_palette *p = &m->palette;
  return (column){m,
                  &m->pen,
                  p->page_light[ES_PAGE_INK],
                  p->page_light[ES_PAGE_INK_2],
                  p->page_light[ES_PAGE_RULE],
                  p->page_light[ES_PAGE_EDGE],
                  p->page_light[ES_PAGE_ACCENT],
                  p->paper[ES_PAPER_SHEET],
                  0.0};
}

static void hairline(const column *c, double y, double width, es_rgb colour) {
  cairo_move_to(c->pen->cr, LEFT, y);
  cairo_line_to(c->pen->cr, RIGHT, y);
  es_pen_ink(c->pen, colour, 1.0);
  cairo_set_line_width(c->pen->cr, width);
  cairo_stroke(c->pen->cr);
}

static void outline(const column *c, double x, double y, double width, double height) {
  cairo_rectangle(c->pen->cr, x, y, width, height);
  es_pen_ink(c->pen, c->edge, 1.0);
  cairo_set_line_width(c->pen->cr, 1.0);
  cairo_stroke(c->pen->cr);
}

static void fill(const column *c, es_rgb colour, double x, double y, double width, double height) {
  cairo_rectangle(c->pen->cr, x, y, width, height);
  es_pen_ink(c->pen, colour, 1.0);
  cairo_fill(c->pen->cr);
}

/* A swatch's texture, pixel by pixel from the function the map uses. */
static void fill_texture(const column *c, es_texture texture, es_rgb ink, double x, double y, double width,
                         double height) {
  double pixel = 1.0 / c->m->sheet->scale;
  for (double v = 0.0; v < height; v += pixel)
    for (double u = 0.0; u < width; u += pixel) {
      double cover = es_texture_cover(texture, x + u + 0.5 * pixel, y + v + 0.5 * pixel, pixel);
      if (cover <= 0.0) continue;
      cairo_rectangle(c->pen->cr, x + u, y + v, pixel, pixel);
      es_pen_ink(c->pen, ink, cover);
      cairo_fill(c->pen->cr);
    }
}

/* --- head -------------------------------------------------------------------------------------------------------- */

/* Title of one or two lines; then what is heard, season and height. */
static void draw_head(column *c) {
  const es_sheet *s = c->m->sheet;
  es_pen_line(c->pen, ES_TYPE_EYEBROW, c->accent, LEFT, 61.0, ES_LEFT, WIDTH, s->eyebrow);
  int lines = es_pen_paragraph(c->pen, ES_TYPE_TITLE, c->ink, LEFT, 107.0, WIDTH, 2, 38.0, true, s->title);
  c->y = 107.0 + 38.0 * (lines - 1) + 38.0;
  if (s->lead != NULL)
    c->y += 22.0 * es_pen_paragraph(c->pen, ES_TYPE_LEAD, c->ink, LEFT, c->y, WIDTH, 2, 22.0, true, s->lead);
  if (s->second != NULL)
    c->y += 22.0 * es_pen_paragraph(c->pen, ES_TYPE_LEAD, c->ink2, LEFT, c->y, WIDTH, 2, 22.0, true, s->second);
  c->y += 6.0;
  hairline(c, c->y, 1.4, c->ink);
}

/* --- key --------------------------------------------------------------------------------------------------------- */

static void draw_count(const column *c, size_t n, double x, double y, es_align align) {
  char text[24];
  snprintf(text, sizeof text, "%zu", n);
  es_type type = n > 0 ? ES_TYPE_NUMBER : ES_TYPE_LEGEND;
  es_pen_line(c->pen, type, n > 0 ? c->ink : c->ink2, x, y, align, 0.0, text);
}

static void draw_swatches(const column *c, int class, double y, double height) {
  const es_map_paint *p = &c->m->paints[class];
  fill(c, p->land, LEFT, y, 34.0, height);
  fill(c, p->sea, LEFT + 36.0, y, 34.0, height);
  if (p->texture == ES_TEXTURE_NONE) return;
  fill_texture(c, p->texture, p->texture_land, LEFT, y, 34.0, height);
  fill_texture(c, p->texture, p->texture_sea, LEFT + 36.0, y, 34.0, height);
}

static bool marks_differ(es_map_kind kind) { return kind == ES_MAP_HEARD || kind == ES_MAP_LEVEL; }

static void draw_step(const column *c, int class, const es_map_step *step, double y) {
  bool shapes = marks_differ(c->m->sheet->kind);
  double word_x = LEFT + (shapes ? 112.0 : 84.0), middle = y + 0.5 * ROW;
  draw_swatches(c, class, y, ROW);
  if (shapes) es_mark_draw(c->pen, &c->m->palette, step->shape, LEFT + 92.0, middle);
  double range_x = LEFT + 312.0;
  double range = es_pen_line(c->pen, ES_TYPE_VALUE, c->ink2, range_x, middle + 5.0, ES_RIGHT, 0.0, step->range);
  es_pen_line(c->pen, ES_TYPE_LEGEND, c->ink, word_x, middle + 5.2, ES_LEFT, range_x - range - 6.0 - word_x,
              step->word);
  if (c->m->n_marks > 0) draw_count(c, c->m->counts[class], RIGHT, middle + 5.2, ES_RIGHT);
}

/* A way has a word and its meaning, and swatches that stand apart: ways are no scale. */
static void draw_way(const column *c, int class, const es_map_step *step, double y) {
  draw_swatches(c, class, y, WAY_SWATCH);
  outline(c, LEFT, y, 34.0, WAY_SWATCH);
  outline(c, LEFT + 36.0, y, 34.0, WAY_SWATCH);
  es_pen_line(c->pen, ES_TYPE_HEADING, c->ink, LEFT + 84.0, y + 13.0, ES_LEFT, 224.0, step->word);
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT + 84.0, y + 30.0, ES_LEFT, 224.0, step->range);
  if (c->m->n_marks > 0) draw_count(c, c->m->counts[class], RIGHT, y + 21.0, ES_RIGHT);
}

static void draw_key_head(column *c) {
  c->y += 25.0;
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT, c->y, ES_LEFT, 0.0, "land");
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT + 36.0, c->y, ES_LEFT, 0.0, "sea");
  if (c->m->n_marks > 0) es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, RIGHT, c->y, ES_RIGHT, 0.0, "listeners");
  c->y += 8.0;
}

/* Much above little. */
static void draw_steps(column *c, const es_map_step *steps, size_t n) {
  draw_key_head(c);
  double top = c->y;
  for (size_t k = n; k-- > 0; c->y += ROW) draw_step(c, (int)k, &steps[k], c->y);
  outline(c, LEFT, top, 34.0, (double)n * ROW);
  outline(c, LEFT + 36.0, top, 34.0, (double)n * ROW);
}

static void draw_ways(column *c, const es_map_step *steps, size_t n) {
  draw_key_head(c);
  for (size_t k = 1; k <= n; k++, c->y += WAY_SWATCH + 8.0)
    draw_way(c, (int)(k % n), &steps[k % n], c->y); /* none last */
  c->y -= 8.0;
}

/* Difference: one bar of seven steps from lost to gained, the edges between them written below. */
static void draw_bar(column *c) {
  static const char *const EDGE[] = {"−10", "−3", "−1", "+1", "+3", "+10"};
  double step = WIDTH / 7.0, top = c->y + 16.0;
  for (int k = 0; k < 7; k++) {
    const es_map_paint *p = &c->m->paints[k];
    fill(c, p->land, LEFT + k * step, top, step, 22.0);
    fill(c, p->sea, LEFT + k * step, top + 22.0, step, 12.0);
    if (p->texture == ES_TEXTURE_NONE) continue;
    fill_texture(c, p->texture, p->texture_land, LEFT + k * step, top, step, 22.0);
    fill_texture(c, p->texture, p->texture_sea, LEFT + k * step, top + 22.0, step, 12.0);
  }
  outline(c, LEFT, top, WIDTH, 34.0);
  for (int k = 0; k < 6; k++)
    es_pen_line(c->pen, ES_TYPE_LABEL, c->ink, LEFT + (k + 1) * step, top + 51.0, ES_MIDDLE, 0.0, EDGE[k]);
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT, top + 72.0, ES_LEFT, 0.0, "lost (hatched)");
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT + 0.5 * WIDTH, top + 72.0, ES_MIDDLE, 0.0, "dB");
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, RIGHT, top + 72.0, ES_RIGHT, 0.0, "gained (plain)");
  c->y = top + 72.0;
}

static void draw_bar_counts(column *c) {
  double step = WIDTH / 7.0;
  c->y += 30.0;
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT, c->y, ES_LEFT, WIDTH, "listeners in each step");
  c->y += 22.0;
  for (int k = 0; k < 7; k++) draw_count(c, c->m->counts[k], LEFT + (k + 0.5) * step, c->y, ES_MIDDLE);
  c->y += 6.0;
}

static void draw_note(column *c, int max_lines, const char *text) {
  if (text == NULL || text[0] == '\0') return;
  c->y +=
      19.0 * es_pen_paragraph(c->pen, ES_TYPE_LABEL, c->ink2, LEFT, c->y + 20.0, WIDTH, max_lines, 19.0, true, text);
}

/* What the map could not show is said, with its number. */
static void draw_left_out(column *c) {
  const es_map_parts *m = c->m;
  char text[96];
  const struct {
    size_t n;
    const char *one, *many;
  } left[] = {{m->n_unanswered, "listener without an answer", "listeners without an answer"},
              {m->n_beyond, "listener beyond this map, see the table", "listeners beyond this map, see the table"},
              {m->n_nameless, "name left out, see the table", "names left out, see the table"}};
  c->y += 4.0;
  for (size_t k = 0; k < sizeof left / sizeof left[0]; k++) {
    if (left[k].n == 0) continue;
    snprintf(text, sizeof text, "%zu %s", left[k].n, left[k].n == 1 ? left[k].one : left[k].many);
    c->y += 19.0;
    bool dash = k == 0; /* its mark stands before the words */
    if (dash) es_mark_draw(c->pen, &m->palette, ES_MARK_DASH, LEFT + 6.0, c->y - 4.5);
    es_pen_line(c->pen, ES_TYPE_LABEL, c->ink, LEFT + (dash ? 20.0 : 0.0), c->y, ES_LEFT, WIDTH - 20.0, text);
  }
}

static void draw_key(column *c) {
  size_t n;
  const es_map_step *steps = es_map_steps(c->m->sheet->kind, &n);
  c->y += 29.0;
  es_pen_line(c->pen, ES_TYPE_HEADING, c->ink, LEFT, c->y, ES_LEFT, WIDTH, es_map_quantity(c->m->sheet->kind));
  if (c->m->sheet->kind == ES_MAP_DIFFERENCE) {
    draw_bar(c);
    if (c->m->n_marks > 0) draw_bar_counts(c);
  } else if (c->m->sheet->kind == ES_MAP_WAY) {
    draw_ways(c, steps, n);
  } else {
    draw_steps(c, steps, n);
  }
  draw_note(c, 6, c->m->sheet->colours_note);
  draw_left_out(c);
}

/* --- small keys -------------------------------------------------------------------------------------------------- */

static const double KEY_W = 34.0, KEY_H = 22.0;

static void key_no_data(const column *c, double x, double y) {
  fill_texture(c, ES_TEXTURE_NO_DATA, c->m->palette.paper[ES_PAPER_NO_DATA], x, y, KEY_W, KEY_H);
}

static void key_coast(const column *c, double x, double y) {
  static const double STRENGTH[] = {0.85, 0.30, 0.20};
  cairo_t *cr = c->pen->cr;
  fill(c, c->m->palette.paper[ES_PAPER_SEA], x, y, KEY_W, KEY_H);
  for (int k = 0; k < 3; k++) {
    double base = y + 15.0 - 5.0 * k;
    cairo_move_to(cr, x, base);
    cairo_curve_to(cr, x + 8.0, base - 4.0, x + 14.0, base + 4.0, x + 20.0, base);
    cairo_curve_to(cr, x + 25.0, base - 3.0, x + 30.0, base - 3.0, x + KEY_W, base - 1.0);
    if (k == 0) {
      cairo_path_t *path = cairo_copy_path(cr);
      cairo_line_to(cr, x + KEY_W, y + KEY_H);
      cairo_line_to(cr, x, y + KEY_H);
      es_pen_ink(c->pen, c->m->palette.paper[ES_PAPER_LAND], 1.0);
      cairo_fill(cr);
      cairo_append_path(cr, path);
      cairo_path_destroy(path);
    }
    es_pen_ink(c->pen, c->m->palette.paper[ES_PAPER_COAST], STRENGTH[k]);
    cairo_set_line_width(cr, 1.0);
    cairo_stroke(cr);
  }
}

static void key_arc(const column *c, double x, double y, bool dotted) {
  static const double DOTS[] = {2.0, 5.0};
  cairo_t *cr = c->pen->cr;
  cairo_save(cr);
  cairo_rectangle(cr, x, y, KEY_W, KEY_H);
  cairo_clip(cr);
  cairo_new_path(cr);
  cairo_arc(cr, x + 38.0, y + 32.0, 31.0, 0.0, 2.0 * ES_PI);
  if (dotted) cairo_set_dash(cr, DOTS, 2, 0.0);
  es_pen_ink(c->pen, c->ink, 1.0);
  cairo_set_line_width(cr, dotted ? 1.1 : 1.4);
  cairo_stroke(cr);
  cairo_restore(cr);
}

typedef struct small_key {
  bool wanted;
  const char *word;
} small_key;

static void draw_small_key(const column *c, int which, const char *word, double x, double y) {
  if (which == 0)
    key_no_data(c, x, y);
  else if (which == 1)
    key_coast(c, x, y);
  else
    key_arc(c, x, y, which == 3);
  outline(c, x, y, KEY_W, KEY_H);
  es_pen_line(c->pen, ES_TYPE_LABEL, c->ink, x + 43.0, y + 15.5, ES_LEFT, 132.0, word);
}

/* Only what is on this sheet, two in a row. */
static void draw_small_keys(column *c) {
  const small_key keys[] = {{c->m->field.has_void, "no ground data"},
                            {c->m->field.has_coast, "coast"},
                            {true, "limit of this run"},
                            {c->m->ring_count > 0, "distance rings"}};
  int at = 0;
  double top = c->y + 24.0;
  for (int k = 0; k < 4; k++) {
    if (!keys[k].wanted) continue;
    draw_small_key(c, k, keys[k].word, LEFT + 183.0 * (at % 2), top + 31.0 * (at / 2));
    at++;
  }
  c->y = top + 31.0 * ((at + 1) / 2) - 9.0;
}

/* --- scale and north --------------------------------------------------------------------------------------------- */

/* A bar of 1, 2 or 5 x 10^n, at most 190 px long. */
static double bar_length(double px_per_m, int *leading) {
  double longest = 190.0 / px_per_m, power = pow(10.0, floor(log10(longest)));
  *leading = longest >= 5.0 * power ? 5 : longest >= 2.0 * power ? 2 : 1;
  return *leading * power;
}

/* Joints as tenths of the bar: 1: 0 2 5 10, 2: 0 5 10 20 -> 0 2.5 5 10, 5: 0 10 20 50 -> 0 2 4 10. */
static void draw_bar_pieces(const column *c, const double tenths[4], double px, double y) {
  for (int k = 0; k < 3; k++) {
    double x = LEFT + 0.1 * tenths[k] * px, width = 0.1 * (tenths[k + 1] - tenths[k]) * px;
    fill(c, k % 2 == 0 ? c->ink : c->sheet, x, y, width, 7.0);
  }
  cairo_rectangle(c->pen->cr, LEFT, y, px, 7.0);
  es_pen_ink(c->pen, c->ink, 1.0);
  cairo_set_line_width(c->pen->cr, 1.2);
  cairo_stroke(c->pen->cr);
}

static void draw_bar_labels(const column *c, const double tenths[4], double length_m, double px, double y) {
  bool km = length_m >= 1000.0;
  for (int k = 0; k < 4; k++) {
    char text[32];
    double value = 0.1 * tenths[k] * length_m / (km ? 1000.0 : 1.0);
    snprintf(text, sizeof text, k == 3 ? (km ? "%g\u00a0km" : "%g\u00a0m") : "%g", value);
    double x = LEFT + 0.1 * tenths[k] * px;
    if (k < 3)
      es_pen_line(c->pen, ES_TYPE_LABEL, c->ink, x, y, k == 0 ? ES_LEFT : ES_MIDDLE, 0.0, text);
    else
      es_pen_line(c->pen, ES_TYPE_LABEL, c->ink, x - 8.0, y, ES_LEFT, 0.0, text);
  }
}

static void draw_north(const column *c, double top) {
  cairo_t *cr = c->pen->cr;
  double x = RIGHT - 20.0;
  cairo_move_to(cr, x, top);
  cairo_line_to(cr, x + 8.0, top + 32.0);
  cairo_line_to(cr, x, top + 25.0);
  cairo_line_to(cr, x - 8.0, top + 32.0);
  cairo_close_path(cr);
  es_pen_ink(c->pen, c->ink, 1.0);
  cairo_fill(cr);
  es_pen_line(c->pen, ES_TYPE_SMALL, c->ink, x, top + 50.0, ES_MIDDLE, 0.0, "true N");
}

static void draw_scale(column *c) {
  static const double JOINTS[6][4] = {[1] = {0, 2, 5, 10}, [2] = {0, 2.5, 5, 10}, [5] = {0, 2, 4, 10}};
  int leading;
  double length_m = bar_length(c->m->view.px_per_m, &leading), px = length_m * c->m->view.px_per_m;
  double top = c->y + 28.0;
  draw_bar_labels(c, JOINTS[leading], length_m, px, top + 14.0);
  draw_bar_pieces(c, JOINTS[leading], px, top + 21.0);
  es_pen_line(c->pen, ES_TYPE_SMALL, c->ink2, LEFT, top + 50.0, ES_LEFT, 300.0,
              "true to scale along any line from the beacon");
  draw_north(c, top);
  c->y = top + 50.0;
}

/* --- facts, doubt, foot ------------------------------------------------------------------------------------------ */

static void draw_facts(column *c) {
  const es_sheet *s = c->m->sheet;
  if (s->n_facts == 0 || c->y + 50.0 > BOTTOM) return;
  c->y += 28.0;
  hairline(c, c->y, 1.0, c->rule);
  c->y += 6.0;
  for (size_t k = 0; k < s->n_facts && c->y + 22.0 <= BOTTOM; k++) {
    c->y += 22.0;
    es_pen_line(c->pen, ES_TYPE_LABEL, c->ink2, LEFT, c->y, ES_LEFT, FACT_X - LEFT - 3.0, s->fact_names[k]);
    es_pen_line(c->pen, ES_TYPE_LABEL, c->ink, FACT_X, c->y, ES_LEFT, RIGHT - FACT_X, s->fact_texts[k]);
  }
}

static void draw_how_sure(column *c) {
  const char *text = c->m->sheet->how_sure;
  if (text == NULL) return;
  int lines = es_pen_paragraph(c->pen, ES_TYPE_LABEL, c->ink, LEFT, 0.0, WIDTH, 5, 19.0, false, text);
  if (c->y + 57.0 + 20.0 + 19.0 * (lines - 1) > BOTTOM) return;
  c->y += 28.0;
  hairline(c, c->y, 1.0, c->rule);
  es_pen_line(c->pen, ES_TYPE_HEADING, c->ink, LEFT, c->y + 29.0, ES_LEFT, WIDTH, "How sure");
  es_pen_paragraph(c->pen, ES_TYPE_LABEL, c->ink, LEFT, c->y + 49.0, WIDTH, 5, 19.0, true, text);
}

static void draw_foot(const column *c) {
  const char *text = c->m->sheet->foot;
  const double width = 1270.0;
  if (text != NULL) {
    int lines = es_pen_paragraph(c->pen, ES_TYPE_SMALL, c->ink2, ES_MAP_LEFT_PX, 0.0, width, 2, 16.0, false, text);
    es_pen_paragraph(c->pen, ES_TYPE_SMALL, c->ink2, ES_MAP_LEFT_PX, lines > 1 ? 1188.0 : 1196.0, width, 2, 16.0, true,
                     text);
  }
  es_pen_line(c->pen, (es_type){12.5, true, false, 0.0}, c->ink, RIGHT, 1196.0, ES_RIGHT, 0.0,
              "Prediction, not measurement");
}

void es_map_draw_column(const es_map_parts *m) {
  column c = column_of(m);
  draw_head(&c);
  draw_key(&c);
  draw_small_keys(&c);
  draw_scale(&c);
  draw_facts(&c);
  draw_how_sure(&c);
  draw_foot(&c);
}
