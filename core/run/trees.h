/* trees.h - what trees do to one listener: the loss by each method, the run that does it, what raising or trimming would
 * give. All at the median of the year. */
#ifndef EARSHOT_RUN_TREES_H
#define EARSHOT_RUN_TREES_H

#include <jansson.h>

#include "radial/blocking.h"
#include "run/setup.h"

enum { ES_THROUGH_METHODS = 5 };
extern const char *const es_through_names[ES_THROUGH_METHODS]; /* "p833", "weissberger", ... */

typedef struct es_trees_answer {
  bool stands;                              /* anything at all stands on the line */
  double end_db[3];                         /* loss of each way's ends; NaN: no such way, or no model of it */
  double method_db[3][ES_THROUGH_METHODS];  /* the same by every method */
  double loss_db;                           /* of the way that carries the signal */
  double low_db, middle_db, high_db;        /* over the methods */
  double no_trees_loss_db, no_trees_snr_db; /* all ways together without any of it */
  es_blocking block[2];                     /* at the beacon, at the listener */
  double under_m[2];                        /* antenna below its own canopy by; 0: not */
  double trimmed_loss_db, trimmed_snr_db;   /* trees cut to the height asked; NaN: not asked */
  double flutter_db, flutter_hz;            /* wind; NaN: not asked */
} es_trees_answer;

es_trees_answer es_trees_nothing(void);

/* Takes in a quantity noted by the foliage model at the median; false when it is none of its. */
bool es_trees_note(es_trees_answer *trees, const char *symbol, double value);
/* The way that carries the signal (0..2) is known: low, middle and high follow. */
void es_trees_close(es_trees_answer *trees, int way, double wind_m_s);

/* Standard deviation of the fade (dB) and its rate (Hz) in a wind, by a rule of thumb that is not verified. */
void es_flutter(double wind_m_s, double *db, double *hz);

json_t *es_trees_record(const es_trees_answer *trees, const es_trees_plan *plan);

#endif
