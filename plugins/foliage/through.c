#include "through.h"

#include <math.h>
#include <stddef.h>

/* --- formulas ------------------------------------------------------------------------------------------------------------ */

/* P.833-10 (1). */
double woodland_db(double gamma_db_m, double ceiling_db, double depth_m) {
  return ceiling_db * -expm1(-depth_m * gamma_db_m / ceiling_db);
}

/* L = A f^B d^C, f in MHz. Those for bare trees are from memory, not verified. */
typedef struct family {
  double a, b, c;
} family;
static const family FAMILIES[METHODS][2] = {[BY_COST235] = {{26.6, -0.2, 0.5}, {15.6, -0.009, 0.26}},
                                            [BY_FITTED] = {{0.37, 0.18, 0.59}, {0.39, 0.39, 0.25}},
                                            [BY_EARLY_ITU] = {{0.2, 0.3, 0.6}, {0.2, 0.3, 0.6}},
                                            [BY_SLANT_PINE] = {{0.25, 0.39, 0.25}, {0.25, 0.39, 0.25}}};

/* Weissberger's frequency goes with 0.284 at any depth. */
static double family_factor(method by, double freq_ghz, int in_leaf) {
  if (by == BY_WEISSBERGER) return pow(freq_ghz, 0.284);
  const family *f = &FAMILIES[by][in_leaf != 0];
  return f->a * pow(1e3 * freq_ghz, f->b);
}

/* Weissberger: 0.45 f^0.284 d up to 14 m, 1.33 f^0.284 d^0.588 beyond, f in GHz: they meet to 0.1 dB. */
static double family_at(method by, double factor, int in_leaf, double depth_m) {
  if (by != BY_WEISSBERGER) return factor * pow(depth_m, FAMILIES[by][in_leaf != 0].c);
  return depth_m < 14.0 ? 0.45 * factor * depth_m : fmax(1.33 * factor * pow(depth_m, 0.588), 0.45 * factor * 14.0);
}

double family_db(method by, double freq_ghz, int in_leaf, double depth_m) {
  return family_at(by, family_factor(by, freq_ghz, in_leaf), in_leaf, depth_m);
}

static int is_family(int by) { return by != BY_P833 && by != BY_RET; }

/* --- gamma and ceiling: the default set of docs/models/foliage.md ------------------------------------------------------ */

static const double REFERENCE_GHZ = 10.368, GAMMA_DB_M = 2.0, CEILING_DB = 45.0;
static const double BARE_GAMMA = 0.5,
                    BARE_CEILING = 7.0 / 9.0; /* of a broadleaf wood without leaves: 1.0 dB/m, 35 dB */

/* Ceilings measured in a mixed wood near St Petersburg, P.833-10 table 1. */
static double measured_ceiling_db(double freq_ghz) {
  static const double FREQ_GHZ[] = {0.1059, 0.466475, 0.949, 1.8522, 2.1175}, DB[] = {9.4, 18.0, 26.5, 29.0, 34.1};
  if (freq_ghz <= FREQ_GHZ[0]) return DB[0];
  size_t i = 0;
  while (i < 3 && freq_ghz > FREQ_GHZ[i + 1]) i++;
  double share = log(freq_ghz / FREQ_GHZ[i]) / log(FREQ_GHZ[i + 1] / FREQ_GHZ[i]);
  return DB[i] + share * (DB[i + 1] - DB[i]);
}

static double default_ceiling_db(double freq_ghz) {
  return freq_ghz <= 2.1175 ? measured_ceiling_db(freq_ghz) : CEILING_DB * pow(freq_ghz / REFERENCE_GHZ, 0.175);
}

static double given_or(double given, double other) { return given > 0.0 ? given : other; }

