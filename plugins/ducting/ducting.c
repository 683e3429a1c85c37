/* ducting.c - basic transmission loss of ducting and layer reflection, free space included, gases not.
 *
 * Source:  ITU-R P.2001-6 (09/2025) attachment D.
 * Given:   horizons, heights above the smooth surface, roughness, sea and land along the path, latitude, median curvature
 * Gives:   Lba, dB; comes and goes with the surface way
 * Check:   200 km of sea at 52 N, 10.368 GHz, antennas 30 m: beta0 7.764893 %, Lba(1 %) 160.175 dB
 *
 *   Lba = Aac + Aad + Aat(p): coupling into the duct at both ends, the angle over which the signal must be bent, and
 *   distance with the share of time in which ducts occur. Only Aat knows p.                                        */
#include "common/note.h"
#include "common/p2001.h"

#include <math.h>
#include <stdlib.h>

typedef struct duct_settings {
  int held; /* 1: roughness acts over no less than no distance */
} duct_settings;

/* How often ducts occur and how fast they fade out with p. */
typedef struct incidence {
  double tau, mu1, mu2, mu3, mu4, at_point, on_path, exponent; /* ... beta0 and beta, percent; Gamma */
} incidence;

/* A terminal: angle to its horizon (mrad), distances to the horizon and to the sea (km), antenna above sea (m). */
typedef struct terminal {
  double angle_mrad, horizon_km, sea_km, antenna_m;
} terminal;

static terminal beacon_of(const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  return (terminal){1000.0 * rx->el_tx[r], 0.001 * rx->d_tx_m[r], 0.001 * rx->sea_tx_m[r], task->beacon->antenna_m};
}

static terminal listener_of(const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  return (terminal){1000.0 * rx->el_rx[r], 0.001 * rx->d_rx_m[r], 0.001 * rx->sea_rx_m[r], rx->at[r].antenna_m};
}

/* Bounds that let NaN through; fmin and fmax would hide it. */
static double at_most(double x, double most) { return x > most ? most : x; }
static double at_least(double x, double least) { return x < least ? least : x; }

/* (D.3.1) Angle, mrad, up to which the ground lets a ray into the duct. */
static double free_angle_mrad(const terminal *end) { return 0.1 * end->horizon_km; }

/* (D.3.3) Loss of a terminal that sees the sky only over a hill. */
static double shielding_db(const terminal *end, double freq_ghz) {
  double excess_mrad = end->angle_mrad - free_angle_mrad(end); /* (D.3.2) */
  if (excess_mrad <= 0.0) return 0.0;
  return 20.0 * log10(1.0 + 0.361 * excess_mrad * sqrt(freq_ghz * end->horizon_km)) +
         0.264 * excess_mrad * cbrt(freq_ghz);
}

/* (D.4.2) Gain, below 0 dB, of a terminal near the sea: ducts over water. */
static double coast_db(const terminal *end, double sea_share) {
  if (sea_share < 0.75 || end->sea_km > end->horizon_km || end->sea_km > 5.0) return 0.0;
  return -3.0 * exp(-0.25 * end->sea_km * end->sea_km) * (1.0 + tanh(0.07 * (50.0 - end->antenna_m)));
}

/* (D.5.2) */
static double low_band_db(double freq_ghz, double sea_share) {
  return freq_ghz < 0.5 ? (45.375 - 137.0 * freq_ghz + 92.5 * freq_ghz * freq_ghz) * sea_share : 0.0;
}

/* (D.5.1) Aac. */
static double coupling_db(const es_task *task, size_t r, const terminal *beacon, const terminal *listener) {
  double freq_ghz = task->freq_ghz, sea_share = task->rx->sea_share[r];
  return 102.45 + 20.0 * log10(freq_ghz * (beacon->horizon_km + listener->horizon_km)) +
         low_band_db(freq_ghz, sea_share) + shielding_db(beacon, freq_ghz) + shielding_db(listener, freq_ghz) +
         coast_db(beacon, sea_share) + coast_db(listener, sea_share);
}

/* (D.6.1)-(D.6.4) Aad. */
static double angle_db(const es_task *task, size_t r, const terminal *beacon, const terminal *listener) {
  double per_mrad = 5e-5 * task->earth_radius_km * cbrt(task->freq_ghz);
  double at_beacon = at_most(beacon->angle_mrad, free_angle_mrad(beacon));
  double at_listener = at_most(listener->angle_mrad, free_angle_mrad(listener));
  double theta_a = task->rx->dist_m[r] / task->earth_radius_km + at_beacon + at_listener; /* mrad: m / km */
  note_always(task, r, "gammad", per_mrad);
  note_always(task, r, "theta_a", theta_a);
  return theta_a > 0.0 ? per_mrad * theta_a : 0.0;
}

/* (D.2.1)-(D.2.4) How often ducts occur at the path's centre, beta0. */
static void set_point_incidence(incidence *duct, double land_km, double inland_km, double lat_deg) {
  double lat = fabs(lat_deg);
  duct->tau = 1.0 - exp(-0.000412 * pow(inland_km, 2.41));
  double land = pow(10.0, -land_km / (16.0 - 6.6 * duct->tau)) + pow(10.0, -(2.48 + 1.77 * duct->tau));
  duct->mu1 = at_most(pow(land, 0.2), 1.0);
  duct->mu4 = pow(duct->mu1, lat <= 70.0 ? -0.935 + 0.0176 * lat : 0.3);
  duct->at_point = (lat <= 70.0 ? pow(10.0, -0.015 * lat + 1.67) : 4.17) * duct->mu1 * duct->mu4;
}

