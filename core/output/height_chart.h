/* height_chart.h - what the height of the beacon's antenna buys: two charts, each as PNG and as SVG [cairo].
 *
 *   counts   listeners that hear it by some modes, and the area covered, against height
 *   SNR      a small box a listener, sorted by the caller: median, 10 to 90 % band, what modes need, where more height stops
 *            to matter
 *
 * 1096 px wide. Same input, same bytes. */
#ifndef EARSHOT_OUTPUT_HEIGHT_CHART_H
#define EARSHOT_OUTPUT_HEIGHT_CHART_H

#include <stddef.h>

#include "base/status.h"
#include "output/map_class.h"

/* What a mode needs: a dotted line through every box. */
typedef struct es_height_level {
  const char *name;
  double snr_db;
} es_height_level;

/* One listener; NaN where there is no answer. */
typedef struct es_height_box {
  const char *name, *gain; /* "+17 dB to 22 m" */
  es_mark_shape shape;
  const double *low_db, *median_db, *high_db; /* [n]; low and high may be NaN throughout */
  size_t stop;                                /* index of its open circle; n: none */
} es_height_box;

/* Listeners that hear it by one mode. */
typedef struct es_height_line {
  const char *name;
  const double *listeners; /* [n] */
} es_height_line;

/* Strings are borrowed UTF-8; the foot and what was left out may be NULL. */
typedef struct es_height_chart {
  const char *eyebrow, *title, *lead, *foot;
  const double *height_m; /* [n], rising, at least two */
  size_t n;
  size_t proposed; /* index of the dashed line; n: none */
  const es_height_level *levels;
  size_t n_levels;
  const es_height_box *boxes; /* the first twelve are drawn */
  size_t n_boxes;
  const char *left_out; /* "and 14 who gain less than 1 dB" */
  const es_height_line *lines;
  size_t n_lines;
  double n_listeners;     /* top of the counts */
  const double *area_km2; /* [n]; NULL: no map */
} es_height_chart;

enum { ES_HEIGHT_BOXES = 12 };

/* Both files, or none of the two that fails. [setup] */
int32_t es_height_counts_write(const char *png, const char *svg, const es_height_chart *chart, es_error *err);
int32_t es_height_snr_write(const char *png, const char *svg, const es_height_chart *chart, es_error *err);

#endif
