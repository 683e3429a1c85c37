/* locator.h - IARU locators, 4 to 10 characters, both ways.
 *
 * Field 20 x 10 degrees, square 2 x 1, sub-square 5' x 2.5', then 30" x 15", then 1.25" x 0.625"; pairs are longitude
 * then latitude, counted from 180 W and 90 S. A locator stands for the centre of its cell.                           */
#ifndef EARSHOT_PLACE_LOCATOR_H
#define EARSHOT_PLACE_LOCATOR_H

#include "base/status.h"
#include "place/geodesic.h"

/* Reads 4, 6, 8 or 10 characters of either case (AA00aa00aa). half_lon_deg and half_lat_deg (may be NULL) get half the
 * cell's size. 0, or ES_E_INPUT with what was wanted. */
int32_t es_locator_parse(const char *text, es_lonlat *centre, double *half_lon_deg, double *half_lat_deg,
                         es_error *err);

/* Writes `chars` (4, 6, 8 or 10) characters and a zero into out[11]. lon is taken modulo 360; lat 90 belongs to the
 * northernmost row. */
int32_t es_locator_format(es_lonlat at, int chars, char out[11], es_error *err);

#endif
