/* blocking.h - which trees stand in the way at each end of a path, and how much higher an antenna would have to be.
 *
 * The ray of an end leaves for its horizon (in line of sight: for the other antenna) and ends where it meets that of the
 * other end. What stands within 0.6 of the first Fresnel zone below it, or above it, blocks; the run told is the one whose
 * top has the highest diffraction parameter.                                                                             */
#ifndef EARSHOT_RADIAL_BLOCKING_H
#define EARSHOT_RADIAL_BLOCKING_H

#include "radial/radial.h"

typedef struct es_blocking {
  int any;
  double from_m, depth_m; /* nearer edge of the run as seen from this end; how deep it is along the path */
  double below_m;         /* how far the ray is below the top, negative: above it */
  double below_f1;        /* the same in first Fresnel zones */
  double extra_m; /* more height at this end that clears its near tops by 0.6 of the first zone, the ray turning about
                             its horizon; NaN: the run stands on the horizon itself, height here does not clear it */
  double at_m, top_m; /* the top itself: distance from the beacon, height above sea */
  uint8_t leaf;
} es_blocking;

/* Of receiver r at one end. [any thread] */
void es_blocking_find(const es_radial *radial, size_t r, int32_t end, double wavelength_m, es_blocking *out);
/* The antenna of an end is below the tops of what it stands in: how far, m; 0 when it is not. */
double es_under_canopy_m(const es_radial *radial, size_t r, int32_t end);

#endif
