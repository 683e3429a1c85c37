/* sigma.h - how far off a prediction is, by way and band, for the spread that is printed with it; and whether that holds.
 *
 * sigma is the 80 % quantile of the absolute error divided by 1.2816, so that prediction +-1.2816 sigma holds 80 %: the
 * errors have longer tails than a normal deviate and their root mean square would print too wide an interval. No bias is
 * taken off first. The check leaves out one path (or all paths over one ground) at a time, takes sigma from the rest and
 * counts how many of the left-out values the interval holds.                                                         */
#ifndef EARSHOT_TRUTH_SIGMA_H
#define EARSHOT_TRUTH_SIGMA_H

#include <stdio.h>

#include "predict.h"

enum { TRUTH_BANDS = 2 }; /* 1-5 GHz, 5-20 GHz */
extern const char *const truth_band_names[TRUTH_BANDS];
int truth_band_of(double freq_ghz);

typedef enum truth_basis { TRUTH_OWN_CELL, TRUTH_OTHER_BAND_TOO, TRUTH_ALL_WAYS } truth_basis;

typedef struct truth_sigma {
  double sigma_db, bias_db; /* bias: mean error, prediction minus measurement; told, not applied */
  size_t n, paths;
  truth_basis basis;
} truth_sigma;

/* All values with p <= 50 %. `without`: index of a path to leave out, SIZE_MAX: none; whole_group: its ground too. */
truth_sigma truth_sigma_of(const truth_bank *bank, const truth_answer *answer, int way, int band, size_t without,
                           bool whole_group);
/* Share of left-out values (p <= 50 %) that the interval holds, percent. NaN out of memory. */
double truth_sigma_check(const truth_bank *bank, const truth_answer *answer, bool whole_group);
/* The table core/link/model_sigma.csv. */
void truth_sigma_write(FILE *to, const truth_bank *bank, const truth_answer *answer, const char *basis);

#endif
