#include "model/combine.h"

#include "earshot/x86_level.h"

ES_KERNEL_FORMS(es_combine, es_combine)

void es_combine_ways(const es_ways_db *ways, size_t n, double *out) { best()->ways(ways, n, out); }
