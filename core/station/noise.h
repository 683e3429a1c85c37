/* noise.h - system temperature and noise power. Source: docs/models/noise.md; k from the SI. */
#ifndef EARSHOT_STATION_NOISE_H
#define EARSHOT_STATION_NOISE_H

/* Tsys at the antenna port, K: antenna + 290 (L - 1) + L 290 (F - 1). NaN for a negative noise figure or loss. */
double es_system_temperature_k(double antenna_k, double feeder_db, double noise_figure_db);
/* 10 log10(k T B) in dBm. NaN unless T > 0 and B > 0. */
double es_noise_dbm(double system_k, double bandwidth_hz);
/* Antenna temperature of a beam of half-power width `beam` (radians; PI or more: no beam) at elevation el over a horizon at
 * elevation horizon; freq_ghz 1..50. Own approximation, models/noise section 3 (ground 290 K, clear sky single layer). */
double es_antenna_temperature_k(double beam, double el, double horizon, double freq_ghz);

#endif
