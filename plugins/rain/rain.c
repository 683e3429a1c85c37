/* rain.c - fading by rain and wet snow, as the share of rainy time that a fade is exceeded.
 *
 * Source:  ITU-R P.2001-6 (09/2025) attachment C, with k and alpha of ITU-R P.838-3.
 * Given:   length and end heights of a path (or of a leg to the common volume), rain climate in its middle
 * Gives:   Qrain(A), percent of rainy time; Q0ra, percent of the year that is rainy; Fwvr, weight of rain's vapour
 * Departs: in (C.10a) the second exponent is 0.001182, not the printed 0.01182: every published example of the
 *          Recommendation has it, and the print would cut k_mod to a sixth on long paths (docs/models/rain.md).
 *
 *   height of rain hT        snow: no loss
 *   ----------------------------------------   The 0 degC level wanders from hour to hour: 49 heights hT, 100 m apart,
 *   melting layer, 1200 m    up to 3.5 times   each with its probability. A path is below the layer (G = 1), above it
 *   ----------------------------------------   (no loss) or in it; G is the average multiplier along the path.
 *                            rain: k R^alpha
 * Everything but A is worked out once, in prepare: evaluate takes one exponential for each height that counts.     */
#include "common/asked.h"
#include "common/note.h"
#include "common/p2001.h"
#include "common/p838.h"
#include "melting.h"
#include "rain_sum.h"

#include "earshot/maths.h"

static const double LOWEST_M = -2400.0;    /* H_n of n = 1, relative to the mean */
static const double RATE_C_OVER_B = 26.02; /* (C.2.5) */

/* A stretch of path. */
typedef struct stretch {
  double dist_km, low_m, high_m;
  es_climate_place place;
} stretch;

static stretch stretch_between(double dist_m, double a_m, double b_m, es_climate_place place) {
  int up = a_m < b_m;
  return (stretch){0.001 * dist_m, up ? a_m : b_m, up ? b_m : a_m, place};
}

static stretch stretch_of(const es_task *task, size_t r) {
  const es_legs *legs = task->legs;
  if (!legs)
    return stretch_between(task->rx->dist_m[r], task->beacon->antenna_m, task->rx->at[r].antenna_m, ES_AT_CENTRE);
  es_climate_place place = legs->end == ES_BEACON ? ES_AT_BEACON_LEG : ES_AT_LISTENER_LEG;
  return stretch_between(legs->dist_m[r], legs->low_m[r], legs->high_m[r], place);
}

/* Multipliers at the middles of the slices: running sums, so that whole slices cost one subtraction. */
static void sum_slices(double sum[RAIN_SLICES + 1]) {
  sum[0] = 0.0;
  for (int s = 1; s <= RAIN_SLICES; s++) sum[s] = sum[s - 1] + melting_multiplier(MELTING_SLICE_M * (0.5 - s));
}

/* (C.2.3)-(C.2.6) How often it rains and how hard. 0 when it never does. */
static int set_rates(rain_path *path, double rain_6h, double annual_mm, double convective) {
  path->q0ra = rain_6h > 0.0 ? rain_6h * (1.0 - es_exp(-0.0079 * (1.0 - convective) * annual_mm / rain_6h)) : 0.0;
  if (!(path->q0ra > 0.0)) return 0;
  path->b = annual_mm / (21797.0 * path->q0ra);
  path->c = RATE_C_OVER_B * path->b;
  path->ln_q0ra = es_ln(path->q0ra);
  path->ln_per_trans = RAIN_RATE_A * (path->c - 2.0 * path->b) / (path->c * path->c);
  return 1;
}

/* What a rain rate does to a path: k_mod and alpha_mod, and the length over which, dr_lim. */
typedef struct law {
  double k, alpha, length_km;
} law;

/* (C.2.7)-(C.2.10) */
static law law_of(const stretch *on, const p838_linear *linear, double cos_2tilt) {
  double length_km = fmin(on->dist_km, 300.0), at_least_1 = fmax(length_km, 1.0); /* dr, dr_min */
  double slope = on->dist_km > 0.0 ? 0.001 * (on->high_m - on->low_m) / on->dist_km : 0.0, k, alpha;
  p838_path(linear, slope, cos_2tilt, &k, &alpha);
  return (law){.k = es_pow(1.763, alpha) * k *
                    (0.6546 * es_exp(-0.009516 * at_least_1) + 0.3499 * es_exp(-0.001182 * at_least_1)),
               .alpha = (0.753 + 0.197 / at_least_1) * alpha + 0.1572 * es_exp(-0.02268 * at_least_1) -
                        0.1594 * es_exp(-0.0003617 * at_least_1),
               .length_km = fmax(length_km, 0.001)};
}

