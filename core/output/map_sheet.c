#include "output/map_sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "output/map_parts.h"
#include "output/png_file.h"

static const int SHEET_WIDTH_PX = 1600, SHEET_HEIGHT_PX = 1212;
static const uint32_t PIXELS_PER_M = 5776; /* 1600 px print 277 mm wide */
static const double FRAME_MARGIN_PX = 5.0; /* no name comes nearer to the map's frame */

/* Near to far; all else equal by bearing, name and value, so that the input's order never shows. */
static int nearer_first(const void *a, const void *b) {
  const es_map_mark *x = a, *y = b;
  if (x->dist_m != y->dist_m) return x->dist_m < y->dist_m ? -1 : 1;
  if (x->azimuth != y->azimuth) return x->azimuth < y->azimuth ? -1 : 1;
  int names = strcmp(x->name, y->name);
  if (names != 0) return names;
  double u = isnan(x->value) ? -INFINITY : x->value, v = isnan(y->value) ? -INFINITY : y->value;
  return u < v ? -1 : u > v;
}

static int32_t take_marks(es_map_parts *m, const es_map_mark *marks, size_t n, es_error *err) {
  m->marks = calloc(n + 1, sizeof *m->marks);
  if (m->marks == NULL) return es_fail(err, ES_E_MEMORY, "%zu listeners: out of memory", n);
  if (n > 0) memcpy(m->marks, marks, n * sizeof *marks);
  m->n_marks = n;
  qsort(m->marks, n, sizeof *m->marks, nearer_first);
  for (size_t i = 0; i < n; i++) {
    int class = es_map_class(m->sheet->kind, m->marks[i].value);
    if (class < 0)
      m->n_unanswered++;
    else
      m->counts[class]++;
  }
  return ES_OK;
}

static int32_t make_parts(es_map_parts *m, const es_frame *frame, const float *values, const es_map_ground *ground,
                          const es_map_mark *marks, size_t n_marks, es_error *err) {
  int32_t status = es_palette_load(&m->palette, err);
  if (status != ES_OK) return status;
  es_map_paints(&m->palette, m->sheet->kind, m->paints);
  m->view = es_view_of(frame);
  status = take_marks(m, marks, n_marks, err);
  if (status != ES_OK) return status;
  es_box limits = {ES_MAP_LEFT_PX + FRAME_MARGIN_PX, ES_MAP_TOP_PX + FRAME_MARGIN_PX, ES_MAP_RIGHT_PX - FRAME_MARGIN_PX,
                   ES_MAP_BOTTOM_PX - FRAME_MARGIN_PX};
  m->room = es_label_room_create(limits);
  if (m->room == NULL) return es_fail(err, ES_E_MEMORY, "map sheet: out of memory");
  return es_field_map_make(frame, &m->view, values, ground, m->sheet->kind, m->sheet->scale, &m->field, err);
}

static void free_parts(es_map_parts *m) {
  es_field_map_fini(&m->field);
  es_label_room_destroy(m->room);
  free(m->marks);
}

/* --- drawing ----------------------------------------------------------------------------------------------------- */

static int32_t draw_map(es_map_parts *m, es_error *err) {
  if (!es_map_take_marks(m) || !es_map_place_ring_labels(m))
    return es_fail(err, ES_E_MEMORY, "map sheet: out of memory");
  es_map_draw_graticule(m);
  es_map_draw_rings(m);
  es_map_draw_bearing_ring(m);
  es_map_draw_ring_labels(m);
  int32_t status = es_map_draw_marks(m, err);
  if (status == ES_OK) es_map_draw_square_names(m);
  es_map_draw_frame(m);
  return status;
}

static int32_t draw_sheet(es_map_parts *m, cairo_surface_t *surface, es_error *err) {
  cairo_t *cr = cairo_create(surface);
  int32_t status = es_pen_init(&m->pen, cr, m->palette.paper[ES_PAPER_SHEET], err);
  if (status == ES_OK) {
    es_pen_ink(&m->pen, m->palette.paper[ES_PAPER_SHEET], 1.0);
    cairo_paint(cr);
    es_map_colour(m, surface);
    cairo_scale(cr, m->sheet->scale, m->sheet->scale);
    status = draw_map(m, err);
    if (status == ES_OK) es_map_draw_column(m);
    if (status == ES_OK && cairo_status(cr) != CAIRO_STATUS_SUCCESS)
      status = es_fail(err, ES_E_INTERNAL, "map sheet: %s", cairo_status_to_string(cairo_status(cr)));
  }
  es_pen_fini(&m->pen);
  cairo_destroy(cr);
  return status;
}

