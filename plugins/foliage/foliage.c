/* foliage.c - what trees cost, in leaf and out, near and far.
 *
 * Source:  ITU-R P.833-10 for the loss through trees; how it is applied to a profile is the project's own:
 *          docs/models/foliage.md.
 * Given:   what stands on the line (top, base, density, leaf), the season, the directions of the way in hand
 * Gives:   dB lost at both ends of a way, 0 where no tree comes near its ray
 * Check:   200 km of smooth earth, 20 m of wood 100 m from a listener, tops 10 m above his antenna, 10.368 GHz:
 *          25.278 dB in leaf, 15.131 dB out of leaf by troposcatter
 *
 *                over: the tops are edges          Two routes past all trees, through and over, added as powers:
 *              . - - -^^^^- - - .                  A = -10 lg(10^(-Av/10) + 10^(-Ao/10)), never below 0.
 *        o - - - - - -^^^^- - - - - ->             The ray leaves in the direction of its way: the same trees cost the
 *        |  through   ^^^^                         surface way, ducts and scatter what each meets.
 *
 *   A duct or a scattered signal may also use the air above distant trees at the price that way asks for a higher
 *   horizon. The surface way has the loss over the tops from the host: the chain's own diffraction with the canopy as its
 *   profile.                                                                                                            */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "walk.h"

enum { THROUGH, SPECIES, BEAM, GAMMA_IN, GAMMA_OUT, GAMMA_CONIFER, CEILING_IN, CEILING_OUT, CEILING_CONIFER };
static const es_setting settings[] = {
    {"through", "", "how the loss through trees is computed", 0, METHODS - 1, BY_P833, METHOD_NAMES},
    {"species", "", "of radiative-transfer; any: silver maple", 0, RET_SPECIES - 1, RET_SPECIES - 1, RET_SPECIES_NAMES},
    {"beam_deg", "degrees", "3 dB beamwidth for radiative-transfer; 0: from the gain of the antenna at that end", 0, 90,
     0, NULL},
    {"gamma_in_leaf_db_m", "dB/m", "loss of the first metres of broadleaf in leaf; 0: the default set", 0, 20, 0, NULL},
    {"gamma_out_of_leaf_db_m", "dB/m", "the same of bare broadleaf; 0: the default set", 0, 20, 0, NULL},
    {"gamma_conifer_db_m", "dB/m", "the same of conifers; 0: the default set", 0, 20, 0, NULL},
    {"ceiling_in_leaf_db", "dB", "most that broadleaf in leaf takes; 0: the default set", 0, 300, 0, NULL},
    {"ceiling_out_of_leaf_db", "dB", "the same of bare broadleaf; 0: the default set", 0, 300, 0, NULL},
    {"ceiling_conifer_db", "dB", "the same of conifers; 0: the default set", 0, 300, 0, NULL},
};

typedef struct foliage {
  method by;
  int species;
  double beam_deg;
  wood_numbers numbers;
} foliage;

static int32_t create(const double *v, void **self, es_error *err) {
  (void)err;
  foliage *f = malloc(sizeof *f);
  if (f == NULL) return ES_FAILED;
  *f = (foliage){(method)v[THROUGH],
                 (int)v[SPECIES],
                 v[BEAM],
                 {{v[GAMMA_IN], v[GAMMA_OUT], v[GAMMA_CONIFER]}, {v[CEILING_IN], v[CEILING_OUT], v[CEILING_CONIFER]}}};
  *self = f;
  return 0;
}

/* Everything of one task that is the same for all receivers. */
typedef struct work {
  const foliage *set;
  const es_task *task;
  wood wood;
  canopy canopy;
  const es_hull *over; /* tangents over the tops; NULL on the surface way */
  double wavelength_m, beam_deg[2];
} work;

/* --- routes ------------------------------------------------------------------------------------------------------------- */

/* P.526 (31). */
static double knife_edge_db(double nu) {
  return nu > -0.78 ? 6.9 + 20.0 * log10(sqrt((nu - 0.1) * (nu - 0.1) + 1.0) + nu - 0.1) : 0.0;
}

static double both_routes_db(double through_db, double over_db) {
  double low = fmin(through_db, over_db), gap = fabs(through_db - over_db);
  return fmax(low - 10.0 * log10(1.0 + pow(10.0, -0.1 * gap)), 0.0);
}

/* Beamwidth of a dish of that gain: 70 lambda / D degrees at 55 % efficiency. */
static double beam_of_gain(double gain_dbi) {
  double beam = 163.0 * pow(10.0, -gain_dbi / 20.0);
  return beam < 0.5 ? 0.5 : beam > 30.0 ? 30.0 : beam; /* range of the Recommendation's measurements */
}

/* --- both rays of a path ---------------------------------------------------------------------------------------------------- */

/* The two rays meet where they cross, or, in line of sight, at the point of least clearance. */
typedef struct arms {
  ray tx, rx;
} arms;

