#include "model/combine.h"

#include "earshot/x86_level.h"
#include "model/power_sum.h"

double es_combine_correlated(double a_db, double b_db) { return es_power_sum_correlated(a_db, b_db); }

double es_combine_uncorrelated(double a_db, double b_db) { return es_power_sum_uncorrelated(a_db, b_db); }

ES_KERNEL_FORMS(es_combine, es_combine)

void es_combine_ways(const es_ways_db *ways, size_t n, double *out) { best()->ways(ways, n, out); }
