/* map_rays.h - a few neighbouring rays of a map at a time. */
#ifndef EARSHOT_RUN_MAP_RAYS_H
#define EARSHOT_RUN_MAP_RAYS_H

#include <stdatomic.h>

#include "radial/fan.h"
#include "run/map.h"

/* A turn of a worker is long enough that another one seldom works on the same lines of memory. */
enum { ES_RAYS_TOGETHER = 8, ES_RAYS_A_TURN = 32 };

/* One scenario's layers; of several only power and feeder differ. */
typedef struct es_map_view {
  es_map_layers *out;
  float *layer[ES_MAP_LAYERS + 1]; /* of out, as es_map_layers_list() has them */
  size_t n_layers;
  double sent_dbm; /* at the beacon antenna's port, less what the standard listener loses by polarisation */
} es_map_view;

typedef struct es_map_work {
  const es_setup *setup;
  const es_scenario *scenario;
  const es_map_cells *cells;
  const es_percentages *percents;
  es_fan fan;
  es_worker *workers;
  es_progress *progress; /* may be NULL */
  es_map_view view[ES_MAPS_TOGETHER];
  size_t n_views, n_columns;        /* n_columns: layers of all views */
  size_t layer_at[ES_MAP_PERCENTS]; /* index in percents of each of the layers' percentages */
  double needed_db;                 /* SNR that the wanted mode needs */
  size_t stride;                    /* of bundles; 1: all */
  _Atomic size_t missing, outside, failed;
} es_map_work;

/* Rays item * stride * ES_RAYS_A_TURN and those after it; writes the cells they own. An es_pool_fn. */
int32_t es_map_rays_do(void *work, int worker, size_t item, es_error *err);

#endif
