/* sampling.h - heights between pixels, many at once: the one part of this stage that is compiled for several sets of
 * instructions. The arithmetic is the same in all.                                                                       */
#ifndef EARSHOT_GROUND_SAMPLING_H
#define EARSHOT_GROUND_SAMPLING_H

#include <stddef.h>
#include <stdint.h>

/* Values of the pixels of a window, row after row, `pitch` values from one row to the next. */
typedef struct es_pixels {
  const float *value;
  int cols, rows;
  size_t pitch;
} es_pixels;

/* A coarser grid of bytes over positions: cell (0, 0) begins at (col, row), a cell is `across` by `down`. */
typedef struct es_byte_cells {
  const uint8_t *value;
  double col, row;
  int across, down, cols, rows;
  uint8_t outside;
} es_byte_cells;

typedef struct es_sampling {
  /* Bilinear between pixel centres; in the outer half of an edge pixel its own value holds. NaN outside the window and
   * where any of the neighbours (two or four) is NaN. Positions may be NaN. Cost: 3 ns a position, 2 ns where all
   * columns or all rows are pixel centres. Returns how many are NaN. */
  size_t (*heights)(const es_pixels *pixels, const double *col, const double *row, size_t n, double *value);
  /* The cell a position is in. Cost: 1 ns a position. */
  void (*bytes)(const es_byte_cells *cells, const double *col, const double *row, size_t n, uint8_t *value);
} es_sampling;

/* The best this processor can run. [any thread] */
const es_sampling *es_sampling_best(void);

#endif
