/* openings.c - the loss not exceeded for small percentages of time, by every clear-air way at once.
 *
 * Source:  ITU-R P.452-18 (10/2023) annex 1, sections 3 and 4, (2) to (64); gases ITU-R P.676-13 annex 1;
 *          troposcatter at wish after ITU-R P.617-6 (09/2025) section 4.1, with the gases of P.452 (45)
 * Given:   one path: ground, cover, zones, antennas and their gains; DN and N0, pressure (of dry air) and temperature
 * Gives:   Lb, dB between isotropic antennas, gases included, for 0.001 <= p <= 50 % of the average year, and the way
 *          that carries it. Above 50 % the value of 50 %, flagged: the Recommendation knows none
 * Check:   profile A of the page, 10.368 GHz, p = 1 % -> 199.3732 dB
 *
 *   line of sight with  diffraction, median and     ducting and        troposcatter
 *   enhancement (8-12)  beta0 radius (13-44)        layers (46-56)     (45)
 *         |                   |                        |                  |
 *         +---- Lb0p, Lb0b ---+--- Lbd, Lbd50 ---------+-- Lba            |
 *                 blending in distance and path slope (58-63): Lbam       |
 *                                   not correlated (64): Lb <-------------+
 *
 * Letters are the Recommendation's; km, mrad, GHz and dB unless a name says otherwise.                                  */
#include "common/delta_bullington.h"
#include "common/p617.h"
#include "common/p676.h"
#include "earshot/model.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

enum { SCATTER_P452, SCATTER_P617 };

typedef struct openings_settings {
  int scatter;
} openings_settings;

static const double KELVIN = 273.15;
static const double EARTH_KM = 6371.0;
static const double K_BETA = 3.0;                /* effective radius factor exceeded for beta0 % of the time, (6) */
static const double P_MIN = 0.001, P_MAX = 50.0; /* percent of time */
static const double COVER_FREE_M = 50.0;         /* cover counts this far from both terminals, (6e) */
static const double SCATTER_VAPOUR = 3.0;        /* g/m3, (45) */

/* One path and all of it that does not hang on the percentage. */
typedef struct path {
  double f, d;                               /* GHz, km along the ground */
  double theta_t, theta_r, theta;            /* horizon elevations; angular distance */
  double dlt, dlr, dct, dcr, dtm, dlm;       /* to the horizons, to the sea; longest land, longest inland */
  double hts, hrs, hte, hre, hm;             /* m: antennas above sea, above the smooth surface; roughness */
  double omega, phi, dn, n0, gain_t, gain_r; /* sea share; latitude, deg; N-units; dBi */
  double tau, b0, fj, fk;                    /* (3a); beta0, %; slope and distance blends */
  p676_gamma gamma;                          /* dB/km at 7.5 + 2.5 omega g/m3 */
  double ag, lbfsg, lb0b;                    /* gases; free space with them; line of sight at beta0 % */
  db_terms diffraction;                      /* at the median radius */
  double ldb, lbd50;                         /* diffraction at beta0 %; whole way at the median */
  double af, ad_angle, duct_gas;             /* ducting: Af; gamma_d theta'; Ag over the ground distance */
  double b_over_b0, gamma_b, lbs50;          /* mu2 mu3; Gamma (53a); troposcatter at 50 % */
  int scatter;                               /* the form of troposcatter: lbs50, or with p617 `by_n0` and gases */
  p617_path by_n0;
} path;

/* What one percentage makes of it. */
typedef struct losses {
  double fi, lb0p, ldp, lbd, lminb0p, lba, lminbap, lbda, lbam, lbs, lb;
} losses;

/* Hulls of all receivers: covered ground for diffraction at two radii, bare ground for the slope blend. */
typedef struct hulls {
  const es_hull *median, *beta, *bare;
} hulls;

/* ---- incidence of ducting ---- */

/* (3a) */
static double inland_factor(double dlm) { return 1.0 - exp(-4.12e-4 * pow(dlm, 2.41)); }

