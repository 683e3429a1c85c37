/* zones.h - how much of a path is sea, coast and inland, for every receiver, in one pass along the radial.
 *
 * Each sample owns half the step on either side, the ends only inside. Source: ITU-R P.2001-6 3.2.1, attachment D.1.      */
#ifndef EARSHOT_RADIAL_ZONES_H
#define EARSHOT_RADIAL_ZONES_H

#include "radial/radial.h"

typedef struct es_zone_lengths {
  double *land_m, *inland_m, *sea_tx_m, *sea_rx_m, *sea_share;
} es_zone_lengths;

/* zone_rx: the receivers' own zones. Arrays of out have room for rx->n. */
void es_zone_lengths_fill(const es_line *line, const es_receivers *rx, const uint8_t *zone_rx, es_zone_lengths *out);

/* The share of sea alone. */
void es_sea_share_fill(const es_line *line, const es_receivers *rx, const uint8_t *zone_rx, double *sea_share);

#endif
