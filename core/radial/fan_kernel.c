/* fan_kernel.c - which cells a ray owns, ring by ring: fan.h. All in doubles, which hold these whole numbers exactly, and without
 * branches: half of all cells that are asked about belong to another ray, which no processor can guess. */
#include <math.h>

#include "radial/fan_walk.h"

#ifndef ES_FAN
#define ES_FAN es_fan_portable
#endif

enum { BLOCK = 256 };

typedef struct rings {
  double row[BLOCK], col[BLOCK], dist_m[BLOCK];
} rings;

/* Row, column and distance of the cell next to the ray on n rings from first on; row -1 where it is not the ray's, or not in
 * the map. With 2 k r + R = 2 R j + rest, 0 <= rest < 2 R, the nearest cell is j and 2 e = R - rest. A whole quotient may come
 * out a little low: then rest is 2 R and not 0, the ray runs half way between two cells, and neither is its own. */
static void ask_rings(const es_fan_walk *w, double first, int n, rings *out) {
  double reach = w->reach, reach2 = 2.0 * reach, per_reach2 = 1.0 / reach2;
  for (int i = 0; i < n; i++) {
    double r = first + i, sum = w->k2 * r + reach, j = floor(sum * per_reach2), rest = sum - j * reach2;
    double e2 = reach - rest, col = w->col + r * w->col_r + j * w->col_j, row = w->row + r * w->row_r + j * w->row_j;
    double dist = sqrt(r * r + j * j) * w->cell_m;
    int own = (-r < e2) & (e2 <= r) & (fabs(j) - w->side < r);
    int in = (col >= 0.0) & (col < w->cols) & (row >= 0.0) & (row < w->rows) & (dist <= w->radius_m);
    out->row[i] = own & in ? row : -1.0;
    out->col[i] = col;
    out->dist_m[i] = dist;
  }
}

static size_t cells(const es_fan_walk *w, es_fan_cell *out) {
  rings asked;
  size_t n = 0;
  for (long r = 1; r <= w->rings; r += BLOCK) {
    int some = w->rings - r + 1 < BLOCK ? (int)(w->rings - r + 1) : BLOCK;
    es_fan_walk local = *w; /* nobody else writes to it */
    ask_rings(&local, (double)r, some, &asked);
    for (int i = 0; i < some; i++) {
      out[n] = (es_fan_cell){(uint32_t)(int32_t)asked.row[i], (uint32_t)(int32_t)asked.col[i], asked.dist_m[i]};
      n += asked.row[i] >= 0.0;
    }
  }
  return n;
}

const es_fan_kernel ES_FAN = {cells};
