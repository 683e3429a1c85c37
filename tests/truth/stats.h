/* stats.h - mean, root mean square and median of absolute error of chosen errors. */
#ifndef EARSHOT_TRUTH_STATS_H
#define EARSHOT_TRUTH_STATS_H

#include <stddef.h>

typedef struct truth_stats {
  size_t n;
  double mean_db, rms_db, median_abs_db;
} truth_stats;

/* Of error[0..n): NaN is passed over. Uses `room` (n doubles) as scratch. All NaN when there is nothing. */
truth_stats truth_stats_of(const double *error, size_t n, double *room);
/* Smallest value that at least the share of the sorted n values does not exceed, linear between ranks. */
double truth_quantile(const double *sorted, size_t n, double share);
void truth_sort(double *values, size_t n);

#endif
