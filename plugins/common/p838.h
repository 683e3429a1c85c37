/* p838.h - specific attenuation of rain, gamma = k R^alpha in dB/km for R in mm/h.
 *
 * Source:  ITU-R P.838-3 (03/2005) (1)-(5), 1-1000 GHz. Below 1 GHz, after ITU-R P.2001-6 attachment C.2: k falls in
 *          proportion to frequency, alpha keeps its value at 1 GHz.                                              */
#ifndef EARSHOT_PLUGINS_P838_H
#define EARSHOT_PLUGINS_P838_H

/* Coefficients of the two linear polarisations on a level path. */
typedef struct p838_linear {
  double k_h, alpha_h, k_v, alpha_v;
} p838_linear;

/* (2), (3) at a frequency above 0. */
p838_linear p838_at(double freq_ghz);

/* (4), (5) Coefficients of a path of elevation theta and a polarisation of tilt tau; cos_2tilt is cos 2 tau: 1 for
 * horizontal, 0 for circular, -1 for vertical. */
void p838_path(const p838_linear *linear, double elevation_rad, double cos_2tilt, double *k, double *alpha);

#endif
