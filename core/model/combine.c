#include "model/combine.h"

#include <math.h>

#include "earshot/maths.h"

/* The smaller loss is taken out before anything is exponentiated: losses reach thousands of dB. */
static double power_sum(double a_db, double b_db, double exponent, double back) {
  if (isnan(a_db)) return b_db;
  if (isnan(b_db)) return a_db;
  double low = a_db < b_db ? a_db : b_db, decades = exponent * fabs(a_db - b_db);
  return decades > 17.0 ? low : low - back * es_log10(1.0 + es_exp10(-decades)); /* beyond, 1 + x is 1 */
}

double es_combine_correlated(double a_db, double b_db) { return power_sum(a_db, b_db, 0.1, 10.0); }

double es_combine_uncorrelated(double a_db, double b_db) { return power_sum(a_db, b_db, 0.2, 5.0); }
