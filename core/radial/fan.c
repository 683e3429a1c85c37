#include "radial/fan.h"

#include <math.h>
#include <stdlib.h>

#include "earshot/x86_level.h"
#include "radial/fan_walk.h"

enum { EAST, WEST, NORTH, SOUTH, WEDGES };

static long longest(long a, long b) { return a > b ? a : b; }

es_fan es_fan_make(const es_frame *f) {
  es_fan fan = {f, (int)floor((f->beacon_x - f->x0) / f->cell_m), (int)floor((f->y0 - f->beacon_y) / f->cell_m), 0};
  long sides = longest(longest(fan.origin_col, f->cols - 1 - fan.origin_col),
                       longest(fan.origin_row, f->rows - 1 - fan.origin_row));
  double radius = floor(f->radius_m / f->cell_m);
  fan.reach = radius < (double)sides ? (long)radius : sides;
  return fan;
}

size_t es_fan_count(const es_fan *fan) { return fan->reach > 0 ? (size_t)(WEDGES * (2 * fan->reach + 1)) : 0; }

/* Column and row offsets (east, north) of major r and minor j in a wedge. */
static void offsets(int wedge, long r, long j, long *east, long *north) {
  *east = wedge == EAST ? r : wedge == WEST ? -r : j;
  *north = wedge == NORTH ? r : wedge == SOUTH ? -r : j;
}

/* The cell at an offset; false when it lies outside the frame or the radius. */
static inline bool cell_at(const es_fan *fan, long east, long north, es_fan_cell *out) {
  const es_frame *f = fan->frame;
  long col = fan->origin_col + east, row = fan->origin_row - north;
  out->dist_m = sqrt((double)(east * east + north * north)) * f->cell_m;
  out->row = (uint32_t)row;
  out->col = (uint32_t)col;
  return ((unsigned long)col < (unsigned long)f->cols) & ((unsigned long)row < (unsigned long)f->rows) &
         (out->dist_m <= f->radius_m);
}

/* A ray's minor coordinate, ring by ring, in whole numbers: 2 k r + R = 2 R j + rest with 0 <= rest < 2 R, so that j is the
 * nearest cell and 2 e = R - rest. As |k| <= R, a ring more moves j by one at most. */
typedef struct step {
  long k2, reach2, r, j, rest;
  long side; /* |j| - side < r: in the wedge */
} step;

static step step_to(const es_fan *fan, const es_fan_ray *ray, long r) {
  step s = {.k2 = 2 * ray->k, .reach2 = 2 * fan->reach, .r = r, .side = ray->wedge == EAST || ray->wedge == WEST};
  long sum = s.k2 * r + fan->reach;
  s.j = sum / s.reach2 - (sum % s.reach2 < 0); /* rounded down */
  s.rest = sum - s.j * s.reach2;
  return s;
}

/* The ray owns the cell next to it. */
static inline bool owned(const step *s) {
  long e2 = s->reach2 / 2 - s->rest;
  return (-s->r < e2) & (e2 <= s->r) & (labs(s->j) - s->side < s->r);
}

es_fan_ray es_fan_ray_get(const es_fan *fan, size_t index) {
  long per_wedge = 2 * fan->reach + 1;
  es_fan_ray ray = {.wedge = (int)((long)index / per_wedge), .k = (long)index % per_wedge - fan->reach};
  double minor = (double)ray.k / (double)fan->reach, length = hypot(1.0, minor);
  double major_u = 1.0 / length, minor_u = minor / length;
  ray.ux = ray.wedge == EAST ? major_u : ray.wedge == WEST ? -major_u : minor_u;
  ray.uy = ray.wedge == NORTH ? major_u : ray.wedge == SOUTH ? -major_u : minor_u;
  ray.ring_m = fan->frame->cell_m * length;
  for (long r = fan->reach; r > 0 && ray.rings == 0; r--) {
    step s = step_to(fan, &ray, r);
    long east, north;
    es_fan_cell cell;
    offsets(ray.wedge, r, s.j, &east, &north);
    if (owned(&s) && cell_at(fan, east, north, &cell)) ray.rings = r;
  }
  return ray;
}

ES_KERNEL_FORMS(es_fan_kernel, es_fan)

size_t es_fan_cells(const es_fan *fan, const es_fan_ray *ray, es_fan_cell *out) {
  const es_frame *f = fan->frame;
  long east_j, north_j, east_r, north_r;
  offsets(ray->wedge, 1, 0, &east_r, &north_r);
  offsets(ray->wedge, 0, 1, &east_j, &north_j);
  es_fan_walk walk = {.k2 = 2.0 * (double)ray->k,
                      .reach = (double)fan->reach,
                      .side = ray->wedge == EAST || ray->wedge == WEST ? 1.0 : 0.0,
                      .col = fan->origin_col,
                      .row = fan->origin_row,
                      .col_r = (double)east_r,
                      .col_j = (double)east_j,
                      .row_r = -(double)north_r,
                      .row_j = -(double)north_j,
                      .cols = f->cols,
                      .rows = f->rows,
                      .cell_m = f->cell_m,
                      .radius_m = f->radius_m,
                      .rings = ray->rings};
  return best()->cells(&walk, out);
}
