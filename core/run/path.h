/* path.h - one listener in full: the radial to it, every way, the budget, the share of time. */
#ifndef EARSHOT_RUN_PATH_H
#define EARSHOT_RUN_PATH_H

#include "link/spread.h"
#include "run/setup.h"
#include "run/trees.h"
#include "run/worker.h"

/* The percentages a run is evaluated at: the year's and the job's own, rising. A chain without time has one. */
typedef struct es_percentages {
  double value[64];
  size_t n, median, best; /* indices of 50 % and of the best 1 % (or the nearest there is) */
} es_percentages;
es_percentages es_percentages_of(const es_job *job, bool timed, double highest);

enum { ES_CHANCES = 3 };
extern const double es_chance_percent[ES_CHANCES]; /* 10, 50, 90 */

/* The spread of one answer; filled by es_answer_doubt(). */
typedef struct es_doubt {
  es_way_kind kind;                                 /* of the way that carries the median */
  double widening_hz;                               /* how wide the signal is: drift, scatter */
  double foliage_db;                                /* lost in trees at the median; 0: none are known of */
  double short_tx_db, short_rx_db;                  /* gain towards the other end under the peak */
  double far_m;                                     /* both antennas' far field begins there */
  es_spread spread;                                 /* on the median's way */
  double *sigma_db;                                 /* [n] of the level, way by way */
  double level_dbm[ES_CHANCES], snr_db[ES_CHANCES]; /* met with that chance: time and model together */
  double heard_low_percent, heard_high_percent;     /* 80 % interval; NaN when the chain has no time */
  double confidence_percent;                        /* share of the spread at the median above what is needed */
} es_doubt;

typedef enum es_cause_kind {
  ES_CAUSE_NOTHING,
  ES_CAUSE_TREES,
  ES_CAUSE_RIDGE,
  ES_CAUSE_DISTANCE,
  ES_CAUSE_NULL,
  ES_CAUSE_POLARISATION,
  ES_CAUSE_NOISE,
  ES_CAUSE_NO_GROUND,
  ES_CAUSES
} es_cause_kind;

typedef struct es_cause {
  es_cause_kind kind;
  double db;      /* what it takes; NaN when that cannot be said */
  double from_m;  /* distance of the thing from the nearer end; NaN: nowhere in particular */
  bool listener;  /* the nearer end is the listener's; of a null: it is the listener's antenna */
  double above_m; /* over the sight line, or over the straight way to the horizon; NaN */
} es_cause;

/* One change that was really made and evaluated. */
typedef struct es_help {
  char what[48];        /* "a 0.9 m dish" */
  double db;            /* gained half of the time */
  double heard_percent; /* then; NaN when the chain has no time */
} es_help;
enum { ES_HELPS = 3 };

typedef struct es_verdict {
  const es_mode *best[ES_CHANCES]; /* at 10, 50, 90 % of the time; NULL: none */
  es_cause cause;
  es_help help[ES_HELPS];
  size_t n_help;
  double opening_percent;                /* share of the year that is left to wait for; NaN */
  const char *verdict, *limit, *helpful; /* sentences; NULL until written */
} es_verdict;

typedef struct es_path_answer {
  es_course course;
  uint8_t status;             /* of the whole path: ES_OK, or ES_MISSING without ground */
  bool los, bridged, by_mask; /* some ground was bridged over a void, or is sea by the mask alone */
  double freq_ghz;
  double reach_m; /* ground is known this far when status is ES_MISSING */
  double el_tx, el_rx, clearance_m, clearance_f1, worst_m;
  double horizon_tx_m, horizon_rx_m; /* distances from each end */
  double beacon_ground_m, ground_m;
  double trees_m, trees_above_m;      /* canopy that stands highest in the way: from the beacon, over it; NaN: none */
  double way_el_rx;                   /* elevation at which the winning way arrives */
  double smooth_horizon_m, sea_share; /* both horizons over the smooth earth; share of sea */
  es_receive_noise noise;
  double eirp_dbm, gain_tx_dbi, gain_rx_dbi;         /* towards this listener on the winning way */
  double end_db;                                     /* of the median, what trees at the ends take on the winning way */
  double polarisation_db;                            /* lost by unlike polarisation */
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
  es_doubt doubt;       /* how far all this may be off */
  es_verdict verdict;   /* filled by es_path_advise() */
} es_path_answer;

/* Works out the spread of an answer that is whole but for it. Arrays from `results`. */
int32_t es_answer_doubt(const es_setup *setup, const es_listener *listener, const es_percentages *percents,
                        es_arena *results, es_path_answer *answer, es_error *err);

/* Sigma of hearing (power, pattern, model, foliage, ear) near both antennas' peaks, where trees lose foliage_db. */
double es_usual_sigma_db(const es_setup *setup, const es_receiver *receiver, es_way_kind kind, double foliage_db);

/* Evaluates one listener in one scenario. Arrays of the answer come from `results`; the worker's arenas are reset. note and
 * radial_out (valid until the worker is reset) may be NULL. */
int32_t es_path_evaluate(const es_setup *setup, const es_scenario *scenario, const es_listener *listener,
                         const es_percentages *percents, es_worker *worker, es_arena *results, es_note_fn note,
                         void *note_to, es_path_answer *out, es_radial *radial_out, es_error *err);

#endif
