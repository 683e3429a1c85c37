#include "clear_curve.h"

#include "earshot/x86_level.h"

ES_KERNEL_FORMS(clear_kernel, clear_kernel)

void clear_percents(const double *shape, const double *fade_db, size_t n, double *out) {
  best()->percents(shape, fade_db, n, out);
}
