#include "stats.h"

#include <math.h>
#include <stdlib.h>

static int rising(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

void truth_sort(double *values, size_t n) { qsort(values, n, sizeof *values, rising); }

double truth_quantile(const double *sorted, size_t n, double share) {
  if (n == 0) return NAN;
  double at = share * (double)(n - 1);
  size_t low = (size_t)at;
  if (low + 1 >= n) return sorted[n - 1];
  return sorted[low] + (at - (double)low) * (sorted[low + 1] - sorted[low]);
}

truth_stats truth_stats_of(const double *error, size_t n, double *room) {
  truth_stats s = {0, NAN, NAN, NAN};
  double sum = 0.0, squares = 0.0;
  for (size_t i = 0; i < n; i++) {
    if (isnan(error[i])) continue;
    room[s.n++] = fabs(error[i]);
    sum += error[i];
    squares += error[i] * error[i];
  }
  if (s.n == 0) return s;
  s.mean_db = sum / (double)s.n;
  s.rms_db = sqrt(squares / (double)s.n);
  truth_sort(room, s.n);
  s.median_abs_db = truth_quantile(room, s.n, 0.5);
  return s;
}
