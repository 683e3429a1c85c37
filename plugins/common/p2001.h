/* p2001.h - percentages of time and the curvature of the Earth that goes with each.
 *
 * Source:  ITU-R P.2001-6 (09/2025): (3.1.1), (3.4.1.1)-(3.4.1.2), (3.5.1)-(3.5.3).
 * Check:   SdN 40, SdNsup 15.5, SdNsub 9: Tpc 1 % -> 11032.21 km, 50 % -> 8549.12 km, 99 % -> 7560.98 km     */
#ifndef EARSHOT_PLUGINS_P2001_H
#define EARSHOT_PLUGINS_P2001_H

#include <math.h>

#define P2001_EARTH_KM           6371.0 /* mean radius Re */
#define P2001_STRAIGHT_RAY_N     157.0  /* N/km: a lapse that bends a ray as the Earth is bent, 1e6 / Re rounded */
#define P2001_FLATTEST_PER_KM    1e-6   /* (3.5.3): at less curvature than this the radius is held at its limit */
#define P2001_FLATTEST_RADIUS_KM 1e6

/* (3.1.1) The percentage asked for, Tpc in 0..100, kept off both ends: p, and q = 100 - p, are above 0 even there. */
static inline double p2001_percent(double tpc) { return tpc + 0.00001 * (50.0 - tpc) / 50.0; }

/* (3.4.1.1), (3.4.1.2) Gradient of refractivity over the lowest km, N/km, not exceeded for Tpc % of the year.
 * dn_median SdN, sup SdNsup, sub SdNsub: the three maps, as positive numbers. */
static inline double p2001_gradient(double tpc, double dn_median, double sup, double sub) {
  double p = p2001_percent(tpc), q = 100.0 - p;
  return p < 50.0 ? -dn_median + sup * log10(0.02 * p) : -dn_median - sub * log10(0.02 * q);
}

/* (3.5.2) Cp, 1/km, of either sign: negative when rays are bent more than the ground; (3.5.3) Reffp, km, at most 1e6.
 * (3.5.1) Reff50 is the radius at Tpc = 50. */
static inline void p2001_curvature(double tpc, double dn_median, double sup, double sub, double *curvature_per_km,
                                   double *radius_km) {
  double gradient = p2001_gradient(tpc, dn_median, sup, sub);
  double curvature = (P2001_STRAIGHT_RAY_N + gradient) / (P2001_STRAIGHT_RAY_N * P2001_EARTH_KM);
  *curvature_per_km = curvature;
  *radius_km = curvature > P2001_FLATTEST_PER_KM ? 1.0 / curvature : P2001_FLATTEST_RADIUS_KM;
}

#endif
