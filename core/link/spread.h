/* spread.h - how far an answer may be off: independent sigmas, and what they do to levels and shares of time.
 *
 *   snr at p % of the time  (weather)  -\
 *                                        +-> SNR met or bettered with 10, 50, 90 %: time and model together
 *   sigma: power, pattern, model, foliage-/
 *   the same and sigma of the ear ---------> 80 % interval of the share of time heard
 *
 * Sigmas are of normal distributions in dB and combine by root-sum-square. All pure.                                        */
#ifndef EARSHOT_LINK_SPREAD_H
#define EARSHOT_LINK_SPREAD_H

#include "base/faults.h"
#include "link/link.h"

/* How the signal travels, as far as it matters for how well it is computed. */
typedef enum es_way_kind {
  ES_KIND_LOS_LAND,
  ES_KIND_LOS_WATER,
  ES_KIND_EDGE,
  ES_KIND_EDGES,
  ES_KIND_SCATTER,
  ES_KIND_DUCT,
  ES_WAY_KINDS
} es_way_kind;

/* Sigma of the model by way and band: the usual values, and over them what comparisons with measurements gave
 * (core/link/model_sigma_usual.csv, model_sigma.csv). */
typedef struct es_model_sigma {
  double db[ES_WAY_KINDS];
  char basis[ES_WAY_KINDS][160];
} es_model_sigma;

/* The built-in tables at that frequency. false with a fault when they are not whole. */
bool es_model_sigma_builtin(double freq_ghz, es_model_sigma *out, es_faults *faults);
/* Reads a table's text: columns way, band_ghz ("any", or "8-12"), sigma_db (or band and sigma), and if wanted basis. Rows
 * that do not meet the frequency or name another way are passed over. `troposcatter` and `ducting` stand for scatter and
 * duct, `surface` for one and several edges: the comparisons are of paths beyond the horizon, so that sights keep theirs. */
bool es_model_sigma_parse(const char *name, const char *text, double freq_ghz, es_model_sigma *out, es_faults *faults);

enum { ES_SIGMA_POWER, ES_SIGMA_PATTERN, ES_SIGMA_MODEL, ES_SIGMA_FOLIAGE, ES_SIGMA_EAR, ES_SIGMAS };
extern const char *const es_sigma_names[ES_SIGMAS];

typedef struct es_spread {
  double db[ES_SIGMAS];
  const char *basis[ES_SIGMAS]; /* borrowed */
} es_spread;

/* Root-sum-square of all but the ear's: of the level; with the ear's: of hearing. */
double es_spread_level_db(const es_spread *spread);
double es_spread_heard_db(const es_spread *spread);

/* Values met or bettered with those chances (percent), to 1e-5 dB, when value_db[k] at percent[k] of the time may be off by sigma_db[k].
 * Beyond the last percentage the value holds. NaN when any value is. */
void es_spread_values_at(const double *percent, const double *value_db, const double *sigma_db, size_t n,
                         const double *chance_percent, size_t n_chances, double *out);
double es_spread_value_at(const double *percent, const double *value_db, const double *sigma_db, size_t n,
                          double chance_percent);

/* Share of time heard, and its 80 % interval: the same with every SNR 1.2816 sigma lower and higher. */
typedef struct es_heard {
  double percent, low_percent, high_percent;
} es_heard;
es_heard es_spread_heard(const double *percent, const double *snr_db, const double *sigma_db, size_t n,
                         double needed_db);

/* Share of the spread, percent, that lies above what is needed. */
double es_spread_confidence(double snr_db, double needed_db, double sigma_db);

#endif
