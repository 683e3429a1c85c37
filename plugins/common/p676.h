/* p676.h - specific attenuation of air, line by line.
 *
 * Source:  ITU-R P.676-13 (08/2022) Annex 1, (1) to (9), Tables 1 and 2 (the same figures as in -11 and -12)
 * Given:   freq_ghz 1..1000; press_hpa of the DRY air, temp_k 200..330, vapour_g_m3 0..35
 * Gives:   dB/km of oxygen (with the dry continuum) and of water vapour
 * Check:   10.368 GHz, 1013.25 hPa, 288.15 K, 7.5 g/m3 -> 0.0083041 and 0.0065246 dB/km
 *
 * What hangs on frequency, pressure and temperature is prepared once: each humidity after that costs no exponential.
 * Shared by the models `gases` and `openings`; compiled into each. Pure.                                               */
#ifndef EARSHOT_PLUGINS_P676_H
#define EARSHOT_PLUGINS_P676_H

enum { P676_OXYGEN_LINES = 44, P676_VAPOUR_LINES = 35 };

typedef struct p676_line {
  double f0_ghz, strength;     /* of vapour: per hPa of it */
  double width_dry, width_wet; /* GHz, and GHz per hPa of vapour */
  double extra;                /* oxygen: interference per hPa of all air; vapour: Doppler width squared, GHz^2 */
} p676_line;

typedef struct p676_air {
  double freq_ghz, press_hpa, temp_k, theta; /* theta = 300/T */
  p676_line oxygen[P676_OXYGEN_LINES], vapour[P676_VAPOUR_LINES];
} p676_air;

typedef struct p676_gamma {
  double oxygen_db_km, vapour_db_km;
} p676_gamma;

void p676_prepare(p676_air *air, double freq_ghz, double press_hpa, double temp_k);
p676_gamma p676_specific(const p676_air *air, double vapour_g_m3);

#endif
