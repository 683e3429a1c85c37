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
 * 0.56, so within 1e-10; the density, linear, within 2e-5. z is a number. */
static inline es_normal_point es_normal_near(const es_normal_point *points, double z) {
  double at = (z + ES_NORMAL_REACH) * ES_NORMAL_A_UNIT;
  if (!(at > 0.0)) return (es_normal_point){0.0, 0.0};
  if (at >= ES_NORMAL_STEPS) return (es_normal_point){1.0, 0.0};
  const es_normal_point *p = &points[(size_t)at];
  double t = at - (double)(size_t)at, rise = p[1].share - p->share;
  double from = p->density / ES_NORMAL_A_UNIT - rise, to = p[1].density / ES_NORMAL_A_UNIT - rise;
  return (es_normal_point){p->share + t * (rise + (1.0 - t) * (from * (1.0 - t) - to * t)),
                           p->density + t * (p[1].density - p->density)};
}

#endif
