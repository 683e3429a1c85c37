/* receiver.h - antennas and listeners as the job file writes them. */
#ifndef EARSHOT_JOB_RECEIVER_H
#define EARSHOT_JOB_RECEIVER_H

#include "job/read.h"
#include "station/station.h"

/* A listener of whom nothing is known: 10 m, 0.6 m dish, noise figure 1 dB, feeder 0.3 dB, cw. */
es_receiver es_receiver_usual(double freq_ghz);
/* What the section says, over `usual`; polarisation: the beacon's. */
void es_receiver_read(const es_reader *reader, es_node node, const es_receiver *usual, double freq_ghz,
                      int32_t polarisation, const es_modes *modes, es_receiver *out);
/* The beacon's antenna and its height (NaN when absent). `aimed`: its azimuth comes from elsewhere and need not be there. */
void es_beacon_antenna_read(const es_reader *reader, es_node node, double freq_ghz, int32_t polarisation, bool aimed,
                            es_antenna *out, double *height_m);

#endif
