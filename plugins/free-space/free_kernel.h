/* free_kernel.h - the form of the loop that this processor runs best. */
#ifndef EARSHOT_FREE_KERNEL_H
#define EARSHOT_FREE_KERNEL_H

#include <stddef.h>

typedef struct free_kernel {
  /* loss_db[r] = at_1_km_db + 20 lg(slant_m[r] / 1 km) */
  void (*fill)(const double *slant_m, size_t n, double at_1_km_db, double *loss_db);
} free_kernel;

#endif