/* (2) to (4): share of time with strong lapse of refractivity in the lowest 100 m, percent */
static double point_incidence(double phi, double dtm, double dlm) {
  double tau = inland_factor(dlm), lat = fabs(phi);
  double mu1 = pow(pow(10.0, -dtm / (16.0 - 6.6 * tau)) + pow(10.0, -5.0 * (0.496 + 0.354 * tau)), 0.2);
  mu1 = fmin(mu1, 1.0);
  if (lat > 70.0) return 4.17 * mu1 * pow(10.0, 0.3 * log10(mu1));
  double mu4 = pow(10.0, (-0.935 + 0.0176 * lat) * log10(mu1));
  return pow(10.0, -0.015 * lat + 1.67) * mu1 * mu4;
}

/* I(x) of (41): approximate inverse of the complementary cumulative normal, 1e-6 <= x <= 0.5 */
static double inverse_normal(double x) {
  double t = sqrt(-2.0 * log(x));
  double top = (0.010328 * t + 0.802853) * t + 2.515516698;
  double bottom = ((0.001308 * t + 0.189269) * t + 1.432788) * t + 1.0;
  return top / bottom - t;
}

/* (41): how far the diffraction of p % lies from the median towards that of beta0 % */
static double time_blend(double p, double b0) {
  if (p >= P_MAX) return 0.0;
  return p > b0 ? inverse_normal(p / 100.0) / inverse_normal(b0 / 100.0) : 1.0;
}

/* ---- line of sight ---- */

/* (10): multipath and focusing gain, dB (negative) */
static double enhancement(const path *a, double p) {
  return 2.6 * (1.0 - exp(-0.1 * (a->dlt + a->dlr))) * log10(p / 50.0);
}

/* ---- ducting and layer reflection ---- */

/* (48): shielding by a horizon above the ray that leaves a duct */
static double site_shielding(double f, double theta, double to_horizon) {
  double above = theta - 0.1 * to_horizon;
  if (!(above > 0.0)) return 0.0;
  return 20.0 * log10(1.0 + 0.361 * above * sqrt(f * to_horizon)) + 0.264 * above * cbrt(f);
}

/* (49): coupling to a duct over the sea from a terminal by the sea */
static double sea_coupling(double omega, double to_sea, double to_horizon, double antenna_m) {
  if (!(omega >= 0.75 && to_sea <= to_horizon && to_sea <= 5.0)) return 0.0;
  return -3.0 * exp(-0.25 * to_sea * to_sea) * (1.0 + tanh(0.07 * (50.0 - antenna_m)));
}

/* (47) */
static double duct_coupling(const path *a) {
  double alf = a->f < 0.5 ? 45.375 - 137.0 * a->f + 92.5 * a->f * a->f : 0.0;
  return 102.45 + 20.0 * log10(a->f) + 20.0 * log10(a->dlt + a->dlr) + alf + site_shielding(a->f, a->theta_t, a->dlt) +
         site_shielding(a->f, a->theta_r, a->dlr) + sea_coupling(a->omega, a->dct, a->dlt, a->hts) +
         sea_coupling(a->omega, a->dcr, a->dlr, a->hrs);
}

/* (50) to (52a), without A(p): no floor, a path in line of sight may gain */
static double duct_angle(const path *a, double ae) {
  double theta = 1e3 * a->d / ae + fmin(a->theta_t, 0.1 * a->dlt) + fmin(a->theta_r, 0.1 * a->dlr);
  return 5e-5 * ae * cbrt(a->f) * theta;
}

/* (55) to (56a): mu2 for the geometry, mu3 for the roughness */
static double duct_geometry(const path *a, double ae) {
  double alpha = fmax(-0.6 - 3.5e-9 * pow(a->d, 3.1) * a->tau, -3.4);
  double antennas = sqrt(a->hte) + sqrt(a->hre);
  double mu2 = fmin(pow(500.0 * a->d * a->d / (ae * antennas * antennas), alpha), 1.0);
  double between = fmin(a->d - a->dlt - a->dlr, 40.0);
  double mu3 = a->hm > 10.0 ? exp(-4.6e-5 * (a->hm - 10.0) * (43.0 + 6.0 * between)) : 1.0;
  return mu2 * mu3;
}

/* (54); the floor only keeps its logarithm finite */
static double duct_incidence(const path *a) { return fmax(a->b0 * a->b_over_b0, 1e-300); }

