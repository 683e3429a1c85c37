/* delta_bullington.c - see delta_bullington.h.
 *
 * Source: ITU-R P.526-16 (11/2025) 3.1.1, 3.2, 4.1, 4.5; ITU-R P.2001-6 attachment A; ITU-R P.452-18 section 4.2.
 *
 * The Bullington point is taken in its product form. With a and b the slopes by which the two horizons rise above the
 * direct line, the edge stands where a x = b (D - x), and its diffraction parameter is nu^2 = 2 D a b / lambda: no division,
 * nothing singular at grazing.                                                                                           */
#include "common/delta_bullington.h"

#include <math.h>

static const double PI = 3.14159265358979323846;

static double square(double x) { return x * x; }

double db_wavelength_m(const db_setup *setup) {
  double light = setup->light_m_s > 0.0         ? setup->light_m_s
                 : setup->convention == DB_P526 ? 299792458.0
                                                : 2.998e8; /* P.2001 and P.452 take 0.2998/f */
  return light / (setup->freq_ghz * 1e9);
}

double db_knife_edge(double nu) {
  return nu > -0.78 ? 6.9 + 20.0 * log10(sqrt(square(nu - 0.1) + 1.0) + nu - 0.1) : 0.0; /* P.526 (31) */
}

/* P.526 (55): the knife edge with Bullington's correction for what one edge leaves out. */
static double bullington(double knife_db, double dist_km) {
  return knife_db + (1.0 - exp(-knife_db / 6.0)) * (10.0 + 0.02 * dist_km);
}

static double nu_of_slopes(double a, double b, double dist_m, double lambda_m) {
  return sqrt(2.0 * dist_m * a * fmax(b, 0.0) / lambda_m);
}

/* --- actual profile ----------------------------------------------------------------------------------------------- */

static double actual_nu(const es_hull *hull, double line_slope, double dist_m, double lambda_m) {
  if (isnan(hull->clear_v2)) /* out of sight; at grazing the slopes may differ by a rounding */
    return nu_of_slopes(fmax(hull->tx_slope - line_slope, 0.0), hull->rx_slope + line_slope, dist_m, lambda_m);
  return -sqrt(2.0 * dist_m * hull->clear_v2 / lambda_m);
}

/* --- smooth profile: all heights zero, the same sample distances ---------------------------------------------------- */

/* b in P.526 (23): the point of least clearance over a smooth earth is D (1 + b) / 2. One root of
 * m b^3 - (m + 1) b + c = 0 lies in [-1, 1]; this form has no cancellation near the horizon. */
static double clearance_root(double h1, double h2, double m) {
  double c = (h1 - h2) / (h1 + h2);
  double z = 1.5 * c * sqrt(3.0 * m / ((m + 1.0) * (m + 1.0) * (m + 1.0)));
  return 2.0 * sqrt((m + 1.0) / (3.0 * m)) * sin(asin(fmin(fmax(z, -1.0), 1.0)) / 3.0);
}

/* Index of the last sample at or before dist_m, within 1..last. */
static size_t sample_before(const es_line *line, size_t last, double dist_m) {
  if (!(dist_m > line->dist_m[1])) return 1;
  if (dist_m >= line->dist_m[last]) return last;
  if (line->step_m > 0.0) {
    size_t i = (size_t)(dist_m / line->step_m);
    while (i > 1 && line->dist_m[i] > dist_m) i--;
    while (i < last && line->dist_m[i + 1] <= dist_m) i++;
    return i;
  }
  size_t low = 1, high = last;
  while (high - low > 1) {
    size_t middle = low + (high - low) / 2;
    if (line->dist_m[middle] <= dist_m)
      low = middle;
    else
      high = middle;
  }
  return low;
}

typedef struct smooth_path {
  double h1, h2, dist_m, k; /* antennas above the smooth earth; k: half the curvature, 1/m */
} smooth_path;

static double tx_slope_at(const smooth_path *p, double x) { return p->k * (p->dist_m - x) - p->h1 / x; }
static double rx_slope_at(const smooth_path *p, double x) { return p->k * x - p->h2 / (p->dist_m - x); }
static double clear_v2_at(const smooth_path *p, double x) {
  double clear = p->h1 + (p->h2 - p->h1) * x / p->dist_m - p->k * x * (p->dist_m - x);
  return clear * clear / (x * (p->dist_m - x));
}

