/* units.h - constants and conversions at the edges between units, and steps of scales. */
#ifndef EARSHOT_BASE_UNITS_H
#define EARSHOT_BASE_UNITS_H

#include <math.h>

#define ES_PI             3.14159265358979323846
#define ES_LIGHT_M_S      299792458.0  /* exact, SI */
#define ES_EARTH_KM       6371.0       /* radius used by ITU-R P.2001 and P.452 */
#define ES_BOLTZMANN      1.380649e-23 /* J/K, exact, SI */
#define ES_ERP_TO_EIRP_DB 2.15         /* gain of a half-wave dipole over isotropic, dB */

static inline double es_rad(double deg) { return deg * (ES_PI / 180.0); }
static inline double es_deg(double rad) { return rad * (180.0 / ES_PI); }
static inline double es_db(double ratio) { return 10.0 * log10(ratio); }
static inline double es_ratio(double db) { return pow(10.0, 0.1 * db); }
static inline double es_clamp(double x, double low, double high) { return x < low ? low : x > high ? high : x; }

/* 1, 2 or 5 times a power of ten: the smallest of which at most `most` fit into a span over 0. */
static inline double es_round_step(double span, double most) {
  double rough = span / most, power = pow(10.0, floor(log10(rough))), share = rough / power;
  return power * (share <= 1.0 ? 1.0 : share <= 2.0 ? 2.0 : share <= 5.0 ? 5.0 : 10.0);
}

#endif
