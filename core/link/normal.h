/* normal.h - the normal distribution: shares and deviates. All pure; any thread. */
#ifndef EARSHOT_LINK_NORMAL_H
#define EARSHOT_LINK_NORMAL_H

#include <stddef.h>

/* Share of the distribution below z. */
double es_normal_share(double z);
/* The z below which that share lies, 0..1 (ends: infinite), to 1e-15 of itself. Source: M. J. Wichura, algorithm AS 241,
 * Applied Statistics 37 (1988) 477-484. */
double es_normal_deviate(double share);

/* Share and density at equal steps, for sums of many. */
typedef struct es_normal_point {
  double share, density;
} es_normal_point;
enum { ES_NORMAL_REACH = 8, ES_NORMAL_A_UNIT = 64, ES_NORMAL_STEPS = 2 * ES_NORMAL_REACH * ES_NORMAL_A_UNIT };
const es_normal_point *es_normal_points(void); /* [ES_NORMAL_STEPS + 1], from -ES_NORMAL_REACH on */

/* Between the points a cubic that meets shares and densities: off by step^4 / 384 times the fourth derivative, which is under
 * 0.56, so within 1e-10; the density, linear, within 2e-5. Beyond the ends, where 1e-15 is left, what holds there. z is a number. */
static inline es_normal_point es_normal_near(const es_normal_point *points, double z) {
  double at = (z + ES_NORMAL_REACH) * ES_NORMAL_A_UNIT;
  at = at > 0.0 ? at : 0.0;
  at = at < ES_NORMAL_STEPS ? at : ES_NORMAL_STEPS;
  int i = (int)at;
  i = i < ES_NORMAL_STEPS ? i : ES_NORMAL_STEPS - 1;
  double t = at - (double)i, share = points[i].share, density = points[i].density;
  double rise = points[i + 1].share - share, more = points[i + 1].density - density;
  double from = density / ES_NORMAL_A_UNIT - rise, to = (density + more) / ES_NORMAL_A_UNIT - rise;
  return (es_normal_point){share + t * (rise + (1.0 - t) * (from * (1.0 - t) - to * t)), density + t * more};
}

#endif
