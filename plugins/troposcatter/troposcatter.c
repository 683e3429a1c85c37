/* troposcatter.c - basic transmission loss by scatter from the troposphere, free space included.
 *
 * Sources: ITU-R P.2001-6 (09/2025) attachment E, by climate zone (p2001, the default);
 *          ITU-R P.617-6 (09/2025) section 4.1, by refractivity (p617);
 *          ITU-R P.452-18 (10/2023) section 4.3, for small percentages, with its own gases (p452).
 * Given:   horizon angles, length, antenna gains toward the horizons, climate at the common volume
 * Gives:   Lbs, dB. p2001 and p617: never below free space; the host adds gases and fading along both legs
 * Check:   100 km, theta 18.09532 mrad, 10.368 GHz, 30 dBi at both ends, zone 5: Lbs(50 %) 218.0695 dB
 *
 *            common volume
 *              ..-*-..         theta: the angle between the rays, which leave and arrive along the horizons.
 *        ..--'' theta ''--..   All three forms: more loss with frequency, length and, above all, theta.
 *   o--''___________________''--o                                                                                  */
#include "common/note.h"
#include "common/p2001.h"
#include "common/p617.h"
#include "common/p676.h"

#include <math.h>
#include <stdlib.h>

enum { BY_P2001, BY_P617, BY_P452 };

typedef struct scatter_settings {
  int variant;
  int radius_of_climate; /* p617: 1 takes the effective radius from the climate, 0 four thirds */
} scatter_settings;

static const double SMALLEST_ANGLE_MRAD = 1e-6;
static const double MOST_GAIN_DBI = 100.0; /* Gt + Gr: beyond, the coupling loss has no meaning */

/* Bounds that let NaN through; fmin and fmax would hide it. */
static double at_most(double x, double most) { return x > most ? most : x; }
static double at_least(double x, double least) { return x < least ? least : x; }

/* One path, in the units of the Recommendations. */
typedef struct scatter_path {
  double dist_km, slant_km;
  double angle_tx_mrad, angle_rx_mrad; /* horizons */
  double gains_dbi;                    /* Gt + Gr toward the horizons */
} scatter_path;

static scatter_path path_of(const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  const es_host *host = task->host;
  double beacon_dbi = host->gain_dbi(task->ctx, ES_BEACON, r, NAN, rx->el_tx[r], 0);
  double listener_dbi = host->gain_dbi(task->ctx, ES_LISTENER, r, NAN, rx->el_rx[r], 0);
  return (scatter_path){.dist_km = 0.001 * rx->dist_m[r],
                        .slant_km = 0.001 * rx->slant_m[r],
                        .angle_tx_mrad = 1000.0 * rx->el_tx[r],
                        .angle_rx_mrad = 1000.0 * rx->el_rx[r],
                        .gains_dbi = at_most(beacon_dbi + listener_dbi, MOST_GAIN_DBI)};
}

/* (E.15), P.617 (3), P.452 (45a): the beams are narrower than the volume that scatters. */
static double coupling_db(double scale, const scatter_path *path) { return scale * exp(0.055 * path->gains_dbi); }

/* (E.17) */
static double free_space_db(double freq_ghz, const scatter_path *path) {
  return 92.4 + 20.0 * log10(freq_ghz) + 20.0 * log10(path->slant_km);
}

/* P.2001 (E.14), P.452 (45). */
static double frequency_db(double freq_ghz) {
  double octaves = log10(0.5 * freq_ghz);
  return 25.0 * log10(freq_ghz) - 2.5 * octaves * octaves;
}

static void answer(const es_task *task, size_t k, size_t r, es_answer *out, double loss_db) {
  size_t i = k * task->rx->n + r;
  out->value[i] = loss_db;
  if (isnan(loss_db)) out->status[i] = ES_MISSING;
  note_at(task, k, r, "Lbs", loss_db);
}

/* ---- P.2001 attachment E ---- */

/* Table E.1, by climate zone: M, dB, and gamma, 1/km. */
static const struct zone {
  double level_db, per_km;
} ZONES[] = {{116.00, 0.27}, {129.60, 0.33}, {119.73, 0.27}, {109.30, 0.32},
             {128.50, 0.27}, {119.73, 0.27}, {123.20, 0.27}};
enum { ZONE_SEA = 0, N_ZONES = sizeof ZONES / sizeof ZONES[0] };

static int zone_at(const es_task *task, es_climate_place place, size_t r) {
  double code = task->host->climate(task->ctx, ES_TROPO_CLIMATE, place, r);
  return code > 0.0 && code < N_ZONES ? (int)(code + 0.5) : ZONE_SEA;
}

