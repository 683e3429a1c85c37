#include "link/chance.h"

#ifdef ES_X86_LEVELS
#include "earshot/x86_level.h"

extern const es_chance_kernel es_chance_v2, es_chance_v3, es_chance_v4;

es_chance es_chance_of(const double *value, const double *per_sigma, double wanted) {
  static const es_chance_kernel *const forms[] = {&es_chance_v2, &es_chance_v3, &es_chance_v4};
  return forms[es_x86_level() - 2]->mean(es_normal_points(), value, per_sigma, wanted);
}
#else
extern const es_chance_kernel es_chance_portable;

es_chance es_chance_of(const double *value, const double *per_sigma, double wanted) {
  return es_chance_portable.mean(es_normal_points(), value, per_sigma, wanted);
}
#endif
