#include "ground/sampling.h"

#ifdef ES_X86_LEVELS
#include "earshot/x86_level.h"

extern const es_sampling es_sampling_v2, es_sampling_v3, es_sampling_v4;

const es_sampling *es_sampling_best(void) {
  static const es_sampling *const forms[] = {&es_sampling_v2, &es_sampling_v3, &es_sampling_v4};
  return forms[es_x86_level() - 2];
}
#else
extern const es_sampling es_sampling_portable;

const es_sampling *es_sampling_best(void) { return &es_sampling_portable; }
#endif
