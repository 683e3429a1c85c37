/* fan.h - the fan of radials that serves a map: every cell lies within half a cell of the radial that owns it.
 *
 * The beacon stands at the centre of cell (0, 0). Four wedges by major axis (east, west, north, south). With R the farthest
 * cell's distance in cells, a wedge has one radial for each whole k from -R to R: at major coordinate r its minor coordinate
 * is y = k r / R. Cell (r, j) belongs to k = j R / r rounded: with e = j R - k r the radial owns it iff -r < 2 e <= r, in
 * whole numbers, so every cell has exactly one owner and threads need no locks. North and south wedges take |j| < r, east
 * and west |j| <= r.
 *
 *        minor j                        k = R
 *          ^                     . '                 The radial crosses column r at y; the nearest cell of that
 *          |             . '   [j]                   column is at most half a cell beside it, and at the rim (r = R)
 *          |     . '       y .  |                    none at all.
 *          o-----------------------------> major r
 */
#ifndef EARSHOT_RADIAL_FAN_H
#define EARSHOT_RADIAL_FAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "place/frame.h"

typedef struct es_fan {
  const es_frame *frame;
  int origin_col, origin_row; /* the beacon's cell */
  long reach;                 /* R */
} es_fan;

typedef struct es_fan_ray {
  double ux, uy; /* unit direction in the plane: x east, y north */
  double ring_m; /* length along the ray from one ring to the next */
  long rings;    /* owned cells lie on rings 1..rings; 0: none */
  int wedge;
  long k;
} es_fan_ray;

typedef struct es_fan_cell {
  uint32_t row, col;
  double dist_m; /* of its centre from the beacon's cell centre, in the plane */
} es_fan_cell;

/* Its place in an array of rows that begin `pitch` values apart. */
static inline size_t es_fan_at(const es_fan_cell *cell, size_t pitch) { return cell->row * pitch + cell->col; }

es_fan es_fan_make(const es_frame *frame);
size_t es_fan_count(const es_fan *fan);
es_fan_ray es_fan_ray_get(const es_fan *fan, size_t index);
/* Cells owned by a ray, from near to far; out has room for ray->rings. Returns how many. Cost: 1 ns a ring. */
size_t es_fan_cells(const es_fan *fan, const es_fan_ray *ray, es_fan_cell *out);

#endif