static double height_m(const rain_stack *stack, size_t n) { return stack->lowest_m + RAIN_HEIGHT_STEP_M * (double)n; }

/* C.2, last part: rain heights with the path in the melting layer, and what is above them. Those below the path or with G = 0
 * count for nothing. Returns the multipliers of those in the layer, within `room`. */
static const double *weigh_heights(rain_path *path, const rain_stack *on, double room[RAIN_HEIGHTS + RAIN_AT_ONCE]) {
  size_t first = 0, none = 0, beyond; /* beyond: the whole path is in rain from there on */
  while (first < RAIN_HEIGHTS && on->low_m >= height_m(on, first)) first++;
  for (beyond = first; beyond < RAIN_HEIGHTS && on->high_m > height_m(on, beyond) - MELTING_LAYER_M;) beyond++;
  rain_multipliers(on, first, beyond - first, room);
  for (size_t n = first; n < beyond; n++) path->vapour += room[n - first] * rain_probability[n];
  for (size_t n = beyond; n < RAIN_HEIGHTS; n++) path->below += rain_probability[n];
  path->vapour += path->below;
  while (none < beyond - first && !(room[none] > 0.0)) none++; /* just under the top nothing melts yet */
  path->first = first + none;
  path->n = beyond - path->first;
  return room + none;
}

/* What a fade of 1 dB asks of each of them. */
static void set_heights(rain_path *path, const stretch *on, const law *rain, double mean_m,
                        const double sum[RAIN_SLICES + 1]) {
  double ln_rate = -es_ln(rain->length_km * rain->k) * path->inv_alpha; /* under G = 1 */
  rain_stack stack = {on->low_m, on->high_m, mean_m + LOWEST_M, sum};
  double room[RAIN_HEIGHTS + RAIN_AT_ONCE] = {0.0};
  const double *multiplier = weigh_heights(path, &stack, room);
  rain_rates(multiplier, path->n, ln_rate, path->inv_alpha, path->rate);
  path->rate_below = es_exp(ln_rate);
}

/* (C.2.13), (C.2.14) Weight of the water vapour of rain: 0.5 (1 + tanh x) = 1 / (1 + exp -2x). */
static double vapour_weight(const rain_path *path, double ln_q) {
  if (path->q0ra == 0.0) return 0.0;
  double rwvr = 6.0 * (path->ln_q0ra - ln_q) / path->ln_per_trans - 3.0;
  return path->vapour / (1.0 + es_exp(-2.0 * rwvr));
}

static double ln_q(double percent) { return es_ln(100.0 - p2001_percent(percent)); }

/* Letters as in the tables of the reference software: whole path, beacon's leg, listener's leg. */
static void note_path(const es_task *task, size_t r, const rain_path *path, const law *rain) {
  static const char *const SYMBOLS[3][4] = {{"Q0ra_sfc", "kmod_sfc", "alphamod_sfc", "Fwvr"},
                                            {"Q0ra_tcv", "kmod_tcv", "alphamod_tcv", "Fwvrt"},
                                            {"Q0ra_rcv", "kmod_rcv", "alphamod_rcv", "Fwvrr"}};
  if (!note_wanted(task)) return;
  const char *const *symbols = SYMBOLS[!task->legs ? 0 : task->legs->end == ES_BEACON ? 1 : 2];
  note_always(task, r, symbols[0], path->q0ra);
  note_always(task, r, symbols[1], rain->k);
  note_always(task, r, symbols[2], rain->alpha);
  for (size_t k = 0; k < task->n_percent; k++)
    note_at(task, k, r, symbols[3], vapour_weight(path, ln_q(task->percent[k])));
}

