/* pattern_plot.h - an antenna's gain going round, on a ring with north up, and going up, beside it. */
#ifndef EARSHOT_OUTPUT_PATTERN_PLOT_H
#define EARSHOT_OUTPUT_PATTERN_PLOT_H

#include "base/status.h"
#include "station/antenna.h"

typedef struct es_pattern_words {
  const char *eyebrow, *title, *lead, *foot; /* UTF-8 */
  int scale;                                 /* 1: 1600 x 900 px */
} es_pattern_words;

/* Draws and writes the PNG. The named circles stand 10 dB apart and end at the next ten above the largest gain. */
int32_t es_pattern_plot_write(const char *path, const es_antenna *antenna, double freq_ghz,
                              const es_pattern_words *words, es_error *err);

#endif
