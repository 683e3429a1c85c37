/* sheets.h - a scenario's layers as files: map sheets with everything that is written on them, and rasters. */
#ifndef EARSHOT_RUN_SHEETS_H
#define EARSHOT_RUN_SHEETS_H

#include "run/listeners.h"
#include "run/map.h"

/* Writes map-<what>-<scenario>.png and .tif into the folder. run_id: eight characters. */
int32_t es_sheets_write(const es_setup *setup, size_t scenario, const es_percentages *percents,
                        const es_map_cells *cells, const es_map_layers *layers, const es_listener_answers *answers,
                        const char *folder, const char *run_id, int threads, es_error *err);

/* The layer nearest to the median. */
size_t es_map_median_layer(const es_map_layers *layers);
/* What leaves take: SNR in leaf less SNR out of leaf at the median, as a sheet and a raster named after the scenario in
 * leaf. */
int32_t es_leaves_write(const es_setup *setup, size_t in_leaf, size_t out_of_leaf, const es_percentages *percents,
                        const es_map_cells *cells, const float *difference_db, const es_listener_answers *answers,
                        const char *folder, const char *run_id, int threads, es_error *err);

/* A pair side by side: by how many dB the median changes from one scenario to the other. */
typedef struct es_change_sheet {
  const char *stem; /* of the files: compare-01 */
  es_pair pair;
  size_t plane; /* the scenario whose plane the cells are of; setup, cells and change belong to it */
} es_change_sheet;
/* <stem>.png and .tif. */
int32_t es_change_write(const es_setup *setup, const es_change_sheet *sheet, const es_percentages *percents,
                        const es_map_cells *cells, const float *change_db, const es_listener_answers *answers,
                        const char *folder, const char *run_id, int threads, es_error *err);

#endif
