#include "clear_curve.h"

#ifdef ES_X86_LEVELS
#include "earshot/x86_level.h"

extern const clear_kernel clear_kernel_v2, clear_kernel_v3, clear_kernel_v4;

void clear_percents(const double *shape, const double *fade_db, size_t n, double *out) {
  static const clear_kernel *const kernels[] = {&clear_kernel_v2, &clear_kernel_v3, &clear_kernel_v4};
  kernels[es_x86_level() - 2]->percents(shape, fade_db, n, out);
}
#else
extern const clear_kernel clear_kernel_portable;

void clear_percents(const double *shape, const double *fade_db, size_t n, double *out) {
  clear_kernel_portable.percents(shape, fade_db, n, out);
}
#endif