/* E.2: over the sea the ends decide: the lower number of those on land. */
static int zone_of(const es_task *task, size_t r) {
  int zone = zone_at(task, ES_AT_COMMON_VOLUME, r);
  if (zone != ZONE_SEA) return zone;
  int beacon = zone_at(task, ES_AT_BEACON, r), listener = zone_at(task, ES_AT_LISTENER, r);
  if (beacon == ZONE_SEA) return listener;
  return listener == ZONE_SEA || beacon < listener ? beacon : listener;
}

/* (E.8)-(E.10): a cubic in the distance ds between its two ends, level beyond. */
static double cubic_between(double ds_km, double from_km, double before, double to_km, double after,
                            const double c[4]) {
  if (ds_km < from_km) return before;
  if (ds_km >= to_km) return after;
  return c[0] + ds_km * (c[1] + ds_km * (c[2] + ds_km * c[3]));
}

/* (E.6)-(E.10) Y90: the loss exceeded for 10 % of the time, below the median: dB, negative. */
static double spread_db(int zone, double freq_ghz, double height_km, double ds_km) {
  static const double EQUATORIAL[] = {-10.2, 0.02242, -2.569e-5, 1.006e-8};
  static const double MARITIME[] = {-2.645, -0.122, 4.45e-4, -4.5e-7};
  static const double DESERT[] = {-12.1, -4.18e-4, 7.444e-5, -8.519e-8};
  switch (zone) {
  case 0: return -9.5 - 3.0 * exp(-0.137 * height_km);
  case 1: return cubic_between(ds_km, 100.0, -8.2, 1000.0, -3.4, EQUATORIAL);
  case 3: return cubic_between(ds_km, 100.0, -10.845, 465.0, -8.4, MARITIME);
  case 4: return cubic_between(ds_km, 100.0, -11.5, 550.0, -4.0, DESERT);
  default: return -2.2 - (8.1 - 0.23 * at_most(freq_ghz, 4.0)) * exp(-0.137 * height_km);
  }
}

/* (E.11) */
static double time_factor(double p) {
  return p >= 50.0 ? 1.26 * pow(-log10((100.0 - p) / 50.0), 0.63) : -1.26 * pow(-log10(p / 50.0), 0.63);
}

/* (E.1)-(E.5), (E.13) */
static double distance_db(const scatter_path *path, double theta_mrad, double per_km, double tropo_km) {
  double chord_km = 0.25e-3 * theta_mrad * path->dist_km; /* H */
  double ln = 20.0 * log10(5.0 + per_km * chord_km) + 4.34 * per_km * tropo_km;
  double far = 10.0 * log10(path->dist_km) + 30.0 * log10(theta_mrad) + ln;
  double near = 20.0 * log10(path->dist_km) + 0.573 * theta_mrad + 20.0;
  return at_least(far, near);
}

static void evaluate_p2001(const es_task *task, size_t r, const scatter_path *path, es_answer *out) {
  double ae_km = task->earth_radius_km, theta_e_mrad = 1000.0 * path->dist_km / ae_km;
  double theta_mrad = at_least(theta_e_mrad + path->angle_tx_mrad + path->angle_rx_mrad, SMALLEST_ANGLE_MRAD);
  int zone = zone_of(task, r);
  double tropo_km = 0.125e-6 * theta_mrad * theta_mrad * ae_km, ds_km = 0.001 * theta_mrad * ae_km;
  double y90 = spread_db(zone, task->freq_ghz, tropo_km, ds_km), lcoup = coupling_db(0.07, path);
  double ldist = distance_db(path, theta_mrad, ZONES[zone].per_km, tropo_km), lfreq = frequency_db(task->freq_ghz);
  double median = ZONES[zone].level_db + lfreq + ldist + lcoup, floor_db = free_space_db(task->freq_ghz, path);
  note_always(task, r, "Thetae", 0.001 * theta_e_mrad);
  note_always(task, r, "Thetas", theta_mrad);
  note_always(task, r, "Ztropo", zone);
  note_always(task, r, "htrop", tropo_km);
  note_always(task, r, "Ldist", ldist);
  note_always(task, r, "Lfreq", lfreq);
  note_always(task, r, "Lcoup", lcoup);
  note_always(task, r, "Y90", y90);
  for (size_t k = 0; k < task->n_percent; k++) {
    double yp = time_factor(p2001_percent(task->percent[k])) * y90; /* (E.12) */
    note_at(task, k, r, "Yp", yp);
    answer(task, k, r, out, at_least(median - yp, floor_db)); /* (E.16), (E.17) */
  }
}

/* ---- P.617-6 section 4.1 ---- */

