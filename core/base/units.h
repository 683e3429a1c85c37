/* units.h - constants and conversions at the edges between units. */
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

#endif
