#include "radial/hull.h"

#include <math.h>

void es_hull_push(es_hull_stack *hull, double x, double y, size_t at) {
  size_t n = hull->n;
  while (n > 1 && y - hull->y[n - 1] >= hull->slope[n - 1] * (x - hull->x[n - 1])) n--;
  hull->x[n] = x;
  hull->y[n] = y;
  hull->at[n] = at;
  hull->slope[n] = n == 0 ? INFINITY : (y - hull->y[n - 1]) / (x - hull->x[n - 1]);
  hull->n = n + 1;
}

/* Largest t for which `beyond` is false; it is false at 0 and, once true, stays true. */
size_t es_hull_tangent(const es_hull_stack *hull, double x, double y) {
  size_t low = 0, high = hull->n;
  while (high - low > 1) {
    size_t t = low + (high - low) / 2;
    if (y - hull->y[t] > hull->slope[t] * (x - hull->x[t]))
      high = t;
    else
      low = t;
  }
  return low;
}

size_t es_hull_support(const es_hull_stack *hull, double slope) {
  size_t low = 0, high = hull->n;
  while (high - low > 1) {
    size_t t = low + (high - low) / 2;
    if (hull->slope[t] > slope)
      low = t;
    else
      high = t;
  }
  return low;
}
