#include "radial/fan.h"

#include <math.h>
#include <stdlib.h>

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

/* Index of the cell at an offset, or false when it lies outside the frame or the radius. */
static bool cell_at(const es_fan *fan, long east, long north, es_fan_cell *out) {
  const es_frame *f = fan->frame;
  long col = fan->origin_col + east, row = fan->origin_row - north;
  out->dist_m = sqrt((double)(east * east + north * north)) * f->cell_m;
  if (col < 0 || row < 0 || col >= f->cols || row >= f->rows || out->dist_m > f->radius_m) return false;
  out->index = (size_t)row * (size_t)f->cols + (size_t)col;
  return true;
}

/* Minor coordinate of the cell next to the ray on ring r, when the ray owns it. */
static bool owned(const es_fan *fan, const es_fan_ray *ray, long r, long *j) {
  double y = (double)ray->k * (double)r / (double)fan->reach + 0.5;
  *j = (long)y - (y < 0.0 && y != (double)(long)y); /* rounded down */
  long e2 = 2 * (*j * fan->reach - ray->k * r);
  if (!(-r < e2 && e2 <= r)) return false;
  long side = labs(*j);
  return ray->wedge == EAST || ray->wedge == WEST ? side <= r : side < r;
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
    long j, east, north;
    es_fan_cell cell;
    if (!owned(fan, &ray, r, &j)) continue;
    offsets(ray.wedge, r, j, &east, &north);
    if (cell_at(fan, east, north, &cell)) ray.rings = r;
  }
  return ray;
}

size_t es_fan_cells(const es_fan *fan, const es_fan_ray *ray, es_fan_cell *out) {
  size_t n = 0;
  for (long r = 1; r <= ray->rings; r++) {
    long j, east, north;
    if (!owned(fan, ray, r, &j)) continue;
    offsets(ray->wedge, r, j, &east, &north);
    if (cell_at(fan, east, north, &out[n])) n++;
  }
  return n;
}
