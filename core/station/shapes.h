/* shapes.h - gains of the computed shapes, az and el relative to the axis. Internal to core/station. */
#ifndef EARSHOT_STATION_SHAPES_H
#define EARSHOT_STATION_SHAPES_H

#include "station/antenna.h"

double es_all_round_dbi(const es_antenna *a, double el);
double es_horn_dbi(const es_antenna *a, double freq_ghz, double az, double el);
double es_slotted_dbi(const es_antenna *a, double freq_ghz, double az, double el);
double es_sector_dbi(const es_antenna *a, double az, double el);
double es_beam_dbi(const es_antenna *a, double az, double el);

#endif
