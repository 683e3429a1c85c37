/* setup.h - everything a run needs before the first radial: models, climate, ground, the plane of the map. Const afterwards. */
#ifndef EARSHOT_RUN_SETUP_H
#define EARSHOT_RUN_SETUP_H

#include <stdatomic.h>

#include "base/progress.h"
#include "job/job.h"
#include "link/spread.h"
#include "model/chain.h"
#include "place/frame.h"

/* Where models are looked for, in order; the last is the installed folder. */
typedef struct es_model_folders {
  const char *const *named; /* --models-from and EARSHOT_MODEL_PATH: must exist */
  size_t n_named;
  const char *installed; /* may be missing */
} es_model_folders;

typedef struct es_setup {
  const es_job *job;
  es_model_set models;
  es_chain chain;
  es_climate *climate;
  es_ground *ground; /* NULL after es_setup_plan() */
  es_ground_facts facts;
  es_frame frame; /* when job->map.wanted */
  bool has_frame;
  double reach_m; /* ground is wanted this far from the beacon */
  double wavelength_m;
  es_model_sigma model_sigma;
  bool timed;             /* the chain has a distribution over time */
  double highest_percent; /* greatest percentage the chain answers for: 100, or 50 for openings */
  const char *scratch;    /* folder for what memory_bytes has no room for; NULL: all is held in memory */
  /* The same for each variant of the job, once the ground is there; NULL when nothing but height, power and season varies.
   * Models, climate and ground are shared; a frame stands about each site. */
  struct es_setup *variants;
  bool elsewhere;         /* the ground is laid about another site than this one's */
  size_t memory_bytes;    /* that the user allows; set after es_setup_plan(). 0: no limit */
  const atomic_int *stop; /* not 0: the run shall stop; set before es_setup_ground(). NULL: never */
} es_setup;

/* Opens models and climate and works out reach; reads no raster. Faults are added; false when there is any. [setup] */
bool es_setup_plan(const es_job *job, const es_model_folders *folders, es_setup *out, es_faults *faults);
/* Reads the ground, lays the frame and looks whether every station stands on known ground. Nothing is read of a ground that
 * alone needs more than memory_bytes. [setup] */
bool es_setup_ground(es_setup *setup, es_faults *faults, es_progress *progress);
void es_setup_close(es_setup *setup);
/* Asked between radials and between files: ES_E_STOPPED when the run shall stop, else 0. [any thread] */
int32_t es_setup_stopped(const es_setup *setup, es_error *err);
/* The setup that holds in a scenario: its job is the variant's. Borrowed from `setup`. */
const es_setup *es_setup_in(const es_setup *setup, size_t scenario);

/* Opens models from the folders. */
bool es_folders_open(const es_model_folders *folders, es_model_set *set, es_faults *faults);
/* Effective radius for median refraction at a place, km: given, or from the lapse the chain uses. */
double es_median_radius_km(es_chain_kind chain, double given_km, const es_climate *climate, es_lonlat at);

#endif