static arms arms_of(const work *w, size_t r) {
  const es_task *t = w->task;
  double k = w->canopy.half_curvature, dist = t->rx->dist_m[r];
  double g_tx = t->beacon->antenna_m, g_rx = t->rx->at[r].antenna_m - k * dist * dist;
  double s_tx = t->el_tx[r], s_rx = t->el_rx[r] + 2.0 * k * dist; /* slopes in parabolic heights */
  double meet = s_tx + s_rx > 1e-9 ? (g_rx + s_rx * dist - g_tx) / (s_tx + s_rx) : t->rx->d_tx_m[r];
  meet = fmin(fmax(meet, 0.0), dist);
  return (arms){{0.0, meet, g_tx, s_tx, dist, w->wavelength_m}, {dist, meet, g_rx, s_rx, dist, w->wavelength_m}};
}

/* --- ducts and scatter: each end by itself ------------------------------------------------------------------------------------ */

static const double TILT_DB_RAD = 573.0; /* troposcatter, P.452-18 (45) and P.2001-6 (E.13): 0.573 dB for each mrad */

/* Shielding of a duct's end, P.2001-6 (D.3.2), (D.3.3). */
static double shielding_db(double el, double horizon_m, double freq_ghz) {
  double km = 0.001 * horizon_m, excess_mrad = 1000.0 * el - 0.1 * km;
  if (excess_mrad <= 0.0) return 0.0;
  return 20.0 * log10(1.0 + 0.361 * excess_mrad * sqrt(freq_ghz * km)) + 0.264 * excess_mrad * cbrt(freq_ghz);
}

/* What the way asks for leaving over the tops instead of over the ground. The ground's horizon distance is kept, so that
 * the price has no jump where a top comes into sight. */
static const tops NO_TOPS = {-INFINITY, -INFINITY, -INFINITY};

static double price_db(const work *w, double el, double el_over, double horizon_m) {
  if (!(el_over > el)) return 0.0;
  if (w->task->way == ES_SCATTER) return TILT_DB_RAD * (el_over - el);
  return shielding_db(el_over, horizon_m, w->task->freq_ghz) - shielding_db(el, horizon_m, w->task->freq_ghz);
}

/* A way past the trees that starts at an end: what stands in it, and the price of going over. */
typedef struct passage {
  depth through;
  double over_db;
} passage;

static passage pass_end(const work *w, unsigned methods, int32_t end, size_t r, const ray *along) {
  const es_receivers *rx = w->task->rx;
  passage p = {0};
  tops t = NO_TOPS;
  canopy_walk(&w->canopy, &w->wood, methods, w->beam_deg[end], along, &p.through, &t);
  double el = end == ES_BEACON ? w->task->el_tx[r] : w->task->el_rx[r];
  double horizon_m = end == ES_BEACON ? rx->d_tx_m[r] : rx->d_rx_m[r];
  double slope = fmax(end == ES_BEACON ? w->over[r].tx_slope : w->over[r].rx_slope, t.own_slope);
  p.over_db = fmin(knife_edge_db(t.nu), price_db(w, el, el + slope - along->slope, horizon_m));
  return p;
}

static void ends_db(const work *w, unsigned methods, size_t r, double *db) {
  arms a = arms_of(w, r);
  passage tx = pass_end(w, methods, ES_BEACON, r, &a.tx), rx = pass_end(w, methods, ES_LISTENER, r, &a.rx);
  for (int by = 0; by < METHODS; by++)
    db[by] = both_routes_db(depth_loss_db((method)by, &tx.through), tx.over_db) +
             both_routes_db(depth_loss_db((method)by, &rx.through), rx.over_db);
}

/* --- the surface way: the whole path at once ------------------------------------------------------------------------------------ */

/* Through all trees of the path, and the tops of both its arms. With the host's diffraction over the tops only those at the
 * terminals matter. */
static void whole_db(const work *w, unsigned methods, size_t r, double *db, tops *highest) {
  arms a = arms_of(w, r);
  depth d = {0};
  tops tx = NO_TOPS, rx = NO_TOPS;
  bool known = w->task->canopy_db != NULL;
  canopy_walk(&w->canopy, &w->wood, methods, w->beam_deg[ES_BEACON], &a.tx, &d, known ? NULL : &tx);
  canopy_walk(&w->canopy, &w->wood, methods, w->beam_deg[ES_LISTENER], &a.rx, &d, known ? NULL : &rx);
  if (known && w->task->line->n >= 2) {
    canopy_look_up(&w->canopy, &a.tx, &tx);
    canopy_look_up(&w->canopy, &a.rx, &rx);
  }
  *highest = (tops){fmax(tx.nu, rx.nu), fmax(tx.own_nu, rx.own_nu), 0.0};
  for (int by = 0; by < METHODS; by++) db[by] = depth_loss_db((method)by, &d);
}

/* What trees add to the diffraction loss of the ground. Without a model of diffraction, tops are edges of their own. The
 * host's profile ends before the terminals; what they stand under is an edge as well. */
