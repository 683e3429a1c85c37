/* noise.h - system temperature and noise power. Sources: ITU-R P.372, P.2001 attachment F; k from the SI. */
#ifndef EARSHOT_STATION_NOISE_H
#define EARSHOT_STATION_NOISE_H

/* Tsys at the antenna port, K: antenna + 290 (L - 1) + L 290 (F - 1). NaN for a negative noise figure or loss. */
double es_system_temperature_k(double antenna_k, double feeder_db, double noise_figure_db);
/* 10 log10(k T B) in dBm. NaN unless T > 0 and B > 0. */
double es_noise_dbm(double system_k, double bandwidth_hz);
/* Antenna temperature of a beam of half-power width `beam` (radians; PI or more: no beam) at elevation el over a
 * horizon at elevation horizon; freq_ghz 1..50, else NaN. An approximation of this house (ground 290 K, clear sky
 * of one layer): see noise.c. */
double es_antenna_temperature_k(double beam, double el, double horizon, double freq_ghz);
/* Brightness of the clear sky at elevation el, K: sea level, 7.5 g/m3, one layer at 275 K. freq_ghz 1..50, else NaN. */
double es_sky_temperature_k(double el, double freq_ghz);

#endif
