/* beacon_chain.h - from the amplifier to what the antenna sends: dBm step by step, EIRP and ERP never mixed. Pure. */
#ifndef EARSHOT_STATION_BEACON_CHAIN_H
#define EARSHOT_STATION_BEACON_CHAIN_H

#include "station/station.h"

typedef struct es_radiated {
  double amplifier_dbm, feeder_db, port_dbm; /* at the amplifier, lost on the way, at the antenna's port */
  double peak_dbi, eirp_dbm, erp_dbm;        /* in the antenna's best direction */
} es_radiated;

/* Loss between amplifier and antenna with the antenna at that height: the line is as much longer or shorter as the
 * antenna is above or below the beacon's own height, when the amplifier stands at the foot and the line is known. */
double es_beacon_feeder_db(const es_beacon *beacon, double height_m);
es_radiated es_radiated_of(const es_beacon *beacon, double amplifier_dbm, double height_m);

#endif
