/* fan_walk.h - a ray of the fan as its kernel takes it. [private to core/radial] */
#ifndef EARSHOT_RADIAL_FAN_WALK_H
#define EARSHOT_RADIAL_FAN_WALK_H

#include "radial/fan.h"

typedef struct es_fan_walk {
  double k2, reach, side;                      /* 2 k; R; |j| - side < r in the wedge */
  double col, row, col_r, col_j, row_r, row_j; /* column of ring r and minor j: col + r col_r + j col_j; row alike */
  double cols, rows, cell_m, radius_m;         /* of the frame */
  long rings;
} es_fan_walk;

/* fan_kernel.c as compiled for one set of instructions. out has room for `rings`. */
typedef struct es_fan_kernel {
  size_t (*cells)(const es_fan_walk *walk, es_fan_cell *out);
} es_fan_kernel;

#endif
