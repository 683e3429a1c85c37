#include "radial/kernel.h"

#ifdef ES_X86_LEVELS
#include "earshot/x86_level.h"

extern const es_kernel es_kernel_v2, es_kernel_v3, es_kernel_v4;

const es_kernel *es_kernel_best(void) {
  static const es_kernel *const forms[] = {&es_kernel_v2, &es_kernel_v3, &es_kernel_v4};
  return forms[es_x86_level() - 2];
}
#else
extern const es_kernel es_kernel_portable;

const es_kernel *es_kernel_best(void) { return &es_kernel_portable; }
#endif