/* (53a) */
static double duct_power(double d, double beta) {
  double lb = log10(beta);
  return 1.076 / pow(2.0058 - lb, 1.012) * exp(-(9.51 - 4.8 * lb + 0.198 * lb * lb) * 1e-6 * pow(d, 1.13));
}

/* (46), (53) */
static double duct_loss(const path *a, double p) {
  double ratio = p / duct_incidence(a);
  double time = -12.0 + (1.2 + 3.7e-3 * a->d) * log10(ratio) + 12.0 * pow(ratio, a->gamma_b);
  return a->af + a->ad_angle + time + a->duct_gas;
}

/* ---- troposcatter ---- */

/* (45) at p = 50 % */
static double scatter_median(const path *a, double gas_db_km) {
  double half = log10(a->f / 2.0);
  double lf = 25.0 * log10(a->f) - 2.5 * half * half;
  double lc = 0.051 * exp(0.055 * (a->gain_t + a->gain_r));
  return 190.0 + lf + 20.0 * log10(a->d) + 0.573 * a->theta - 0.15 * a->n0 + lc + gas_db_km * a->d;
}

static double scatter_loss(const path *a, double p) {
  if (a->scatter == SCATTER_P617) return a->lbs50 - p617_yp_db(&a->by_n0, p);
  return a->lbs50 - 10.1 * pow(-log10(p / 50.0), 0.7);
}

/* ---- blending ---- */

/* (58): 1 in line of sight, 0 well beyond it; slopes of bare ground, m/km */
static double slope_blend(const es_hull *hull, double direct_m_km) {
  if (hull->tx_at == SIZE_MAX) return 1.0;
  return 1.0 - 0.5 * (1.0 + tanh(3.0 * 0.8 * (1e3 * hull->tx_slope - direct_m_km) / 0.3));
}

/* (59): 1 on short paths, 0 on long ones */
static double distance_blend(double d) { return 1.0 - 0.5 * (1.0 + tanh(3.0 * 0.5 * (d - 20.0) / 20.0)); }

/* (60): least loss of line of sight and diffraction over the sea */
static double least_surface(const path *a, const losses *l, double p) {
  double over_land = (1.0 - a->omega) * l->ldp;
  if (p < a->b0) return l->lb0p + over_land;
  return a->lbd50 + (a->lb0b + over_land - a->lbd50) * l->fi;
}

/* (61): a smooth maximum, written so that no exponential overflows */
static double smooth_largest(double a, double b) { return fmax(a, b) + 2.5 * log1p(exp(-fabs(a - b) / 2.5)); }

/* (64): a power sum of two ways that are not correlated */
static double uncorrelated(double a, double b) {
  double least = fmin(a, b);
  return least - 5.0 * log10(1.0 + pow(10.0, -0.2 * fabs(a - b)));
}

/* (10) to (12), (41) to (46) and (58) to (64) for one percentage */
static losses losses_at(const path *a, double p) {
  losses l = {.fi = time_blend(p, a->b0)};
  l.lb0p = a->lbfsg + enhancement(a, p);
  l.ldp = a->diffraction.loss + l.fi * (a->ldb - a->diffraction.loss);
  l.lbd = l.lb0p + l.ldp;
  l.lba = duct_loss(a, p);
  l.lbs = scatter_loss(a, p);
  l.lminb0p = least_surface(a, &l, p);
  l.lminbap = smooth_largest(l.lba, l.lb0p);
  l.lbda = l.lminbap > l.lbd ? l.lbd : l.lminbap + (l.lbd - l.lminbap) * a->fk;
  l.lbam = l.lbda + (l.lminb0p - l.lbda) * a->fj;
  l.lb = uncorrelated(l.lbs, l.lbam);
  return l;
}

/* Which way carries the answer: the smaller side of (64); within Lbam ducting when it is the smaller side of (62) and its
 * weight there, (1 - Fk)(1 - Fj), is above a half. */
static uint8_t carrier(const path *a, const losses *l) {
  if (l->lbs < l->lbam) return ES_SCATTER;
  bool duct = l->lminbap <= l->lbd && (1.0 - a->fk) * (1.0 - a->fj) > 0.5;
  return duct ? ES_DUCT : ES_SURFACE;
}

