#include "model/combine.h"

#include <math.h>

/* The smaller loss is taken out before anything is exponentiated: losses reach thousands of dB. */
static double power_sum(double a_db, double b_db, double exponent, double back) {
  if (isnan(a_db)) return b_db;
  if (isnan(b_db)) return a_db;
  double low = fmin(a_db, b_db), gap = fabs(a_db - b_db);
  return low - back * log10(1.0 + pow(10.0, -exponent * gap));
}

double es_combine_correlated(double a_db, double b_db) { return power_sum(a_db, b_db, 0.1, 10.0); }

double es_combine_uncorrelated(double a_db, double b_db) { return power_sum(a_db, b_db, 0.2, 5.0); }
