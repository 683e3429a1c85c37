#include "radial/kernel.h"

#ifdef ES_X86_LEVELS
extern const es_kernel es_kernel_v2, es_kernel_v3, es_kernel_v4;

const es_kernel *es_kernel_best(void) {
  if (ES_X86_LEVELS >= 4 && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
      __builtin_cpu_supports("avx512cd") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
    return &es_kernel_v4;
  if (ES_X86_LEVELS >= 3 && __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
      __builtin_cpu_supports("bmi2"))
    return &es_kernel_v3;
  return &es_kernel_v2;
}
#else
extern const es_kernel es_kernel_portable;

const es_kernel *es_kernel_best(void) { return &es_kernel_portable; }
#endif
