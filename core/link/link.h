/* link.h - from loss to what a listener gets: level, noise, SNR, margin, share of time heard. All pure.
 *
 *   level = power - feeder - system loss - receiver's feeder       (system loss holds both antennas' gains, way by way)
 *   SNR   = level at the antenna port - noise in 2500 Hz            docs/models/noise.md
 *
 * Percentages are of the year: a value at p is met or bettered for p % of it.                                             */
#ifndef EARSHOT_LINK_LINK_H
#define EARSHOT_LINK_LINK_H

#include "link/normal.h"
#include "station/station.h"

enum { ES_YEAR_STEPS = 14 };
/* The percentages at which a share of time is found: P.2001 is meaningful from 0.001 to 99.999. */
extern const double es_year_percent[ES_YEAR_STEPS];

typedef struct es_receive_noise {
  double antenna_k, system_k;
  double noise_2500_dbm;
} es_receive_noise;

/* Noise of a receiver whose antenna points to elevation el over a flat horizon; over one at elevation horizon (radians). */
es_receive_noise es_receiver_noise(const es_receiver *rx, double freq_ghz, double el);
es_receive_noise es_receiver_noise_over(const es_receiver *rx, double freq_ghz, double el, double horizon);

double es_level_dbm(double power_dbm, double feeder_db, double system_loss_db);

/* Share of the year, percent, that the SNR reaches what is needed. snr_db[k] at percent[k] (rising percentages); a dip is not
 * believed: the SNR never rises with p (running minimum). Linear in the normal deviate between percentages; 0 below the
 * first, 100 above the last. NaN when any SNR is. */
double es_heard_percent(const double *percent, const double *snr_db, size_t n, double needed_db);
/* SNR at a percentage between those given, the same way; held at the ends. */
double es_snr_at(const double *percent, const double *snr_db, size_t n, double p);

/* Mode with the highest needed SNR that `snr_db` still reaches with a signal spread over width_hz, or NULL. */
const es_mode *es_best_mode(const es_modes *modes, double snr_db, double width_hz);

#endif