static void evaluate_p617(const scatter_settings *set, const es_task *task, size_t r, const scatter_path *path,
                          es_answer *out) {
  p617_path by = p617_path_of(task, r, path->gains_dbi, p617_radius_km(task, r, set->radius_of_climate));
  double floor_db = free_space_db(task->freq_ghz, path);
  note_always(task, r, "Thetas", by.theta_mrad);
  note_always(task, r, "F", by.f_db);
  note_always(task, r, "h0", by.h0_km);
  note_always(task, r, "Lcoup", by.lc_db);
  for (size_t k = 0; k < task->n_percent; k++) {
    double yp = p617_yp_db(&by, task->percent[k]);
    note_at(task, k, r, "Yp", yp);
    answer(task, k, r, out, at_least(by.median_db - yp, floor_db)); /* (4) */
  }
}

/* ---- P.452-18 section 4.3 ---- */

/* Loss of gases over the whole path at 3 g/m3, which widens the oxygen lines too. `air` is kept from path to path. */
static double gases_db(const es_task *task, size_t r, double dist_km, p676_air *air) {
  double press_hpa = task->host->climate(task->ctx, ES_PRESSURE, ES_AT_CENTRE, r);
  double temp_k = 273.15 + task->host->climate(task->ctx, ES_TEMPERATURE, ES_AT_CENTRE, r);
  if (air->press_hpa != press_hpa || air->temp_k != temp_k) p676_prepare(air, task->freq_ghz, press_hpa, temp_k);
  p676_gamma gamma = p676_specific(air, 3.0);
  return (gamma.oxygen_db_km + gamma.vapour_db_km) * dist_km;
}

static void evaluate_p452(const es_task *task, size_t r, const scatter_path *path, p676_air *air, es_answer *out) {
  double theta_mrad = 1000.0 * path->dist_km / task->earth_radius_km + path->angle_tx_mrad + path->angle_rx_mrad;
  double n0 = task->host->climate(task->ctx, ES_N0, ES_AT_CENTRE, r), lc_db = coupling_db(0.051, path);
  double ag_db = gases_db(task, r, path->dist_km, air);
  double median = 190.0 + frequency_db(task->freq_ghz) + 20.0 * log10(path->dist_km) + 0.573 * theta_mrad - 0.15 * n0 +
                  lc_db + ag_db;
  note_always(task, r, "Thetas", theta_mrad);
  note_always(task, r, "Lcoup", lc_db);
  for (size_t k = 0; k < task->n_percent; k++) {
    double p = at_most(task->percent[k], 50.0);
    if (task->percent[k] > 50.0 || task->freq_ghz < 0.1) out->status[k * task->rx->n + r] = ES_OUTSIDE;
    answer(task, k, r, out, median - 10.1 * pow(-log10(p / 50.0), 0.7)); /* (45) */
  }
}

/* ---- the model ---- */

static int32_t scatter_evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  const scatter_settings *set = self;
  p676_air air = {.freq_ghz = 0.0};
  for (size_t r = 0; r < task->rx->n; r++) {
    scatter_path path = path_of(task, r);
    if (set->variant == BY_P2001)
      evaluate_p2001(task, r, &path, out);
    else if (set->variant == BY_P617)
      evaluate_p617(set, task, r, &path, out);
    else
      evaluate_p452(task, r, &path, &air, out);
    out->legs[r] = set->variant != BY_P452; /* P.452 has its own gases */
  }
  return ES_OK;
}

static int32_t scatter_create(const double *values, void **self, es_error *err) {
  scatter_settings *set = calloc(1, sizeof *set);
  if (!set) {
    *err = (es_error){.status = ES_FAILED, .detail = "troposcatter: out of memory"};
    return ES_FAILED;
  }
  set->variant = (int)(values[0] + 0.5);
  set->radius_of_climate = values[1] > 0.5;
  *self = set;
  return ES_OK;
}

static const es_setting SETTINGS[] = {
    {.key = "variant",
     .unit = "",
     .help = "which Recommendation: P.2001 attachment E, P.617-6, or P.452-18 (with its gases, to 50 % of the time)",
     .max = 2,
     .choices = "p2001|p617|p452"},
    {.key = "earth",
     .unit = "",
     .help =
         "p617 alone: effective earth radius of four thirds, or from the lapse of refractivity at the common volume",
     .max = 1,
     .choices = "four-thirds|climate"},
};

const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "troposcatter",
    .title = "scatter from the troposphere",
    .source = "ITU-R P.2001-6 (09/2025) attachment E, P.617-6 (09/2025), P.452-18 (10/2023)",
    .role = ES_WAY,
    .touches = ES_SCATTER,
    .min_ghz = 0.03,
    .max_ghz = 50.0,
    .max_km = INFINITY,
    .settings = SETTINGS,
    .n_settings = sizeof SETTINGS / sizeof SETTINGS[0],
    .create = scatter_create,
    .evaluate = scatter_evaluate,
    .destroy = free,
    .unread = ES_UNREAD_PLACES | ES_UNREAD_HORIZONS | ES_UNREAD_ROUGH | ES_UNREAD_MIDDLE | ES_UNREAD_ZONES,
};
