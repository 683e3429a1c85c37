#include "base/processor.h"

#ifdef ES_X86_LEVELS
int es_x86_level(void) {
  if (ES_X86_LEVELS >= 4 && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
      __builtin_cpu_supports("avx512cd") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
    return 4;
  if (ES_X86_LEVELS >= 3 && __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
      __builtin_cpu_supports("bmi2"))
    return 3;
  return 2;
}
#else
int es_x86_level(void) { return 0; }
#endif
