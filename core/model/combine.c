#include "model/combine.h"

#include "model/power_sum.h"

double es_combine_correlated(double a_db, double b_db) { return es_power_sum_correlated(a_db, b_db); }

double es_combine_uncorrelated(double a_db, double b_db) { return es_power_sum_uncorrelated(a_db, b_db); }

#ifdef ES_X86_LEVELS
#include "earshot/x86_level.h"

extern const es_combine es_combine_v2, es_combine_v3, es_combine_v4;

void es_combine_ways(const es_ways_db *ways, size_t n, double *out) {
  static const es_combine *const forms[] = {&es_combine_v2, &es_combine_v3, &es_combine_v4};
  forms[es_x86_level() - 2]->ways(ways, n, out);
}
#else
extern const es_combine es_combine_portable;

void es_combine_ways(const es_ways_db *ways, size_t n, double *out) { es_combine_portable.ways(ways, n, out); }
#endif