/* (D.7.1), (D.7.2) What roughness leaves of it. */
static double rough_share(const duct_settings *set, double rough_m, double between_km) {
  if (rough_m <= 10.0) return 1.0;
  double weight = 43.0 + 6.0 * at_most(between_km, 40.0);
  return exp(-4.6e-5 * (rough_m - 10.0) * (set->held ? at_least(weight, 0.0) : weight));
}

/* (D.7.3)-(D.7.6) What the geometry of the path leaves of it. */
static void set_path_incidence(incidence *duct, const duct_settings *set, const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  double dist_km = 0.001 * rx->dist_m[r];
  double height = sqrt(task->beacon->antenna_m - rx->fit_tx_m[r]) + sqrt(rx->at[r].antenna_m - rx->fit_rx_m[r]);
  double alpha = -0.6 - 3.5e-9 * pow(dist_km, 3.1) * duct->tau;
  double reach = 500.0 * dist_km * dist_km / (task->earth_radius_km * height * height);
  duct->mu2 = at_most(pow(reach, at_least(alpha, -3.4)), 1.0);
  duct->mu3 = rough_share(set, rx->rough_m[r], 0.001 * (rx->dist_m[r] - rx->d_tx_m[r] - rx->d_rx_m[r]));
  duct->on_path = at_least(duct->at_point * duct->mu2 * duct->mu3, 1e-20); /* on extreme ground mu3 underflows */
  double decades = log10(duct->on_path);
  duct->exponent = 1.076 / pow(2.0058 - decades, 1.012) *
                   exp(-(9.51 - 4.8 * decades + 0.198 * decades * decades) * 1e-6 * pow(dist_km, 1.13));
}

static incidence incidence_of(const duct_settings *set, const es_task *task, size_t r) {
  const es_receivers *rx = task->rx;
  incidence duct;
  set_point_incidence(&duct, 0.001 * rx->land_m[r], 0.001 * rx->inland_m[r], rx->mid_lat_deg[r]);
  set_path_incidence(&duct, set, task, r);
  return duct;
}

/* (D.7.7) Aat. */
static double time_db(const incidence *duct, double dist_km, double p) {
  double q = 100.0 - p, ratio = p / duct->on_path;
  return -12.0 + (1.2 + 0.0037 * dist_km) * log10(ratio) + 12.0 * pow(ratio, duct->exponent) + 50.0 / q;
}

static void note_incidence(const es_task *task, size_t r, const incidence *duct) {
  if (!note_wanted(task)) return;
  note_always(task, r, "tau", duct->tau);
  note_always(task, r, "mu1", duct->mu1);
  note_always(task, r, "mu2", duct->mu2);
  note_always(task, r, "mu3", duct->mu3);
  note_always(task, r, "mu4", duct->mu4);
  note_always(task, r, "b0", duct->at_point);
  note_always(task, r, "bduct", duct->on_path);
  note_always(task, r, "Gamma", duct->exponent);
}

static void evaluate_one(const duct_settings *set, const es_task *task, size_t r, es_answer *out) {
  terminal beacon = beacon_of(task, r), listener = listener_of(task, r);
  incidence duct = incidence_of(set, task, r);
  double aac = coupling_db(task, r, &beacon, &listener), aad = angle_db(task, r, &beacon, &listener);
  note_incidence(task, r, &duct);
  note_always(task, r, "Aac", aac);
  note_always(task, r, "Aad", aad);
  for (size_t k = 0; k < task->n_percent; k++) {
    size_t i = k * task->rx->n + r;
    double aat = time_db(&duct, 0.001 * task->rx->dist_m[r], p2001_percent(task->percent[k]));
    out->value[i] = aac + aad + aat; /* (D.8.1) */
    if (isnan(out->value[i])) out->status[i] = ES_MISSING;
    note_at(task, k, r, "Aat", aat);
    note_at(task, k, r, "Lba", out->value[i]);
  }
}

static int32_t duct_evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  for (size_t r = 0; r < task->rx->n; r++) evaluate_one(self, task, r, out);
  return ES_OK;
}

static int32_t duct_create(const double *values, void **self, es_error *err) {
  duct_settings *set = calloc(1, sizeof *set);
  if (!set) {
    *err = (es_error){.status = ES_FAILED, .detail = "ducting: out of memory"};
    return ES_FAILED;
  }
  set->held = values[0] > 0.5;
  *self = set;
  return ES_OK;
}

static const es_setting SETTINGS[] = {
    {.key = "overlapping_horizons",
     .unit = "",
     .help = "when the horizons of both ends overlap, (D.7.1) below 0: follow the Recommendation to the letter, where "
             "rough ground may then help ducting, or hold the weight of roughness at 0",
     .max = 1,
     .choices = "to-the-letter|held"},
};

const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "ducting",
    .title = "ducting and reflection from layers",
    .source = "ITU-R P.2001-6 (09/2025) attachment D",
    .role = ES_WAY,
    .touches = ES_DUCT,
    .correlated_with = ES_SURFACE,
    .min_ghz = 0.03,
    .max_ghz = 50.0,
    .max_km = INFINITY,
    .settings = SETTINGS,
    .n_settings = sizeof SETTINGS / sizeof SETTINGS[0],
    .create = duct_create,
    .evaluate = duct_evaluate,
    .destroy = free,
    .unread = ES_UNREAD_PLACES | ES_UNREAD_VOLUME,
};