/* Best value of f over the samples when f has one extreme, near dist_m: the samples on either side of it. */
static double best_near(const es_line *line, size_t last, double dist_m, const smooth_path *path,
                        double (*f)(const smooth_path *, double), int largest) {
  size_t i = sample_before(line, last, dist_m);
  double here = f(path, line->dist_m[i]);
  if (i == last) return here;
  double next = f(path, line->dist_m[i + 1]);
  return largest ? fmax(here, next) : fmin(here, next);
}

static double smooth_nu(const es_line *line, size_t last, const smooth_path *p, double lambda_m) {
  double line_slope = (p->h2 - p->h1) / p->dist_m;
  double to_tx = best_near(line, last, sqrt(p->h1 / p->k), p, tx_slope_at, 1);
  if (to_tx >= line_slope) {
    double to_rx = best_near(line, last, p->dist_m - sqrt(p->h2 / p->k), p, rx_slope_at, 1);
    return nu_of_slopes(to_tx - line_slope, to_rx + line_slope, p->dist_m, lambda_m);
  }
  double m = p->k * p->dist_m * p->dist_m / (2.0 * (p->h1 + p->h2)); /* P.526 (25): 250 D^2/(a (h1+h2)) in km */
  double nearest = 0.5 * p->dist_m * (1.0 + clearance_root(p->h1, p->h2, m));
  return -sqrt(2.0 * p->dist_m * best_near(line, last, nearest, p, clear_v2_at, 0) / lambda_m);
}

/* --- spherical earth ------------------------------------------------------------------------------------------------ */

typedef struct ground_kind {
  double permittivity, conductivity; /* S/m */
} ground_kind;

static const ground_kind LAND = {22.0, 0.003}, SEA = {80.0, 5.0};

/* Normalised factor for surface admittance, P.526 (11), (12). */
static double admittance(const db_setup *s, const ground_kind *ground, double radius_km, double lambda_m) {
  double er = ground->permittivity, k, loss;
  if (s->convention == DB_P526) {
    loss = square(60.0 * lambda_m * ground->conductivity);
    k = pow(2.0 * PI * radius_km * 1e3 / lambda_m, -1.0 / 3.0);
  } else {
    loss = square(18.0 * ground->conductivity / s->freq_ghz);
    k = 0.036 * pow(radius_km * s->freq_ghz, -1.0 / 3.0);
  }
  k *= pow(square(er - 1.0) + loss, -0.25);
  return s->polarisation == ES_VERTICAL ? k * sqrt(er * er + loss) : k;
}

/* Distance and height in the units of the diffraction series, P.526 (14), (15). */
static double distance_unit(const db_setup *s, double beta, double radius_km, double dist_km, double lambda_m) {
  if (s->convention == DB_P526) return beta * dist_km * 1e3 * cbrt(PI / (lambda_m * square(radius_km * 1e3)));
  return 21.88 * beta * cbrt(s->freq_ghz / square(radius_km)) * dist_km;
}

static double height_unit(const db_setup *s, double beta, double radius_km, double h_m, double lambda_m) {
  if (s->convention == DB_P526) return 2.0 * beta * h_m * cbrt(PI * PI / (lambda_m * lambda_m * radius_km * 1e3));
  return 0.9575 * beta * cbrt(square(s->freq_ghz) / radius_km) * h_m;
}

/* Height gain, P.526 (18). */
static double height_gain(double b, double k) {
  double g = b > 2.0 ? 17.6 * sqrt(b - 1.1) - 5.0 * log10(b - 1.1) - 8.0 : 20.0 * log10(b + 0.1 * b * b * b);
  return fmax(g, 2.0 + 20.0 * log10(k));
}