/* ---- one receiver ---- */

static double climate(const es_task *task, es_climate_key key, size_t r) {
  return task->host->climate(task->ctx, key, ES_AT_CENTRE, r);
}

/* Gain towards the horizon, or the other antenna in line of sight; NaN: along the path. */
static double gain(const es_task *task, int32_t end, size_t r, double el) {
  return task->host->gain_dbi(task->ctx, end, r, NAN, el, 0);
}

/* The host's slopes are tangents of angles, (152) to (158) ask for the angles. */
static void take_geometry(const es_task *task, size_t r, path *a) {
  const es_receivers *rx = task->rx;
  a->f = task->freq_ghz;
  a->d = rx->dist_m[r] / 1e3;
  a->theta_t = 1e3 * atan(rx->el_tx[r]);
  a->theta_r = 1e3 * atan(rx->el_rx[r]);
  a->theta = 1e3 * a->d / task->earth_radius_km + a->theta_t + a->theta_r;
  bool empty = rx->last[r] == 0; /* no ground between the ends: line of sight, taken as clear in the middle */
  a->dlt = empty ? 0.5 * a->d : rx->d_tx_m[r] / 1e3;
  a->dlr = empty ? 0.5 * a->d : rx->d_rx_m[r] / 1e3;
  a->dct = rx->sea_tx_m[r] / 1e3;
  a->dcr = rx->sea_rx_m[r] / 1e3;
  a->dtm = rx->land_m[r] / 1e3;
  a->dlm = rx->inland_m[r] / 1e3;
  a->hts = task->beacon->antenna_m;
  a->hrs = rx->at[r].antenna_m;
  a->hte = a->hts - rx->fit_tx_m[r];
  a->hre = a->hrs - rx->fit_rx_m[r];
  a->hm = rx->rough_m[r];
  a->omega = rx->sea_share[r];
}

static void take_climate(const es_task *task, size_t r, path *a) {
  a->phi = task->rx->mid_lat_deg[r];
  a->dn = climate(task, ES_DELTA_N, r);
  a->n0 = climate(task, ES_N0, r);
  a->gain_t = gain(task, ES_BEACON, r, task->rx->el_tx[r]);
  a->gain_r = gain(task, ES_LISTENER, r, task->rx->el_rx[r]);
  a->tau = inland_factor(a->dlm);
  a->b0 = point_incidence(a->phi, a->dtm, a->dlm);
}

/* `air` is kept from receiver to receiver while pressure and temperature stay. Gives the gases of troposcatter, dB/km. */
static double take_gases(const es_task *task, size_t r, p676_air *air, path *a) {
  double press_hpa = climate(task, ES_PRESSURE, r), temp_k = climate(task, ES_TEMPERATURE, r) + KELVIN;
  if (!(air->press_hpa == press_hpa && air->temp_k == temp_k)) p676_prepare(air, a->f, press_hpa, temp_k);
  a->gamma = p676_specific(air, 7.5 + 2.5 * a->omega); /* (9a) */
  double gas_db_km = a->gamma.oxygen_db_km + a->gamma.vapour_db_km;
  a->ag = gas_db_km * task->rx->slant_m[r] / 1e3;
  a->duct_gas = gas_db_km * a->d;
  p676_gamma high = p676_specific(air, SCATTER_VAPOUR);
  return high.oxygen_db_km + high.vapour_db_km;
}

static void take_line_of_sight(const es_task *task, size_t r, path *a) {
  double slant = task->rx->slant_m[r] / 1e3;
  a->lbfsg = 92.4 + 20.0 * log10(a->f) + 20.0 * log10(slant) + a->ag; /* (8) */
  a->lb0b = a->lbfsg + enhancement(a, a->b0);
}

static double beta_radius_km(const es_task *task) {
  return task->fixed_radius ? task->earth_radius_km : K_BETA * EARTH_KM;
}

