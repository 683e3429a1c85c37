/* x86_level.h - which of a kernel's forms this processor runs: 2, 3 or 4, the levels of the x86-64 psABI. ES_X86_LEVELS is the
 * highest that was compiled for. */
#ifndef EARSHOT_PLUGINS_X86_LEVEL_H
#define EARSHOT_PLUGINS_X86_LEVEL_H

static inline int x86_level(void) {
  if (ES_X86_LEVELS >= 4 && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
      __builtin_cpu_supports("avx512cd") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
    return 4;
  if (ES_X86_LEVELS >= 3 && __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
      __builtin_cpu_supports("bmi2"))
    return 3;
  return 2;
}

#endif