/* First term of the residue series over one kind of ground, P.526 (13)-(18). */
static double first_term(const db_setup *s, const ground_kind *ground, double radius_km, double h1_m, double h2_m,
                         double dist_km) {
  double lambda = db_wavelength_m(s);
  double k = admittance(s, ground, radius_km, lambda), k2 = k * k;
  double beta = s->beta1 ? 1.0 : (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2);
  double x = distance_unit(s, beta, radius_km, dist_km, lambda);
  double b1 = beta * height_unit(s, beta, radius_km, h1_m, lambda);
  double b2 = beta * height_unit(s, beta, radius_km, h2_m, lambda);
  double f = x >= 1.6 ? 11.0 + 10.0 * log10(x) - 17.6 * x : -20.0 * log10(x) - 5.6488 * pow(x, 1.425);
  return -f - height_gain(b1, k) - height_gain(b2, k);
}

static double first_term_mixed(const db_setup *s, double radius_km, double h1_m, double h2_m, double dist_km,
                               double sea_share) {
  double loss = 0.0;
  if (sea_share < 1.0) loss += (1.0 - sea_share) * first_term(s, &LAND, radius_km, h1_m, h2_m, dist_km);
  if (sea_share > 0.0) loss += sea_share * first_term(s, &SEA, radius_km, h1_m, h2_m, dist_km);
  return loss;
}

double db_spherical(const db_setup *s, double h1_m, double h2_m, double dist_km, double sea_share) {
  double horizon_km = sqrt(2.0 * s->radius_km) * (sqrt(0.001 * h1_m) + sqrt(0.001 * h2_m)); /* P.526 (21) */
  if (dist_km >= horizon_km) return first_term_mixed(s, s->radius_km, h1_m, h2_m, dist_km, sea_share);
  double b = clearance_root(h1_m, h2_m, 250.0 * dist_km * dist_km / (s->radius_km * (h1_m + h2_m)));
  double d1 = 0.5 * dist_km * (1.0 + b), d2 = dist_km - d1;
  double clear =
      ((h1_m - 500.0 * d1 * d1 / s->radius_km) * d2 + (h2_m - 500.0 * d2 * d2 / s->radius_km) * d1) / dist_km;
  double lambda = db_wavelength_m(s);
  double needed = s->convention == DB_P526 ? 0.552 * sqrt(1e3 * d1 * d2 * lambda / dist_km)
                                           : 17.456 * sqrt(d1 * d2 * lambda / dist_km); /* P.526 (24) */
  if (clear > needed) return 0.0;
  double marginal_km = 500.0 * square(dist_km / (sqrt(h1_m) + sqrt(h2_m))); /* radius that just gives line of sight */
  double loss = first_term_mixed(s, marginal_km, h1_m, h2_m, dist_km, sea_share);
  return loss < 0.0 ? 0.0 : (1.0 - clear / needed) * loss;
}

/* --- all together --------------------------------------------------------------------------------------------------- */

void db_loss(const db_setup *setup, const es_task *task, const es_hull *hull, size_t r, db_terms *out) {
  const es_receivers *rx = task->rx;
  double dist_m = rx->dist_m[r], dist_km = dist_m / 1e3, lambda = db_wavelength_m(setup);
  double h_tx = task->beacon->antenna_m, h_rx = rx->at[r].antenna_m;
  double h1 = fmax(h_tx - rx->smooth_tx_m[r], 0.01), h2 = fmax(h_rx - rx->smooth_rx_m[r], 0.01);
  *out = (db_terms){0};
  if (hull->tx_at != SIZE_MAX) {
    double line_slope = (h_rx - 500.0 * setup->curvature_per_km * dist_km * dist_km - h_tx) / dist_m;
    out->knife_actual = db_knife_edge(actual_nu(hull, line_slope, dist_m, lambda));
    smooth_path path = {h1, h2, dist_m, 0.5e-3 / setup->radius_km};
    out->knife_smooth = db_knife_edge(smooth_nu(task->line, rx->last[r], &path, lambda));
  }
  out->actual = bullington(out->knife_actual, dist_km);
  out->smooth = bullington(out->knife_smooth, dist_km);
  out->spherical = db_spherical(setup, h1, h2, dist_km, rx->sea_share[r]);
  out->loss = out->actual + fmax(out->spherical - out->smooth, 0.0);
}
