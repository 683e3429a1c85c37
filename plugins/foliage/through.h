/* through.h - loss of a signal that goes through trees: the methods on offer, each a function of the depth gone through.
 *
 * Sources: ITU-R P.833-10 section 2.1 (woodland, exponential with a ceiling) and 3.2.1.4 (radiative transfer, ret.h); the
 *          empirical families L = A f^B d^C of Weissberger, the early ITU-R, COST 235 and the fitted ITU-R; P.833-10 2.2 (pine,
 *          slanting paths). Gamma and ceiling above 2.1 GHz are the project's own choice: docs/models/foliage.md.
 * Check:   10.368 GHz, 10 m: Weissberger 8.7; COST 235 26.1 in leaf, 13.2 out; fitted 25.5 and 7.6 dB                      */
#ifndef EARSHOT_PLUGINS_FOLIAGE_THROUGH_H
#define EARSHOT_PLUGINS_FOLIAGE_THROUGH_H

#include "earshot/model.h"
#include "ret.h"

typedef enum method {
  BY_P833,
  BY_WEISSBERGER,
  BY_COST235,
  BY_FITTED,
  BY_RET,
  METHODS_IN_RANGE, /* those told as low, middle, high */
  BY_EARLY_ITU = METHODS_IN_RANGE,
  BY_SLANT_PINE,
  METHODS
} method;
#define METHOD_NAMES "p833|weissberger|cost235|fitted-itu|radiative-transfer|early-itu|slant-pine"

enum { LEAVES = 4 }; /* ES_BROADLEAF, ES_CONIFER, ES_MIXED_LEAF; 0 is not used */

/* Trees at a frequency and a season. */
typedef struct wood {
  double freq_ghz;
  int in_leaf;
  double gamma_db_m[LEAVES], ceiling_db[LEAVES]; /* by leaf */
  double factor[METHODS][2];                     /* of the empirical families: all that hangs on frequency; [in leaf] */
  ret_medium medium;
} wood;

/* The one default set, at any frequency. Given numbers replace it; 0: not given. [0] broadleaf in leaf, [1] bare, [2] conifer */
typedef struct wood_numbers {
  double gamma_db_m[3], ceiling_db[3];
} wood_numbers;
void wood_make(const wood_numbers *given, double freq_ghz, int32_t season, wood *out);
/* What radiative-transfer needs besides. */
void wood_add_medium(int species, wood *out);

/* Bare formulas, before the limit for thin hedges. Depth m, frequency GHz. */
double woodland_db(double gamma_db_m, double ceiling_db, double depth_m);
double family_db(method by, double freq_ghz, int in_leaf, double depth_m);

/* What a signal has gone through so far. Built up from the terminal inward, piece by piece; how it is cut does not matter. */
typedef struct depth {
  double inside_m;            /* trees */
  double linear_db, weighted; /* sum of gamma d, and of gamma d times its ceiling */
  double stepped_db[METHODS]; /* every other method: sum of what each piece adds at its depth */
  double opaque_m;            /* walls and rock */
  int here;                   /* leaf of which here_db is known at this depth; 0: of none */
  double here_db[METHODS];
} depth;
/* Adds a piece for each of some methods: bit 1 << method. */
void depth_add(const wood *w, unsigned methods, double beam_deg, uint8_t leaf, double length_m, depth *d);
double depth_loss_db(method by, const depth *d);
/* So deep that the way over the tops decides. */
int depth_is_hopeless(const depth *d);

#endif
