/* earshot/maths.h - logarithms, powers and an arc sine for loops over thousands of receivers.
 *
 * Plain C without branches or calls, so a compiler turns a loop over them into vector instructions; results are the same in
 * vector and in scalar form, whatever the processor, as long as the compiler may not contract or reorder sums
 * (-ffp-contract=off, no -ffast-math). A model may include it beside model.h; it links nothing.
 *
 * Given:  any double. NaN gives NaN; es_log2 of 0 gives -infinity, of a negative number NaN, of a denormal one nonsense.
 * Gives:  relative error under 1e-14 for es_exp2 (|x| < 1020, beyond that the value at the limit), absolute error under
 *         2e-15 log2(x) + 1e-15 for es_log2, under 5e-15 for es_asin.
 * Method: 2^n 2^f with f within 1/2, Taylor's series; 2^e m with m within sqrt(1/2), sqrt(2), series of the area tangent;
 *         arc sine by series within 1/2, by the half angle outside.                                                       */
#ifndef EARSHOT_MATHS_H
#define EARSHOT_MATHS_H

#include <math.h>
#include <stdint.h>
#include <string.h>

#define ES_LOG2_E  1.44269504088896340736
#define ES_LN_2    0.69314718055994530942
#define ES_LOG10_2 0.30102999566398119521
#define ES_LOG2_10 3.32192809488736234787

static inline uint64_t es_bits_of(double x) {
  uint64_t bits;
  memcpy(&bits, &x, sizeof bits);
  return bits;
}

static inline double es_double_of(uint64_t bits) {
  double x;
  memcpy(&x, &bits, sizeof x);
  return x;
}

/* 2^x */
static inline double es_exp2(double x) {
  const double round = 6755399441055744.0; /* 1.5 2^52: added and taken off, it leaves a whole number */
  double limited = x < -1020.0 ? -1020.0 : x;
  limited = limited > 1020.0 ? 1020.0 : limited;
  double shifted = limited + round, whole = shifted - round, u = (limited - whole) * ES_LN_2;
  double p = 1.0 / 39916800.0;
  p = p * u + 1.0 / 3628800.0;
  p = p * u + 1.0 / 362880.0;
  p = p * u + 1.0 / 40320.0;
  p = p * u + 1.0 / 5040.0;
  p = p * u + 1.0 / 720.0;
  p = p * u + 1.0 / 120.0;
  p = p * u + 1.0 / 24.0;
  p = p * u + 1.0 / 6.0;
  p = p * u + 0.5;
  p = p * u + 1.0;
  p = p * u + 1.0;
  double scaled = es_double_of(es_bits_of(p) + (es_bits_of(shifted) << 52)); /* the whole number joins the exponent */
  return x == x ? scaled : x;
}

/* log2 x */
static inline double es_log2(double x) {
  const uint64_t root_half = 0x3fe6a09e667f3bcdu, two_52 = 0x4330000000000000u;
  uint64_t from_root = es_bits_of(x) - root_half;
  uint64_t biased = (from_root >> 52) + 1024u; /* 1024 and the exponent, in 12 bits */
  double e = es_double_of(two_52 | (biased & 4095u)) - 4503599627370496.0;
  double m = es_double_of((from_root & 0xfffffffffffffu) + root_half), t = (m - 1.0) / (m + 1.0), t2 = t * t;
  double s = 1.0 / 17.0;
  s = s * t2 + 1.0 / 15.0;
  s = s * t2 + 1.0 / 13.0;
  s = s * t2 + 1.0 / 11.0;
  s = s * t2 + 1.0 / 9.0;
  s = s * t2 + 1.0 / 7.0;
  s = s * t2 + 1.0 / 5.0;
  s = s * t2 + 1.0 / 3.0;
  s = s * t2 + 1.0;
  double log = (e - 1024.0) + 2.0 * ES_LOG2_E * t * s;
  log = x > 0.0 ? log : NAN;
  return x == 0.0 ? -INFINITY : log;
}

static inline double es_exp(double x) { return es_exp2(x * ES_LOG2_E); }
static inline double es_exp10(double x) { return es_exp2(x * ES_LOG2_10); }
static inline double es_ln(double x) { return es_log2(x) * ES_LN_2; }
static inline double es_log10(double x) { return es_log2(x) * ES_LOG10_2; }
/* x^p for x > 0 */
static inline double es_pow(double x, double p) { return es_exp2(p * es_log2(x)); }

/* Series of the arc sine, |x| <= 1/2. */
static inline double es_asin_small(double x) {
  double x2 = x * x, s = 0.003297059503473485;
  s = s * x2 + 0.0035692053938259347;
  s = s * x2 + 0.003880964558837669;
  s = s * x2 + 0.004240907093679363;
  s = s * x2 + 0.004660143486915096;
  s = s * x2 + 0.005153309682319905;
  s = s * x2 + 0.005740037670841924;
  s = s * x2 + 0.006447210311889649;
  s = s * x2 + 0.0073125258735988454;
  s = s * x2 + 0.008390335809616815;
  s = s * x2 + 0.009761609529194078;
  s = s * x2 + 0.011551800896139705;
  s = s * x2 + 0.01396484375;
  s = s * x2 + 0.017352764423076924;
  s = s * x2 + 0.022372159090909092;
  s = s * x2 + 0.030381944444444444;
  s = s * x2 + 0.044642857142857144;
  s = s * x2 + 0.075;
  s = s * x2 + 0.16666666666666666;
  s = s * x2 + 1.0;
  return x * s;
}

/* asin x, |x| <= 1 */
static inline double es_asin(double x) {
  double a = fabs(x), half = sqrt(0.5 * (1.0 - a));
  double inside = es_asin_small(a > 0.5 ? 0.5 : a),
         outside = 1.57079632679489661923 - 2.0 * es_asin_small(half > 0.5 ? 0.5 : half);
  double value = a < 0.5 ? inside : outside;
  return x < 0.0 ? -value : value;
}

#endif
