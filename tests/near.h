/* near.h - comparing doubles in cmocka 1.1.5, whose own assert_float_equal rounds to float. */
#ifndef EARSHOT_TESTS_NEAR_H
#define EARSHOT_TESTS_NEAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>

/* |got - want| <= tolerance; NaN never is. */
#define assert_near(got, want, tolerance)                                                                              \
  do {                                                                                                                 \
    double got_ = (got), want_ = (want), tolerance_ = (tolerance);                                                     \
    if (!(fabs(got_ - want_) <= tolerance_))                                                                           \
      fail_msg("%s:%d: %s = %.12g, want %.12g within %g (off by %.3g)", __FILE__, __LINE__, #got, got_, want_,         \
               tolerance_, got_ - want_);                                                                              \
  } while (0)

#endif
