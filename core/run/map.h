/* map.h - every cell of a map, by the fan of radials: the same code as for a listener, thousands of receivers at a time. */
#ifndef EARSHOT_RUN_MAP_H
#define EARSHOT_RUN_MAP_H

#include "run/path.h"
#include "run/setup.h"

/* The ground under the cells. On the elevation's own grid it is the elevation itself, else a copy. */
typedef struct es_map_cells {
  size_t n;
  const float *ground_m; /* [row][column], NaN: no data */
  size_t pitch;          /* of ground_m: from one row to the next */
  const uint8_t *zone;   /* [cell]; NULL: inland everywhere */
  float *own_ground_m;   /* what is to be given back; NULL where nothing is */
  uint8_t *own_zone;
} es_map_cells;

static inline uint8_t es_map_cell_zone(const es_map_cells *cells, size_t cell) {
  return cells->zone != NULL ? cells->zone[cell] : ES_ZONE_INLAND;
}

int32_t es_map_cells_make(const es_setup *setup, int threads, es_map_cells *out, es_error *err);
void es_map_cells_free(es_map_cells *cells);
/* What it would take of memory. */
size_t es_map_cells_bytes(const es_setup *setup);

/* A winning way as the map of ways tells it: along the ground with more than 1 dB lost in trees is a class of its own. */
uint8_t es_map_way(uint8_t winner, double trees_db);

enum { ES_MAP_PERCENTS = 16, ES_MAP_LAYERS = 2 * ES_MAP_PERCENTS + 4 };

/* Layers of one scenario; [cell], NaN: no answer or outside the radius. NULL: not wanted. */
typedef struct es_map_layers {
  size_t n_cells;
  size_t n_percent;
  double percent[ES_MAP_PERCENTS]; /* the job's percentages */
  float *snr_db[ES_MAP_PERCENTS];  /* SNR in 2500 Hz of the standard listener, one layer a percentage */
  float *loss_db[ES_MAP_PERCENTS]; /* basic transmission loss */
  float *heard_percent;            /* NULL when the chain has no time */
  float *way_median,
      *way_best; /* winning way (es_map_way) at the median and at the best 1 %; NULL when the chain has no time */
  float *los;    /* 1 line of sight, 0 not */
  double noise_2500_dbm;           /* of the standard listener, beam on the horizon */
  size_t missing, outside, failed; /* cells without ground behind them; flagged; without an answer */
} es_map_layers;

/* One scenario's layers by themselves: what maps made together must equal. For tests and benches; a run takes map_ahead.h. */
int32_t es_map_compute(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                       const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                       es_map_layers *out, es_error *err);
/* The same into layers that are there already; of turns only every stride-th. out stays the caller's. */
int32_t es_map_fill(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                    const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                    size_t stride, es_map_layers *out, es_error *err);
/* The layers of some scenarios with the same losses (run/map_ahead.h) in one pass; setups[i] holds in scenario which[i]. */
enum { ES_MAPS_TOGETHER = 8 };
int32_t es_map_fill_many(const es_setup *const *setups, const size_t *which, size_t n, const es_map_cells *cells,
                         const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                         es_map_layers *const *out, es_error *err);
/* Every stride-th turn only, and all layers written over each other into one: to see how long they take. */
int32_t es_map_try(const es_setup *setup, const es_scenario *scenario, const es_map_cells *cells,
                   const es_percentages *percents, int threads, es_worker *workers, size_t stride, float *layer,
                   es_error *err);
/* Turns of neighbouring rays that workers take. */
size_t es_map_turns(const es_setup *setup);
/* Layers of floats that one scenario holds. */
size_t es_map_layer_count(const es_setup *setup);
/* Rays, each a step that is reported to progress. */
size_t es_map_rays(const es_setup *setup);
/* Layers full of NaN; false out of memory, free them then too. */
bool es_map_layers_create(const es_setup *setup, size_t n_cells, es_map_layers *out);
void es_map_layers_free(es_map_layers *layers);
/* The layers that es_map_layers_create() would make, one standing for them all. The layer stays the caller's. */
es_map_layers es_map_layers_over(const es_setup *setup, size_t n_cells, float *layer);
/* One layer full of NaN, in the scratch folder when the setup has one; NULL: no room. Back with es_large_free(). */
float *es_map_layer_create(const es_setup *setup, size_t n_cells);
/* Layers in the scratch folder leave memory until they are touched again. */
void es_map_layers_rest(const es_map_layers *layers);
/* The layers that are wanted: for each percentage SNR and loss, then line of sight, then those of a chain with time. Returns
 * how many; list has room for ES_MAP_LAYERS + 1. */
size_t es_map_layers_list(const es_map_layers *layers, float **list);

#endif