static double surface_db(const work *w, double through_db, const tops *highest, size_t j) {
  const es_task *t = w->task;
  if (t->canopy_db == NULL) return both_routes_db(through_db, knife_edge_db(highest->nu));
  double ground = t->ground_db[j], through = ground + through_db;
  double over = fmax(t->canopy_db[j], ground + knife_edge_db(highest->own_nu));
  double low = fmin(over, through), both = low - 10.0 * log10(1.0 + pow(10.0, -0.1 * fabs(over - through)));
  return fmax(both - ground, 0.0);
}

/* --- reports ------------------------------------------------------------------------------------------------------------------- */

static const char *const SYMBOLS[3][METHODS_IN_RANGE] = {
    {"foliage surface p833", "foliage surface weissberger", "foliage surface cost235", "foliage surface fitted-itu",
     "foliage surface radiative-transfer"},
    {"foliage ducting p833", "foliage ducting weissberger", "foliage ducting cost235", "foliage ducting fitted-itu",
     "foliage ducting radiative-transfer"},
    {"foliage troposcatter p833", "foliage troposcatter weissberger", "foliage troposcatter cost235",
     "foliage troposcatter fitted-itu", "foliage troposcatter radiative-transfer"}};

/* Every method's answer, so that people see how far they are apart. */
static void note_range(const work *w, const double *db, const tops *highest, size_t r) {
  const es_task *t = w->task;
  size_t n = t->rx->n;
  int row = t->way == ES_SURFACE ? 0 : t->way == ES_DUCT ? 1 : 2;
  for (int by = 0; by < METHODS_IN_RANGE; by++)
    for (size_t k = 0; k < t->n_percent; k++) {
      double value = t->way == ES_SURFACE ? surface_db(w, db[by], highest, k * n + r) : db[by];
      t->host->note(t->ctx, k, r, SYMBOLS[row][by], value);
    }
}

/* --- the model -------------------------------------------------------------------------------------------------------------------- */

static int32_t prepare_work(work *w) {
  const es_task *t = w->task;
  void *room = t->host->scratch(t->ctx, canopy_bytes(t->line->n));
  if (room == NULL) return ES_FAILED;
  wood_make(&w->set->numbers, t->freq_ghz, t->season, &w->wood);
  if (w->set->by == BY_RET || t->host->note != NULL) wood_add_medium(w->set->species, &w->wood);
  canopy_make(t->line, 0.5e-3 / t->earth_radius_km, room, &w->canopy);
  w->wavelength_m = 0.299792458 / t->freq_ghz;
  if (t->way == ES_SURFACE) return 0;
  double curvature = 1.0 / t->earth_radius_km;
  return t->host->hulls(t->ctx, &curvature, 1, 1, 0.0, INFINITY, &w->over) == 0 ? 0 : ES_FAILED;
}

static void set_beams(work *w, size_t r) {
  const es_task *t = w->task;
  for (int end = ES_BEACON; end <= ES_LISTENER; end++) {
    double el = end == ES_BEACON ? t->el_tx[r] : t->el_rx[r];
    w->beam_deg[end] =
        w->set->beam_deg > 0.0 ? w->set->beam_deg : beam_of_gain(t->host->gain_dbi(t->ctx, end, r, NAN, el, 0));
  }
}

static void answer(work *w, size_t r, es_answer *out) {
  const es_task *t = w->task;
  size_t n = t->rx->n;
  tops highest = NO_TOPS;
  bool surface = t->way == ES_SURFACE, all = t->host->note != NULL;
  double db[METHODS];
  unsigned methods = (1u << w->set->by) | (all ? (1u << METHODS_IN_RANGE) - 1u : 0u);
  if (w->set->by == BY_RET || all) set_beams(w, r);
  if (surface)
    whole_db(w, methods, r, db, &highest);
  else
    ends_db(w, methods, r, db);
  double own_db = db[w->set->by];
  for (size_t k = 0; k < t->n_percent; k++)
    out->value[k * n + r] = surface ? surface_db(w, own_db, &highest, k * n + r) : own_db;
  if (all) note_range(w, db, &highest, r);
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  work w = {.set = self, .task = task};
  size_t n = task->rx->n;
  if (task->line->top_m == NULL) {
    for (size_t j = 0; j < n * task->n_percent; j++) out->value[j] = 0.0;
    return 0;
  }
  if (prepare_work(&w) != 0) return ES_FAILED;
  for (size_t r = 0; r < n; r++) answer(&w, r, out);
  return 0;
}

const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "foliage",
    .title = "trees and other things that stand on the ground, over them and through them",
    .source = "ITU-R P.833-10 (09/2021); applied to profiles by the project's own rules",
    .role = ES_END,
    .touches = ES_ALL_WAYS,
    .min_ghz = 0.1,
    .max_ghz = 30.0,
    .min_km = 0.0,
    .max_km = 10000.0,
    .settings = settings,
    .n_settings = sizeof settings / sizeof *settings,
    .create = create,
    .evaluate = evaluate,
    .destroy = free,
};
