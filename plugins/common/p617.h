/* p617.h - troposcatter by refractivity: basic transmission loss, free space included, gases not.
 *
 * Source:  ITU-R P.617-6 (09/2025) section 4.1, (1) to (7)
 * Given:   one receiver of a task; the antennas' gains toward the horizons; an effective earth radius
 * Gives:   the median loss and how far a percentage of time lies from it, dB. No floor: the text prints none
 * Check:   150 km, theta 19.1609 mrad, 10.368 GHz, 20 dBi at both ends, N0 326, dN 42 -> 221.5093 dB at the median
 *
 * Shared by the models `troposcatter` and `openings`; compiled into each. Pure.                                     */
#ifndef EARSHOT_PLUGINS_P617_H
#define EARSHOT_PLUGINS_P617_H

#include "earshot/model.h"

typedef struct p617_path {
  double theta_mrad;           /* (1), (2), held above 0 */
  double f_db, h0_km, lc_db;   /* (5); (7), lowest scatter point above sea; (3) */
  double median_db, spread_db; /* (4) without Yp; the factor of (6) before its power */
} p617_path;

/* k a of (2) with k = 4/3, or from the lapse of refractivity at the common volume. */
double p617_radius_km(const es_task *task, size_t r, int of_climate);
p617_path p617_path_of(const es_task *task, size_t r, double gains_dbi, double ka_km);
/* (6) Yp: taken off the median. */
double p617_yp_db(const p617_path *path, double p);
/* Ground below the common volume, km above sea; NaN where it is not known. */
double p617_ground_km(const es_task *task, size_t r);

#endif
