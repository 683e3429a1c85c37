#include "link/normal.h"

#include <math.h>
#include <pthread.h>

#include "base/units.h"

double es_normal_share(double z) { return 0.5 * erfc(-z / sqrt(2.0)); }

static double density(double z) { return exp(-0.5 * z * z) / sqrt(2.0 * ES_PI); }

/* --- deviates --------------------------------------------------------------------------------------------------------- */

enum { TERMS = 8 };

/* A quotient of two polynomials in x, lowest power first. */
typedef struct quotient {
  double over[TERMS], under[TERMS];
} quotient;

static double quotient_at(const quotient *q, double x) {
  double over = q->over[TERMS - 1], under = q->under[TERMS - 1];
  for (size_t i = TERMS - 1; i-- > 0;) {
    over = over * x + q->over[i];
    under = under * x + q->under[i];
  }
  return over / under;
}

/* AS 241: about the middle, in 0.425^2 - (share - 0.5)^2; then in sqrt(-ln tail), less 1.6 up to 5, less 5 beyond. */
static const quotient middle = {
    {3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
     4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3},
    {1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3, 2.1213794301586595867e4,
     3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3}};
static const quotient near_tail = {
    {1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
     1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4},
    {1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1, 1.48103976427480074590e-1,
     1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9}};
static const quotient far_tail = {
    {6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
     2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7},
    {1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2, 7.86869131145613259100e-4,
     1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15}};

double es_normal_deviate(double share) {
  double off = share - 0.5;
  if (fabs(off) <= 0.425) return off * quotient_at(&middle, 0.180625 - off * off);
  double tail = off < 0.0 ? share : 1.0 - share;
  if (!(tail > 0.0)) return tail == 0.0 ? copysign(INFINITY, off) : NAN;
  double root = sqrt(-log(tail));
  return copysign(root <= 5.0 ? quotient_at(&near_tail, root - 1.6) : quotient_at(&far_tail, root - 5.0), off);
}

/* --- table ------------------------------------------------------------------------------------------------------------ */

static es_normal_point table[ES_NORMAL_STEPS + 1];
static pthread_once_t once = PTHREAD_ONCE_INIT;

static void fill(void) {
  for (int i = 0; i <= ES_NORMAL_STEPS; i++) {
    double z = (double)i / ES_NORMAL_A_UNIT - ES_NORMAL_REACH;
    table[i] = (es_normal_point){es_normal_share(z), density(z)};
  }
}

const es_normal_point *es_normal_points(void) {
  pthread_once(&once, fill);
  return table;
}
