/* earshot/x86_level.h - which of a kernel's forms this processor runs: the highest of the x86-64 levels 2, 3 and 4 of the psABI
 * that it has and that was compiled for (ES_X86_LEVELS). Other processors have one form of each kernel and do not ask.
 * [any thread] */
#ifndef EARSHOT_X86_LEVEL_H
#define EARSHOT_X86_LEVEL_H

static inline int es_x86_level(void) {
  if (ES_X86_LEVELS >= 4 && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
      __builtin_cpu_supports("avx512cd") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
    return 4;
  if (ES_X86_LEVELS >= 3 && __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
      __builtin_cpu_supports("bmi2"))
    return 3;
  return 2;
}

#endif
