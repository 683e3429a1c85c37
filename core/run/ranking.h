/* ranking.h - all scenarios by what the job wants (es_job.aim), ties told as ties.
 *
 * A listener's chance to hear the beacon is the share of the answer's spread above what the mode needs, at the aim's share of
 * the time. A scenario's score is the sum of chances times weights: the listeners to be expected.
 *
 * Two scenarios of one site are wrong together: the same path, the same model. So a listener decides between them only where
 * one hears and the other does not, with the chance |p - q|, and the difference of scores has the variance
 * sum w^2 |p - q| (1 - |p - q|). At different sites errors are taken as independent: sum w^2 (p (1 - p) + q (1 - q)).
 * A difference of no more than its own standard deviation is a tie.
 *
 * Only what the keeper decides is ranked: scenarios compete within a season and a growth of the trees. A rank is one more than
 * the number of scenarios that are clearly better. House rules; the statistics are those of independent yes-or-no trials. */
#ifndef EARSHOT_RUN_RANKING_H
#define EARSHOT_RUN_RANKING_H

#include "run/listeners.h"

/* Area covered: with the answer as it is, and with everything one sigma worse and better; km2. */
typedef struct es_area {
  double km2, worse_km2, better_km2;
} es_area;

typedef struct es_score {
  double first, listeners; /* expected: those of aim.first without weights, all with weights */
  size_t heard;            /* listeners that hear it by the answer itself */
  es_area area;            /* NaN without a map */
  size_t rank;             /* 1: no scenario of its season is clearly better */
  bool tied_with_best;     /* not the first of its season, but not clearly behind it either */
} es_score;

typedef struct es_ranking {
  es_score *scores; /* [scenario] */
  double *chance;   /* [scenario][listener], 0..1; NaN: no answer, which counts as not heard */
  size_t *order;    /* scenarios, season by season, best first */
  size_t n, n_listeners;
  double weight; /* of all listeners */
  const es_setup *setup;
} es_ranking;

/* area: a value a scenario, or NULL without maps. */
int32_t es_ranking_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                        const es_area *area, es_ranking *out, es_error *err);
void es_ranking_free(es_ranking *ranking);
/* 1: a is clearly better than b, -1: worse, 0: a tie. */
int es_ranking_compare(const es_ranking *ranking, size_t a, size_t b);
/* Scenarios that compete: the same season, the same growth. */
bool es_ranking_rivals(const es_ranking *ranking, size_t a, size_t b);
/* The first in order among the rivals of a scenario. */
size_t es_ranking_best(const es_ranking *ranking, size_t scenario);

/* Chance, 0..1, that a listener hears a mode (NULL: its own) for that share of the time; NaN without an answer. */
double es_chance_heard(const es_setup *setup, const es_percentages *percents, const es_path_answer *answer,
                       const es_mode *mode, double time_percent);
/* Chance that `p` and `q` of one listener decide otherwise, and the variance of their difference. */
double es_chance_variance(double p, double q, bool same_site);

/* ranking.csv and ranking.json: every scenario with its rank, score and spread, and the share of listeners to be expected by
 * each mode. */
int32_t es_ranking_write(const es_ranking *ranking, const es_percentages *percents, const es_listener_answers *answers,
                         const char *folder, es_error *err);
/* "Best of 12: 18m-27dbm-in-leaf, 21.4 of 26 listeners to be expected; 3 more cannot be told from it." "" when the job has
 * one scenario of that season. */
void es_ranking_sentence(const es_ranking *ranking, char *out, size_t n);

#endif
