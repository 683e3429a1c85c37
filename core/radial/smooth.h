/* smooth.h - the smooth earth of ITU-R P.2001-6 section 3.8 under a path, (3.8.1) to (3.8.10). */
#ifndef EARSHOT_RADIAL_SMOOTH_H
#define EARSHOT_RADIAL_SMOOTH_H

#include "radial/crest.h"
#include "radial/kernel.h"

/* Heights of the smooth earth at both ends. */
typedef struct es_ends {
  double tx, rx;
} es_ends;

/* Sums of (3.8.1a,b) over the samples up to one. */
typedef struct es_fit {
  double v1, v2;
  size_t i;
} es_fit;

static inline void es_fit_segment(double *v1, double *v2, double x0, double y0, double x1, double y1) {
  *v1 += (x1 - x0) * (y1 + y0);
  *v2 += (x1 - x0) * (y1 * (2.0 * x1 + x0) + y0 * (x1 + 2.0 * x0));
}

/* The sums up to sample `last`, ended at a receiver at dist on ground of that height. */
static inline es_ends es_fit_ended(double v1, double v2, const es_line *line, size_t last, double dist, double ground) {
  es_fit_segment(&v1, &v2, line->dist_m[last], line->ground_m[last], dist, ground);
  return (es_ends){(2.0 * v1 * dist - v2) / (dist * dist), /* (3.8.2a) */
                   (v2 - v1 * dist) / (dist * dist)};      /* (3.8.2b) */
}

/* The same of one receiver after another. Cost: 2 ns a sample. */
static inline es_ends es_fit_to(es_fit *f, const es_line *line, size_t last, double dist, double ground) {
  const double *x = line->dist_m, *y = line->ground_m;
  for (; f->i < last; f->i++) es_fit_segment(&f->v1, &f->v2, x[f->i], y[f->i], x[f->i + 1], y[f->i + 1]);
  return es_fit_ended(f->v1, f->v2, line, last, dist, ground);
}

static inline double es_smooth_lower(double a, double b) { return a < b ? a : b; }

/* The fit held to the ground, (3.8.4). */
static inline es_ends es_smooth_held(es_ends fit, double h0, double hn) {
  return (es_ends){es_smooth_lower(fit.tx, h0), es_smooth_lower(fit.rx, hn)};
}

/* The fit lowered by what stands over the line, (3.8.8) to (3.8.10). */
static inline es_ends es_smooth_lowered(es_ends fit, const es_obstruction *o) {
  double share = o->height_m > 0.0 ? o->height_m / (o->from_tx + o->from_rx) : 0.0;
  double tx = fit.tx - share * o->from_tx, rx = fit.rx - share * o->from_rx;
  return o->height_m > 0.0 ? (es_ends){tx, rx} : fit;
}

#endif