static void take_diffraction(const es_task *task, size_t r, const hulls *h, path *a) {
  db_setup setup = {.convention = DB_P452, .freq_ghz = a->f, .polarisation = task->polarisation};
  setup.radius_km = task->earth_radius_km;
  setup.curvature_per_km = 1.0 / setup.radius_km;
  db_loss(&setup, task, &h->median[r], r, &a->diffraction);
  setup.radius_km = beta_radius_km(task);
  setup.curvature_per_km = 1.0 / setup.radius_km;
  db_terms beta;
  db_loss(&setup, task, &h->beta[r], r, &beta);
  a->ldb = beta.loss;
  a->lbd50 = a->lbfsg + a->diffraction.loss; /* (43) */
}

static void take_blends(const es_task *task, size_t r, const hulls *h, path *a) {
  double bulge_m_km = 500.0 * a->d / task->earth_radius_km; /* the hull's heights are parabolic */
  a->fj = slope_blend(&h->bare[r], (a->hrs - a->hts) / a->d - bulge_m_km);
  a->fk = distance_blend(a->d);
}

/* The gases of (45) go with either form: P.617 leaves them to its reader. */
static void take_scatter(const es_task *task, size_t r, double gas_db_km, path *a) {
  if (a->scatter == SCATTER_P617) {
    a->by_n0 = p617_path_of(task, r, a->gain_t + a->gain_r, p617_radius_km(task, r, 0));
    a->lbs50 = a->by_n0.median_db + gas_db_km * a->d;
    return;
  }
  a->lbs50 = scatter_median(a, gas_db_km);
}

static void take_path(const es_task *task, size_t r, const hulls *h, p676_air *air, path *a) {
  take_geometry(task, r, a);
  take_climate(task, r, a);
  double scatter_gas_db_km = take_gases(task, r, air, a);
  take_line_of_sight(task, r, a);
  take_diffraction(task, r, h, a);
  take_blends(task, r, h, a);
  a->af = duct_coupling(a);
  a->ad_angle = duct_angle(a, task->earth_radius_km);
  a->b_over_b0 = duct_geometry(a, task->earth_radius_km);
  a->gamma_b = duct_power(a->d, duct_incidence(a));
  take_scatter(task, r, scatter_gas_db_km, a);
}

/* ---- what is told ---- */

typedef struct told {
  const char *symbol;
  double value;
} told;

static void tell(const es_task *task, size_t k, size_t r, const told *all, size_t n) {
  for (size_t i = 0; i < n; i++) task->host->note(task->ctx, k, r, all[i].symbol, all[i].value);
}

static void tell_path(const es_task *task, size_t k, size_t r, const path *a) {
  const es_receivers *rx = task->rx;
  const told all[] = {
      {"ae", task->earth_radius_km},
      {"dtot", a->d},
      {"hts", a->hts},
      {"hrs", a->hrs},
      {"theta_t", a->theta_t},
      {"theta_r", a->theta_r},
      {"theta", a->theta},
      {"hm", a->hm},
      {"hte", a->hte},
      {"hre", a->hre},
      {"hst", rx->fit_tx_m[r]},
      {"hsr", rx->fit_rx_m[r]},
      {"hstd", rx->smooth_tx_m[r]},
      {"hsrd", rx->smooth_rx_m[r]},
      {"dlt", a->dlt},
      {"dlr", a->dlr},
      {"dct", a->dct},
      {"dcr", a->dcr},
      {"dtm", a->dtm},
      {"dlm", a->dlm},
      {"omega", a->omega},
      {"DN", a->dn},
      {"N0", a->n0},
      {"b0", a->b0},
      {"gamma_o", a->gamma.oxygen_db_km},
      {"gamma_w", a->gamma.vapour_db_km},
      {"Ag", a->ag},
      {"Gt", a->gain_t},
      {"Gr", a->gain_r},
  };
  tell(task, k, r, all, sizeof all / sizeof all[0]);
}

