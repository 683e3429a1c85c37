/* earshot/x86_level.h - which of a kernel's forms this processor runs: the highest of the x86-64 levels 2, 3 and 4 of the psABI
 * that it has and that was compiled for (ES_X86_LEVELS). Other processors have one form of each kernel. [any thread]
 *
 *   ES_KERNEL_FORMS(type, prefix)   of what es_add_kernel(... prefix) compiled, defines: static const type *best(void) */
#ifndef EARSHOT_X86_LEVEL_H
#define EARSHOT_X86_LEVEL_H

#ifdef ES_X86_LEVELS
static inline int es_x86_level(void) {
  if (ES_X86_LEVELS >= 4 && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") &&
      __builtin_cpu_supports("avx512cd") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
    return 4;
  if (ES_X86_LEVELS >= 3 && __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") &&
      __builtin_cpu_supports("bmi2"))
    return 3;
  return 2;
}

#define ES_KERNEL_FORMS(type, prefix)                                                                                  \
  extern const type prefix##_v2, prefix##_v3, prefix##_v4;                                                             \
  static const type *best(void) {                                                                                      \
    static const type *const forms[] = {&prefix##_v2, &prefix##_v3, &prefix##_v4};                                     \
    return forms[es_x86_level() - 2];                                                                                  \
  }
#else
#define ES_KERNEL_FORMS(type, prefix)                                                                                  \
  extern const type prefix##_portable;                                                                                 \
  static const type *best(void) { return &prefix##_portable; }
#endif

#endif
