/* walk.h - a straight ray through what stands on a line of ground.
 *
 * Heights are parabolic, as in es_hull: g = h - x^2 / (2 a) with x from the beacon and a the effective radius, so that one
 * set of heights serves both ends of every receiver and rays are straight.
 *
 *        ray ------------------------------------->
 *               ____top____
 *          ____/  w(x) > 0  \____    w = density * soft(top - ray) * soft(ray - base), soft edges of +-s,
 *       __/____________________ \__  s = max(0.5 m, 0.6 F1): a ray counts as inside before it touches
 *                base                                                                                                  */
#ifndef EARSHOT_PLUGINS_FOLIAGE_WALK_H
#define EARSHOT_PLUGINS_FOLIAGE_WALK_H

#include <stddef.h>

#include "through.h"

/* What stands on the line, and how high, in parabolic heights, in each block of samples at most. */
typedef struct canopy {
  const es_line *line;
  double half_curvature; /* 1 / (2 a), per metre */
  double *block_top;     /* [block]; -infinity where nothing stands */
  double *range_top;     /* [block of blocks] */
} canopy;

size_t canopy_bytes(size_t n_samples);
/* `room` has canopy_bytes. */
void canopy_make(const es_line *line, double half_curvature, void *room, canopy *out);

/* A ray from (from_m, g) at a slope in parabolic heights, walked to to_m; the path it belongs to is path_m long. */
typedef struct ray {
  double from_m, to_m, g, slope, path_m, wavelength_m;
} ray;

/* Tops as seen by a ray: the highest diffraction parameter, and the slope up to what stands on the terminal itself. */
typedef struct tops {
  double nu, own_nu, own_slope; /* -infinity: nothing stands there */
} tops;

/* Adds what the ray goes through to `d`, for the methods of depth_add, and the tops it passes to `t`. t NULL: nobody asks for tops, and the walk ends where
 * the ray is hopelessly deep. */
void canopy_walk(const canopy *c, const wood *w, unsigned methods, double beam_deg, const ray *r, depth *d, tops *t);
/* What the terminal itself stands under; canopy_walk looks too. */
void canopy_look_up(const canopy *c, const ray *r, tops *t);

#endif