static void tell_losses(const es_task *task, size_t k, size_t r, const path *a, const losses *l) {
  const told all[] = {
      {"Lbfsg", a->lbfsg},
      {"Lb0p", l->lb0p},
      {"Lb0b", a->lb0b},
      {"Lbulla50", a->diffraction.actual},
      {"Lbulls50", a->diffraction.smooth},
      {"Ldsph50", a->diffraction.spherical},
      {"Ldsph", a->diffraction.spherical},
      {"Ld50", a->diffraction.loss},
      {"Ldb", a->ldb},
      {"Fi", l->fi},
      {"Ldp", l->ldp},
      {"Lbd50", a->lbd50},
      {"Lbd", l->lbd},
      {"Lminb0p", l->lminb0p},
      {"Lba", l->lba},
      {"Lminbap", l->lminbap},
      {"Fk", a->fk},
      {"Fj", a->fj},
      {"Lbda", l->lbda},
      {"Lbam", l->lbam},
      {"Lbs", l->lbs},
      {"Lb", l->lb},
  };
  tell(task, k, r, all, sizeof all / sizeof all[0]);
}

/* ---- all receivers ---- */

static int32_t refuse(es_error *err, const char *what) {
  if (err != NULL) {
    err->status = ES_FAILED;
    snprintf(err->detail, sizeof err->detail, "openings: %s", what);
  }
  return ES_FAILED;
}

static const es_hull *take_hull(const es_task *task, double radius_km, int32_t canopy) {
  const es_hull *hull;
  double curvature = 1.0 / radius_km, bare_m = canopy ? COVER_FREE_M : 0.0;
  return task->host->hulls(task->ctx, &curvature, 1, canopy, bare_m, DB_ENOUGH_M(task->freq_ghz), &hull) == 0 ? hull
                                                                                                              : NULL;
}

static bool take_hulls(const es_task *task, hulls *h) {
  bool cover = task->line->top_m != NULL;
  h->median = take_hull(task, task->earth_radius_km, cover);
  h->beta = task->fixed_radius ? h->median : take_hull(task, beta_radius_km(task), cover);
  h->bare = cover ? take_hull(task, task->earth_radius_km, 0) : h->median;
  return h->median != NULL && h->beta != NULL && h->bare != NULL;
}

static void answer(const es_task *task, es_answer *out, size_t k, size_t r, const path *a) {
  double p = task->percent[k];
  losses l = losses_at(a, fmin(p, P_MAX));
  size_t at = k * task->rx->n + r;
  out->value[at] = l.lb;
  out->winner[at] = carrier(a, &l);
  if (!isfinite(l.lb))
    out->status[at] = ES_MISSING;
  else if (p < P_MIN || p > P_MAX)
    out->status[at] = ES_OUTSIDE;
  if (task->host->note == NULL) return;
  tell_path(task, k, r, a);
  tell_losses(task, k, r, a, &l);
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  const openings_settings *set = self;
  if (task->rx->n == 0) return ES_OK;
  hulls h;
  if (!take_hulls(task, &h)) return refuse(err, "out of memory for the hulls");
  p676_air air = {.press_hpa = NAN};
  for (size_t r = 0; r < task->rx->n; r++) {
    path a = {.scatter = set != NULL ? set->scatter : SCATTER_P452};
    take_path(task, r, &h, &air, &a);
    for (size_t k = 0; k < task->n_percent; k++) answer(task, out, k, r, &a);
  }
  return ES_OK;
}

static int32_t create(const double *values, void **self, es_error *err) {
  openings_settings *set = calloc(1, sizeof *set);
  if (set == NULL) return refuse(err, "out of memory");
  set->scatter = (int)(values[0] + 0.5);
  *self = set;
  return ES_OK;
}

static const es_setting SETTINGS[] = {
    {.key = "troposcatter",
     .unit = "",
     .help = "form of the troposcatter term: P.452-18 (45), or P.617-6 section 4.1 with the gases of (45)",
     .max = 1,
     .choices = "p452|p617"},
};

ES_EXPORT const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "openings",
    .title = "Openings: every clear-air way at small percentages of time",
    .source = "ITU-R P.452-18 (10/2023)",
    .role = ES_TOTAL,
    .touches = ES_ALL_WAYS,
    .min_ghz = 0.1,
    .max_ghz = 50.0,
    .min_km = 0.0,
    .max_km = 10000.0,
    .settings = SETTINGS,
    .n_settings = sizeof SETTINGS / sizeof SETTINGS[0],
    .create = create,
    .evaluate = evaluate,
    .destroy = free,
};
