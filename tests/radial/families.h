/* families.h - invented ground of many kinds, from a seed. For tests: the same seed gives the same ground everywhere. */
#ifndef EARSHOT_TESTS_FAMILIES_H
#define EARSHOT_TESTS_FAMILIES_H

#include <stddef.h>
#include <stdint.h>

typedef struct dice {
  uint64_t state;
} dice;

uint64_t dice_next(dice *d);
double dice_between(dice *d, double low, double high);
size_t dice_whole(dice *d, size_t low, size_t high); /* both ends included */
double dice_log_between(dice *d, double low, double high);

enum { FAMILIES = 18 };
const char *family_name(size_t family);
/* Heights in metres of n samples. */
void family_fill(size_t family, dice *d, size_t n, double *ground_m);

#endif
