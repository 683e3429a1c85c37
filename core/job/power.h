/* power.h - the beacon's power and its feeder as the job file writes them. */
#ifndef EARSHOT_JOB_POWER_H
#define EARSHOT_JOB_POWER_H

#include "job/read.h"
#include "station/station.h"

/* Fills power_dbm (NaN when the section gives none), its sigma and basis, and the feeder. The antenna and the frequency
 * are known already: EIRP or ERP are turned into power at the amplifier by them. `feeder` (ES_NO_NODE: none) stands for the section's own, `amplifier` (-1: as written) for its place. */
void es_power_read(const es_reader *reader, es_node node, es_node feeder, int32_t amplifier, es_beacon *out);

#endif