void wood_make(const wood_numbers *given, double freq_ghz, int32_t season, wood *out) {
  double gamma = GAMMA_DB_M * pow(freq_ghz / REFERENCE_GHZ, 1.02), ceiling = default_ceiling_db(freq_ghz);
  int in_leaf = season != ES_OUT_OF_LEAF;
  *out = (wood){.freq_ghz = freq_ghz, .in_leaf = in_leaf};
  for (int by = 0; by < METHODS; by++)
    for (int leaf = 0; is_family(by) && leaf < 2; leaf++)
      out->factor[by][leaf] = family_factor((method)by, freq_ghz, leaf);
  out->gamma_db_m[ES_BROADLEAF] =
      in_leaf ? given_or(given->gamma_db_m[0], gamma) : given_or(given->gamma_db_m[1], BARE_GAMMA * gamma);
  out->ceiling_db[ES_BROADLEAF] =
      in_leaf ? given_or(given->ceiling_db[0], ceiling) : given_or(given->ceiling_db[1], BARE_CEILING * ceiling);
  out->gamma_db_m[ES_CONIFER] = given_or(given->gamma_db_m[2], gamma);
  out->ceiling_db[ES_CONIFER] = given_or(given->ceiling_db[2], ceiling);
  out->gamma_db_m[ES_MIXED_LEAF] = 0.5 * (out->gamma_db_m[ES_BROADLEAF] + out->gamma_db_m[ES_CONIFER]);
  out->ceiling_db[ES_MIXED_LEAF] = 0.5 * (out->ceiling_db[ES_BROADLEAF] + out->ceiling_db[ES_CONIFER]);
}

void wood_add_medium(int species, wood *out) {
  ret_cell cell = ret_cell_of(species, out->freq_ghz, out->in_leaf);
  ret_solve(&cell, &out->medium);
}

/* --- depth ----------------------------------------------------------------------------------------------------------------- */

static const double OPAQUE_DB_M = 1000.0; /* no signal passes a wall */

/* A thin hedge is no 20 dB wall: never more than gamma d. */
static double hedged_db(const wood *w, method by, int in_leaf, int leaf, double depth_m) {
  double db = family_at(by, w->factor[by][in_leaf != 0], in_leaf, depth_m);
  return fmin(db, w->gamma_db_m[leaf] * depth_m);
}

static double method_db(const wood *w, method by, double beam_deg, int leaf, double depth_m) {
  if (!(depth_m > 0.0)) return 0.0;
  if (by == BY_RET) return ret_loss_db(&w->medium, depth_m, beam_deg);
  if (leaf == ES_CONIFER) return hedged_db(w, by, 1, leaf, depth_m);
  if (leaf == ES_BROADLEAF) return hedged_db(w, by, w->in_leaf, leaf, depth_m);
  return 0.5 * (hedged_db(w, by, 1, ES_CONIFER, depth_m) + hedged_db(w, by, w->in_leaf, ES_BROADLEAF, depth_m));
}

/* A piece adds what the method has at its far end over what it has at its near one. */
static void add_step(const wood *w, method by, double beam_deg, int leaf, double length_m, depth *d) {
  double near_db = d->here == leaf ? d->here_db[by] : method_db(w, by, beam_deg, leaf, d->inside_m);
  d->here_db[by] = method_db(w, by, beam_deg, leaf, d->inside_m + length_m);
  d->stepped_db[by] += fmax(d->here_db[by] - near_db, 0.0);
}

void depth_add(const wood *w, unsigned methods, double beam_deg, uint8_t leaf, double length_m, depth *d) {
  if (leaf == ES_OPAQUE) {
    d->opaque_m += length_m;
    return;
  }
  int kind = leaf == ES_BROADLEAF || leaf == ES_CONIFER ? leaf : ES_MIXED_LEAF;
  for (int by = 0; by < METHODS; by++)
    if (by != BY_P833 && (methods & (1u << by)) != 0) add_step(w, (method)by, beam_deg, kind, length_m, d);
  d->here = kind;
  double linear_db = w->gamma_db_m[kind] * length_m;
  d->linear_db += linear_db;
  d->weighted += linear_db * w->ceiling_db[kind];
  d->inside_m += length_m;
}

double depth_loss_db(method by, const depth *d) {
  double trees_db = d->stepped_db[by];
  if (by == BY_P833) {
    double ceiling_db = d->linear_db > 0.0 ? d->weighted / d->linear_db : 0.0;
    trees_db = d->linear_db > 0.0 ? woodland_db(1.0, ceiling_db, d->linear_db) : 0.0;
  }
  return trees_db + OPAQUE_DB_M * d->opaque_m;
}

int depth_is_hopeless(const depth *d) {
  return d->linear_db * d->linear_db > 6.0 * d->weighted || d->opaque_m > 1.0; /* six ceilings deep */
}