/* --- text chunks: all that is written, in full ------------------------------------------------------------------- */

enum { OWN_TEXTS = 8 };

typedef struct chunks {
  const char **keys, **texts;
  char *facts;
  size_t n;
} chunks;

static void add_chunk(chunks *c, const char *key, const char *text) {
  if (text == NULL || text[0] == '\0') return;
  c->keys[c->n] = key;
  c->texts[c->n++] = text;
}

static char *join_facts(const es_sheet *s) {
  char *all = strdup("");
  for (size_t k = 0; all != NULL && k < s->n_facts; k++) {
    char *longer = es_format("%s%s%s%s%s", all, k > 0 ? "\n" : "", s->fact_names[k],
                             s->fact_names[k][0] != '\0' ? ": " : "", s->fact_texts[k]);
    free(all);
    all = longer;
  }
  return all;
}

static bool gather_chunks(const es_sheet *s, chunks *c) {
  c->keys = calloc(OWN_TEXTS + s->n_text, sizeof *c->keys);
  c->texts = calloc(OWN_TEXTS + s->n_text, sizeof *c->texts);
  c->facts = join_facts(s);
  if (c->keys == NULL || c->texts == NULL || c->facts == NULL) return false;
  add_chunk(c, "Title", s->title);
  add_chunk(c, "Subject", s->eyebrow);
  add_chunk(c, "Description", s->lead);
  add_chunk(c, "Scenario", s->second);
  add_chunk(c, "Key", s->colours_note);
  add_chunk(c, "Facts", c->facts);
  add_chunk(c, "How sure", s->how_sure);
  add_chunk(c, "Source", s->foot);
  for (size_t k = 0; k < s->n_text; k++) add_chunk(c, s->text_keys[k], s->text_values[k]);
  return true;
}

static void free_chunks(chunks *c) {
  free(c->keys);
  free(c->texts);
  free(c->facts);
}

static int32_t write_picture(const char *path, cairo_surface_t *surface, const es_sheet *s, es_error *err) {
  cairo_surface_flush(surface);
  chunks c = {0};
  int32_t status;
  if (gather_chunks(s, &c)) {
    es_picture picture = {cairo_image_surface_get_data(surface),
                          SHEET_WIDTH_PX * s->scale,
                          SHEET_HEIGHT_PX * s->scale,
                          (size_t)cairo_image_surface_get_stride(surface),
                          PIXELS_PER_M * (uint32_t)s->scale,
                          c.keys,
                          c.texts,
                          c.n};
    status = es_png_write(path, &picture, err);
  } else {
    status = es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  }
  free_chunks(&c);
  return status;
}

static int32_t draw_and_write(const char *path, es_map_parts *m, es_error *err) {
  int scale = m->sheet->scale;
  cairo_surface_t *surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, SHEET_WIDTH_PX * scale, SHEET_HEIGHT_PX * scale);
  int32_t status;
  if (cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS) {
    status = draw_sheet(m, surface, err);
    if (status == ES_OK) status = write_picture(path, surface, m->sheet, err);
  } else {
    status = es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  }
  cairo_surface_destroy(surface);
  return status;
}

int32_t es_map_sheet_write(const char *path, const es_frame *frame, const float *values, const es_map_ground *ground,
                           const es_map_mark *marks, size_t n_marks, const es_sheet *sheet, es_error *err) {
  if (sheet->scale < 1 || sheet->scale > ES_SHEET_SCALE_MAX)
    return es_fail(err, ES_E_RANGE, "%s: scale=%d, want 1..%d", path, sheet->scale, ES_SHEET_SCALE_MAX);
  es_map_parts m = {.sheet = sheet};
  int32_t status = make_parts(&m, frame, values, ground, marks, n_marks, err);
  if (status == ES_OK) status = draw_and_write(path, &m, err);
  free_parts(&m);
  return status;
}
