/* cell_range.h - how far a map cell's share of the year may be off: the 8-in-10 interval, as a listener's own answer has it.
 *
 * A map keeps a few percentages only. The distribution over time is taken from those and from the share itself, normal
 * deviates straight between them and on beyond them; the sigma is that of the way which carries the median. Of the horizons
 * nothing is kept: beyond the line of sight the larger sigma of one edge and of several holds, and trees, where the way goes
 * through them, count in full.                                                                                            */
#ifndef EARSHOT_RUN_CELL_RANGE_H
#define EARSHOT_RUN_CELL_RANGE_H

#include "run/map.h"

typedef struct es_cell_range {
  float *low_percent, *high_percent; /* [cell]; NaN: no answer. Layers as es_map_layer_create() makes them */
} es_cell_range;

/* Of every cell. The layers must have heard_percent and way_median. Both arrays belong to the caller, who frees them
 * whatever the status. [setup] */
int32_t es_cell_range_make(const es_setup *setup, const es_map_cells *cells, const es_map_layers *layers,
                           es_cell_range *out, es_error *err);
void es_cell_range_free(es_cell_range *range);

/* The share with which `need_db` is met when snr_db[k] is met percent[k] of the time: percent rises, snr falls. */
double es_share_met(const double *percent, const double *snr_db, size_t n, double need_db);

#endif
