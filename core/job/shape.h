/* shape.h - the shapes of antennas as the job file writes them, for both ends. */
#ifndef EARSHOT_JOB_SHAPE_H
#define EARSHOT_JOB_SHAPE_H

#include "job/read.h"
#include "station/antenna.h"

#define ES_USUAL_EFFICIENCY 0.55 /* of a dish; common practice */

/* How many keys that make a shape are there (gain_dbi, dish_m, horn_mm, slots, beam_deg, sector_deg). */
int es_shape_count(const es_reader *reader, es_node node);
/* Makes the antenna, pointing north and level. polarisation (ES_HORIZONTAL, ES_VERTICAL) turns a horn. false: no shape, or
 * a faulty one, which is told. */
bool es_shape_make(const es_reader *reader, es_node node, const es_shape_keys *keys, double freq_ghz,
                   int32_t polarisation, es_antenna *out);
/* A gain above what the pattern allows: told when a little, a fault when more. */
void es_shape_check_peak(const es_reader *reader, es_node node, const es_antenna *antenna);

#endif
