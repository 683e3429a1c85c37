/* trial.h - a run in small, to tell how long the whole one takes: a few of the job's listeners in all scenarios, a few rays of
 * its map, some pictures, and a small map of the same ground with all its files, in a temporary folder that is removed.
 *
 * What was tried is counted up as the run counts: every listener once, each loss that maps share once, cells once a site,
 * files once a scenario. Takes a second or so, longer where a single listener or turn of rays does.                       */
#ifndef EARSHOT_RUN_TRIAL_H
#define EARSHOT_RUN_TRIAL_H

#include "run/path.h"

typedef struct es_trial {
  double inputs_s;    /* checksums of what the job reads */
  double listeners_s; /* all of them in all scenarios */
  double maps_s, files_s;
  size_t passes; /* over the map's rays */
  size_t sites;  /* planes of cells */
} es_trial;

/* By `threads` workers, on the processors there are. ES_E_FILE: the temporary folder cannot be had; files_s is NaN then and
 * the rest is filled. The setup must have its ground. */
int32_t es_trial_make(const es_setup *setup, const es_percentages *percents, int threads, es_trial *out, es_error *err);

#endif
