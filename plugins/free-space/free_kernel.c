/* free_kernel.c - see free_kernel.h; compiled for several sets of instructions, with the same sums in all. */
#include "free_kernel.h"

#include "earshot/maths.h"

#ifndef FREE_KERNEL
#define FREE_KERNEL free_kernel_portable
#endif

static void fill(const double *slant_m, size_t n, double at_1_km_db, double *loss_db) {
  for (size_t r = 0; r < n; r++) loss_db[r] = at_1_km_db + 20.0 * es_log10(slant_m[r] * 1e-3);
}

const free_kernel FREE_KERNEL = {fill};
