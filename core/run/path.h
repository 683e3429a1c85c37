/* path.h - one listener in full: the radial to it, every way, the budget, the share of time. */
#ifndef EARSHOT_RUN_PATH_H
#define EARSHOT_RUN_PATH_H

#include "link/link.h"
#include "run/setup.h"
#include "run/trees.h"
#include "run/worker.h"

/* The percentages a run is evaluated at: the year's and the job's own, rising. A chain without time has one. */
typedef struct es_percentages {
  double value[64];
  size_t n, median, best; /* indices of 50 % and of the best 1 % (or the nearest there is) */
} es_percentages;
es_percentages es_percentages_of(const es_job *job, bool timed, double highest);

typedef struct es_path_answer {
  es_course course;
  uint8_t status;             /* of the whole path: ES_OK, or ES_MISSING without ground */
  bool los, bridged, by_mask; /* some ground was bridged over a void, or is sea by the mask alone */
  double reach_m;             /* ground is known this far when status is ES_MISSING */
  double el_tx, el_rx, clearance_m, clearance_f1, worst_m;
  double horizon_tx_m, horizon_rx_m; /* distances from each end */
  double beacon_ground_m, ground_m;
  es_receive_noise noise;
  double eirp_dbm, gain_rx_dbi;                      /* towards this listener on the winning way */
  size_t n;                                          /* percentages */
  double *basic_db, *system_db, *level_dbm, *snr_db; /* [n] */
  uint8_t *winner, *answer_status;
  double *way_db[ES_WAYS];          /* [n] each, NULL when that way is absent */
  double *term_db[ES_CHAIN_MODELS]; /* value at the median, one each */
  const char *term_id[ES_CHAIN_MODELS];
  size_t n_terms;
  es_trees_answer trees;
  double heard_percent; /* of the year in the wanted mode; NaN when the chain has no time */
  double needed_db;     /* SNR the wanted mode needs */
} es_path_answer;

/* Evaluates one listener in one scenario. Arrays of the answer come from `results`; the worker's arenas are reset. note and
 * radial_out (valid until the worker is reset) may be NULL. */
int32_t es_path_evaluate(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                         const es_percentages *percents, es_worker *worker, es_arena *results, es_note_fn note,
                         void *note_to, es_path_answer *out, es_radial *radial_out, es_error *err);

#endif
