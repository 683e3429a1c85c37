/* clear-air.c - fading and enhancement by multipath and focusing in clear air, as the share of time that a fade is exceeded.
 *
 * Source:  ITU-R P.2001-6 (09/2025) attachment B.
 * Given:   horizons of the path, gradient of refractivity in the lowest 65 m, latitude
 * Gives:   Qcaf(A), percent of the time without rain; A is relative to the median, below 0 for enhancements
 * Check:   Q0ca 1.4136 %: Qcaf(-5 dB) 99.7668, Qcaf(0) 50, Qcaf(10 dB) 0.115395 %
 *
 * On the legs of a troposcatter path there is none: Qcaf is a step at 0 dB (B.5).                                */
#include "clear_curve.h"
#include "common/asked.h"
#include "common/note.h"

#include <math.h>

static const double RAD_PER_DEG = 0.01745329251994329577;
static const double SMALLEST_PERCENT = 1e-12; /* keeps the logarithm of Q0ca finite */

/* What prepare leaves for one receiver: the shapes of fading and enhancement, qt and qs. NaN when the path is not known. */
typedef struct clear_path {
  double fading, enhancement;
} clear_path;

/* A stretch from an antenna over which the air acts: dca, slope epsilon and lower height hca. */
typedef struct stretch {
  double dist_km, slope_mrad, low_m;
} stretch;

/* The lower of two heights; NaN when either is: fmin would hide it. */
static double lower(double a_m, double b_m) { return a_m < b_m || isnan(a_m) ? a_m : b_m; }

/* (B.3.1)-(B.3.3) Notional percentage of the year at zero fade, Q0ca. */
static double zero_fade_percent(const stretch *on, double factor, double freq_ghz, double lat_deg) {
  double worst_month = factor * pow(on->dist_km, 3.1) * pow(1.0 + on->slope_mrad, -1.29) * pow(freq_ghz, 0.8) *
                       pow(10.0, -0.00089 * on->low_m);
  double sign = fabs(lat_deg) <= 45.0 ? 1.0 : -1.0, bow = pow(fabs(cos(2.0 * RAD_PER_DEG * lat_deg)), 0.7);
  double to_year_db =
      10.5 - 5.6 * log10(1.1 + sign * bow) - 2.7 * log10(on->dist_km) + 1.7 * log10(1.0 + on->slope_mrad);
  return worst_month * pow(10.0, -0.1 * fmin(to_year_db, 10.8));
}

/* (B.2.1)-(B.2.5) */
static double path_zero_fade(const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  double factor = pow(10.0, -(4.6 + 0.0027 * task->host->climate(task->ctx, ES_GRADIENT_65M_1PCT, ES_AT_CENTRE, r)));
  double beacon_m = task->beacon->antenna_m, listener_m = rx->at[r].antenna_m, dist_km = 0.001 * rx->dist_m[r];
  if (rx->los[r]) {
    stretch whole = {dist_km, fabs(beacon_m - listener_m) / dist_km, lower(beacon_m, listener_m)};
    return zero_fade_percent(&whole, factor, task->freq_ghz, rx->mid_lat_deg[r]);
  }
  stretch beacon = {0.001 * rx->d_tx_m[r], 1000.0 * fabs(rx->el_tx[r]), lower(beacon_m, rx->horizon_tx_m[r])};
  stretch listener = {0.001 * rx->d_rx_m[r], 1000.0 * fabs(rx->el_rx[r]), lower(listener_m, rx->horizon_rx_m[r])};
  double at_beacon = zero_fade_percent(&beacon, factor, task->freq_ghz, rx->mid_lat_deg[r]);
  double at_listener = zero_fade_percent(&listener, factor, task->freq_ghz, rx->mid_lat_deg[r]);
  return at_beacon > at_listener || isnan(at_beacon) ? at_beacon : at_listener;
}

/* (B.5.1) */
static double step_percent(double fade_db) { return isnan(fade_db) ? NAN : fade_db < 0.0 ? 100.0 : 0.0; }

static size_t clear_prepared_bytes(const void *self, size_t n_receivers) {
  (void)self;
  return n_receivers * sizeof(clear_path);
}

static int32_t clear_prepare(const void *self, const es_task *task, es_error *err) {
  (void)self, (void)err;
  clear_path *paths = task->prepared;
  for (size_t r = 0; task->way != ES_SCATTER && r < task->rx->n; r++) {
    double q0ca = path_zero_fade(task, r), logarithm = log10(q0ca > SMALLEST_PERCENT ? q0ca : SMALLEST_PERCENT);
    if (isnan(q0ca)) logarithm = NAN;
    paths[r] = (clear_path){.fading = 3.576 - 1.955 * logarithm, .enhancement = -4.05 - 2.35 * logarithm};
    note_always(task, r, "Q0ca", q0ca);
  }
  return ES_OK;
}

static void on_surface(const clear_path *paths, const asked_block *block, double *percent) {
  double shape[ASKED_BLOCK];
  for (size_t a = 0; a < block->n; a++) {
    const clear_path *path = &paths[block->receiver[a]];
    shape[a] = block->fade_db[a] < 0.0 ? path->enhancement : path->fading;
  }
  clear_percents(shape, block->fade_db, block->n, percent);
}

static void on_legs(const asked_block *block, double *percent) {
  for (size_t a = 0; a < block->n; a++) percent[a] = step_percent(block->fade_db[a]);
}

static void answer(const es_task *task, const asked_block *block, es_answer *out) {
  double percent[ASKED_BLOCK];
  if (task->way == ES_SCATTER)
    on_legs(block, percent);
  else
    on_surface(task->prepared, block, percent);
  for (size_t a = 0; a < block->n; a++) {
    size_t i = block->index[a];
    out->value[i] = percent[a];
    if (isnan(percent[a])) out->status[i] = ES_MISSING; /* not asked, or the path is not known */
  }
}

static int32_t clear_evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self, (void)err;
  each_asked(task, out, answer);
  return ES_OK;
}

const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "clear-air",
    .title = "fading and enhancement in clear air",
    .source = "ITU-R P.2001-6 (09/2025) attachment B",
    .role = ES_FADING,
    .touches = ES_SURFACE | ES_SCATTER,
    .min_ghz = 0.03,
    .max_ghz = 50.0,
    .max_km = INFINITY,
    .prepared_bytes = clear_prepared_bytes,
    .prepare = clear_prepare,
    .evaluate = clear_evaluate,
    .only_fades = ES_SCATTER,
    .unread = ES_UNREAD_PLACES | ES_UNREAD_ROUGH | ES_UNREAD_VOLUME | ES_UNREAD_ZONES,
};
