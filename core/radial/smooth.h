/* smooth.h - the smooth earth of ITU-R P.2001-6 section 3.8 under a path, (3.8.1) to (3.8.10). */
#ifndef EARSHOT_RADIAL_SMOOTH_H
#define EARSHOT_RADIAL_SMOOTH_H

#include "radial/crest.h"
#include "radial/kernel.h"

/* Heights of the smooth earth at both ends. */
typedef struct es_ends {
  double tx, rx;
} es_ends;

/* Prefix sums of (3.8.1a,b) over the samples up to i. */
typedef struct es_fit {
  double v1, v2;
  size_t i;
} es_fit;

static inline void es_fit_segment(double *v1, double *v2, double x0, double y0, double x1, double y1) {
  *v1 += (x1 - x0) * (y1 + y0);
  *v2 += (x1 - x0) * (y1 * (2.0 * x1 + x0) + y0 * (x1 + 2.0 * x0));
}

/* For a receiver at dist on ground of that height, behind sample `last`. Cost: 2 ns a sample. */
static inline es_ends es_fit_to(es_fit *f, const es_line *line, size_t last, double dist, double ground) {
  const double *x = line->dist_m, *y = line->ground_m;
  for (; f->i < last; f->i++) es_fit_segment(&f->v1, &f->v2, x[f->i], y[f->i], x[f->i + 1], y[f->i + 1]);
  double v1 = f->v1, v2 = f->v2;
  es_fit_segment(&v1, &v2, x[last], y[last], dist, ground);
  return (es_ends){(2.0 * v1 * dist - v2) / (dist * dist), /* (3.8.2a) */
                   (v2 - v1 * dist) / (dist * dist)};      /* (3.8.2b) */
}

static inline double es_smooth_lower(double a, double b) { return a < b ? a : b; }

/* The fit limited to the ground, (3.8.4), and lowered by what stands over the line, (3.8.8) to (3.8.10). */
static inline void es_smooth_set(const es_obstruction *o, double h0, double hn, es_ends fit, size_t r,
                                 const es_smooth *out) {
  out->fit_tx[r] = es_smooth_lower(fit.tx, h0);
  out->fit_rx[r] = es_smooth_lower(fit.rx, hn);
  if (o->height_m > 0.0) {
    double share = o->height_m / (o->from_tx + o->from_rx);
    fit.tx -= share * o->from_tx;
    fit.rx -= share * o->from_rx;
  }
  out->smooth_tx[r] = es_smooth_lower(fit.tx, h0);
  out->smooth_rx[r] = es_smooth_lower(fit.rx, hn);
}

#endif