static void prepare_one(const es_task *task, size_t r, const p838_linear *linear, const double sum[RAIN_SLICES + 1],
                        rain_path *path) {
  stretch on = stretch_of(task, r);
  *path = (rain_path){.q0ra = NAN};
  if (!isfinite(on.dist_km) || !isfinite(on.low_m) || !isfinite(on.high_m)) return;
  const es_host *host = task->host;
  double mean_m = 360.0 + 1000.0 * host->climate(task->ctx, ES_ZERO_ISOTHERM, on.place, r); /* (C.2.1) */
  law rain = law_of(&on, linear, task->polarisation == ES_VERTICAL ? -1.0 : 1.0);
  int rains = set_rates(path, host->climate(task->ctx, ES_RAIN_6H, on.place, r),
                        host->climate(task->ctx, ES_RAIN_ANNUAL, on.place, r),
                        host->climate(task->ctx, ES_RAIN_CONVECTIVE, on.place, r));
  path->inv_alpha = 1.0 / rain.alpha;
  if (on.low_m >= mean_m - LOWEST_M)
    path->q0ra = 0.0; /* (C.2.2): above all rain */
  else if (rains)
    set_heights(path, &on, &rain, mean_m, sum);
  note_path(task, r, path, &rain);
}

static size_t rain_prepared_bytes(const void *self, size_t n_receivers) {
  (void)self;
  return n_receivers * sizeof(rain_path);
}

static int32_t rain_prepare(const void *self, const es_task *task, es_error *err) {
  (void)self, (void)err;
  rain_path *paths = task->prepared;
  p838_linear linear = p838_at(task->freq_ghz);
  double sum[RAIN_SLICES + 1];
  sum_slices(sum);
  size_t n = task->asked != NULL ? task->n_asked : task->rx->n;
  for (size_t a = 0; a < n; a++) {
    size_t r = task->asked != NULL ? task->asked[a] : a;
    prepare_one(task, r, &linear, sum, &paths[r]);
  }
  return ES_OK;
}

/* C.3, percent of the rainy time. scale: rain rate of the fade, relative to that of 1 dB. */
static double exceeded_percent(const rain_path *path, double fade_db, double scale) {
  if (isnan(path->q0ra) || isnan(fade_db)) return NAN;
  if (fade_db < 0.0) return 100.0;
  return path->q0ra == 0.0 ? 0.0 : 100.0 * rain_sum(path, scale);
}

static void answer(const es_task *task, const asked_block *block, es_answer *out) {
  const rain_path *paths = task->prepared;
  double inv_alpha[ASKED_BLOCK], scale[ASKED_BLOCK];
  for (size_t a = 0; a < block->n; a++) inv_alpha[a] = paths[block->receiver[a]].inv_alpha;
  rain_scales(block->fade_db, inv_alpha, block->n, scale);
  for (size_t a = 0; a < block->n; a++) {
    size_t i = block->index[a];
    out->value[i] = exceeded_percent(&paths[block->receiver[a]], block->fade_db[a], scale[a]);
    if (isnan(out->value[i])) out->status[i] = ES_MISSING;
  }
}

/* Share and vapour hang on no fade: an inversion asks for them once, and leaves them out later. */
static void set_weights(const es_task *task, es_answer *out) {
  const rain_path *paths = task->prepared;
  size_t n = task->rx->n;
  for (size_t r = 0; out->share && r < n; r++) out->share[r] = paths[r].q0ra;
  for (size_t k = 0; out->vapour && k < task->n_percent; k++) {
    double ln_q_k = ln_q(task->percent[k]);
    for (size_t r = 0; r < n; r++) out->vapour[k * n + r] = vapour_weight(&paths[r], ln_q_k);
  }
}

static int32_t rain_evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  set_weights(task, out);
  each_asked(task, out, answer);
  return ES_OK;
}

const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "rain",
    .title = "fading by rain and wet snow",
    .source = "ITU-R P.2001-6 (09/2025) attachment C, P.838-3",
    .role = ES_FADING,
    .touches = ES_SURFACE | ES_SCATTER,
    .min_ghz = 0.03,
    .max_ghz = 50.0,
    .max_km = INFINITY,
    .prepared_bytes = rain_prepared_bytes,
    .prepare = rain_prepare,
    .evaluate = rain_evaluate,
    .only_fades = ES_ALL_WAYS,
    .unread = ES_UNREAD_PLACES | ES_UNREAD_HORIZONS | ES_UNREAD_ROUGH | ES_UNREAD_MIDDLE | ES_UNREAD_ZONES,
};
