/* year.h - two seasons weighed into one yearly figure: the share of the year with at least some SNR is that share in leaf
 * and that out of leaf, each for its months. Weighed are the shares, never the dB.
 *
 * It supposes that ducts, rain and leaves have nothing to do with each other's months.                                    */
#ifndef EARSHOT_RUN_YEAR_H
#define EARSHOT_RUN_YEAR_H

#include <jansson.h>

#include "run/listeners.h"

typedef struct es_year_figure {
  bool known;
  double snr_db[3]; /* exceeded for 10, 50 and 90 % of the year; NaN where the chain has no answer */
  double heard_percent;
} es_year_figure;

/* From both seasons' SNR at the same percentages. */
es_year_figure es_year_weigh(const es_percentages *percents, const double *in_leaf_db, const double *out_of_leaf_db,
                             double leaf_months, double needed_db);
/* Index of the scenario that differs from this one in nothing but the season; SIZE_MAX when the job has none. */
size_t es_scenario_in_season(const es_job *job, size_t scenario, int32_t season);
/* The yearly figure of a listener; known is false unless the job asks for it and has both seasons. */
es_year_figure es_year_of(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                          size_t scenario, size_t listener);

/* That of one listener by itself: both seasons' paths are evaluated. Arrays from `results`; the worker's arenas are reset. */
int32_t es_year_of_path(const es_setup *setup, const es_percentages *percents, size_t scenario,
                        const es_listener *listener, es_worker *worker, es_arena *results, es_year_figure *out,
                        es_error *err);

json_t *es_year_record(const es_trees_plan *plan, const es_year_figure *year);

#endif
