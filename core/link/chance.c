#include "link/chance.h"

#include "earshot/x86_level.h"

ES_KERNEL_FORMS(es_chance_kernel, es_chance)

es_chance es_chance_of(const double *value, const double *per_sigma, double wanted) {
  return best()->mean(es_normal_points(), value, per_sigma, wanted);
}
