/* pen.h - text on a picture [cairo, pango]: DejaVu in absolute sizes, hinting off, cut with an ellipsis where it must be.
 *
 * Everything is in px at scale 1; the cairo context carries the scale. One pen, one thread.                             */
#ifndef EARSHOT_OUTPUT_PEN_H
#define EARSHOT_OUTPUT_PEN_H

#include <cairo.h>
#include <pango/pangocairo.h>
#include <stdbool.h>

#include "base/status.h"
#include "output/colour.h"

typedef struct es_type {
  double px;
  bool bold, serif;
  double spacing_px; /* between letters */
} es_type;

/* The scale of types. */
#define ES_TYPE_TITLE   ((es_type){30.0, false, true, 0.0})
#define ES_TYPE_LEAD    ((es_type){15.5, false, false, 0.0})
#define ES_TYPE_HEADING ((es_type){14.5, true, false, 0.0})
#define ES_TYPE_LEGEND  ((es_type){15.0, false, false, 0.0})
#define ES_TYPE_VALUE   ((es_type){14.0, false, false, 0.0})
#define ES_TYPE_NUMBER  ((es_type){15.0, true, false, 0.0})
#define ES_TYPE_LABEL   ((es_type){13.0, false, false, 0.0})
#define ES_TYPE_STRONG  ((es_type){13.0, true, false, 0.0})
#define ES_TYPE_SMALL   ((es_type){12.5, false, false, 0.0})
#define ES_TYPE_EYEBROW ((es_type){12.5, true, false, 0.8})
#define ES_TYPE_PLACE   ((es_type){15.0, true, false, 0.0})

typedef struct es_pen {
  cairo_t *cr;
  PangoFontMap *fonts;
  PangoContext *context;
  PangoLayout *layout;
  es_rgb paper; /* of the edges round text over colour */
} es_pen;

int32_t es_pen_init(es_pen *pen, cairo_t *cr, es_rgb paper, es_error *err);
void es_pen_fini(es_pen *pen);

void es_pen_ink(const es_pen *pen, es_rgb colour, double strength); /* source of the next stroke or fill */

double es_pen_width(const es_pen *pen, es_type type, const char *text);

typedef enum es_align { ES_LEFT, ES_MIDDLE, ES_RIGHT } es_align;
/* One line with its baseline at y; cut with an ellipsis beyond width (0: never). Gives the width drawn. */
double es_pen_line(const es_pen *pen, es_type type, es_rgb ink, double x, double y, es_align align, double width,
                   const char *text);
/* The same with a paper-coloured edge, turned by `turn` radians about (x, y): for text over colour. */
double es_pen_haloed(const es_pen *pen, es_type type, es_rgb ink, double x, double y, es_align align, double width,
                     double turn, const char *text);
/* Lines of at most `width`, at most max_lines of them, the first baseline at y, then every `lead` px. Gives the number of
 * lines; draws nothing when `draw` is false. */
int es_pen_paragraph(const es_pen *pen, es_type type, es_rgb ink, double x, double y, double width, int max_lines,
                     double lead, bool draw, const char *text);

#endif
