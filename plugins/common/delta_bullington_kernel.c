/* delta_bullington_kernel.c - the delta-Bullington loss of all receivers of a radial: db_loss() in the form that makes maps.
 *
 * Sources as in delta_bullington.c. Plain loops of selects over blocks of receivers, compiled for several sets of
 * instructions (delta_bullington_all.c chooses); the arithmetic is the same in all.
 *
 *   block of receivers --knife edge, actual profile--> loss, 4 ns a receiver
 *        |
 *        +--does the smooth earth stand in the way?--> most do not need the rest, 2 ns
 *        |
 *        +--those that do, packed together--> knife edge on the smooth profile, spherical earth, 15 ns each
 *
 * The skip test. With rho the clearance over a smooth earth in units of the one required, the spherical term is 0 for
 * rho > 1. One Newton step on the cubic of P.526 (23) from b0 = c / (1 + m - m c^2) gives rho^2 too large by less than
 * 0.31 % up to 0.8 of the horizon distance (checked on a grid up to |c| = 1 - 1e-6), so what has less than 1.005 of it, or
 * lies farther out, is computed in full.                                                                                   */
#include <math.h>

#include "common/delta_bullington.h"
#include "earshot/maths.h"

#ifndef DB_KERNEL
#define DB_KERNEL db_kernel_portable
#endif

enum { BLOCK = 128 };

static inline double square(double x) { return x * x; }
static inline double larger(double a, double b) { return a > b ? a : b; }
static inline double smaller(double a, double b) { return a < b ? a : b; }

/* --- knife edge and Bullington ---------------------------------------------------------------------------------------- */

/* P.526 (31); nothing at nu <= -0.78. */
static inline double knife_edge(double nu) {
  double j = 6.9 + 20.0 * es_log10(sqrt(square(nu - 0.1) + 1.0) + nu - 0.1);
  return nu > -0.78 ? j : 0.0;
}

/* P.526 (55) */
static inline double bullington(double knife_db, double dist_km) {
  return knife_db + (1.0 - es_exp(knife_db * (-1.0 / 6.0))) * (10.0 + 0.02 * dist_km);
}

/* The receivers of a block, as plain columns. */
typedef struct columns {
  double dist[BLOCK], tx_slope[BLOCK], rx_slope[BLOCK], clear_v2[BLOCK], h_rx[BLOCK];
  double h1[BLOCK], h2[BLOCK], last[BLOCK], sea[BLOCK], actual[BLOCK];
} columns;

static void take_columns(const es_task *task, const es_hull *hulls, size_t from, size_t n, columns *c) {
  const es_receivers *rx = task->rx;
  double h_tx = task->beacon->antenna_m;
  for (size_t i = 0; i < n; i++) {
    size_t r = from + i;
    const es_hull *hull = &hulls[r];
    c->dist[i] = rx->dist_m[r];
    c->tx_slope[i] = hull->tx_slope; /* minus infinity where there is no sample between */
    c->rx_slope[i] = hull->rx_slope;
    c->clear_v2[i] = hull->clear_v2;
    c->h_rx[i] = rx->at[r].antenna_m;
    c->last[i] = (double)rx->last[r];
    c->sea[i] = rx->sea_share[r];
    c->h1[i] = larger(h_tx - rx->smooth_tx_m[r], 0.01);
    c->h2[i] = larger(c->h_rx[i] - rx->smooth_rx_m[r], 0.01);
  }
}

/* As in db_loss(): out of sight is where the hull found no clearance. */
static void actual_profile(const db_setup *s, double h_tx, double lambda, size_t n, columns *c) {
  for (size_t i = 0; i < n; i++) {
    double dist = c->dist[i], dist_km = 1e-3 * dist;
    double line_slope = (c->h_rx[i] - 500.0 * s->curvature_per_km * dist_km * dist_km - h_tx) / dist;
    double a = larger(c->tx_slope[i] - line_slope, 0.0), b = larger(c->rx_slope[i] + line_slope, 0.0);
    int hidden = c->clear_v2[i] != c->clear_v2[i], alone = c->last[i] < 1.0;
    double root = sqrt(2.0 * dist / lambda * (hidden ? a * b : c->clear_v2[i]));
    double nu = alone ? -1.0 : hidden ? root : -root;
    c->actual[i] = bullington(knife_edge(nu), dist_km);
  }
}

/* --- does the smooth earth matter? --------------------------------------------------------------------------------------- */

/* Writes 1 where it may. required: that of P.526 (24) squared, m^2, is required d1 d2 / D, all in m. */
static void test_smooth_earth(const db_setup *s, double required, size_t n, const columns *c, uint8_t *needed) {
  double k = 0.5e-3 / s->radius_km, per_root_m = sqrt(2e3 * s->radius_km);
  for (size_t i = 0; i < n; i++) {
    double h1 = c->h1[i], h2 = c->h2[i], sum = h1 + h2, dist = c->dist[i];
    double ratio = (h1 - h2) / sum, m = 0.5 * k * dist * dist / sum;
    double b0 = ratio / (1.0 + m - m * ratio * ratio);
    double b = b0 - (m * b0 * b0 * b0 - (m + 1.0) * b0 + ratio) / (3.0 * m * b0 * b0 - m - 1.0);
    double x = 0.5 * dist * (1.0 + b), rest = dist - x;
    double clear = h1 + (h2 - h1) * x / dist - k * x * rest;
    int far = dist > 0.8 * per_root_m * (sqrt(h1) + sqrt(h2));
    int near = !(clear * clear * dist >= 1.005 * required * x * rest);
    needed[i] = (uint8_t)(far | near | (clear < 0.0));
  }
}

/* --- smooth profile ---------------------------------------------------------------------------------------------------------- */

/* A path over the smooth earth, samples at whole steps up to `last`. */
typedef struct smooth_path {
  double h1, h2, dist, k, step, last;
} smooth_path;

static inline double tx_slope_at(const smooth_path *p, double x) { return p->k * (p->dist - x) - p->h1 / x; }
static inline double rx_slope_at(const smooth_path *p, double x) { return p->k * x - p->h2 / (p->dist - x); }
static inline double clear_v2_at(const smooth_path *p, double x) {
  double clear = p->h1 + (p->h2 - p->h1) * x / p->dist - p->k * x * (p->dist - x);
  return clear * clear / (x * (p->dist - x));
}

/* The samples on either side of a place, held to 1..last. */
static inline void samples_about(const smooth_path *p, double x, double *before, double *after) {
  double i = floor(x / p->step);
  i = i < 1.0 ? 1.0 : i;
  i = i > p->last ? p->last : i;
  *before = i * p->step;
  *after = smaller(i + 1.0, p->last) * p->step;
}

/* b in P.526 (23): the cubic's root by a third of an arc sine. */
static inline double clearance_root(double m, double arc_sine) {
  double t = arc_sine / 3.0, t2 = t * t; /* |t| <= pi / 6: the sine by its series */
  double sine =
      t * (1.0 +
           t2 * (-1.0 / 6.0 +
                 t2 * (1.0 / 120.0 + t2 * (-1.0 / 5040.0 + t2 * (1.0 / 362880.0 + t2 * (-1.0 / 39916800.0 +
                                                                                        t2 * (1.0 / 6227020800.0)))))));
  return 2.0 * sqrt((m + 1.0) / (3.0 * m)) * sine;
}

/* Each of the three has one extreme: the better of the samples about it is the best of all. */
static inline double smooth_nu(const smooth_path *p, double root, double lambda) {
  double slope = (p->h2 - p->h1) / p->dist, x0, x1;
  samples_about(p, sqrt(p->h1 / p->k), &x0, &x1);
  double a = larger(tx_slope_at(p, x0), tx_slope_at(p, x1)) - slope;
  samples_about(p, p->dist - sqrt(p->h2 / p->k), &x0, &x1);
  double b = larger(rx_slope_at(p, x0), rx_slope_at(p, x1)) + slope;
  samples_about(p, 0.5 * p->dist * (1.0 + root), &x0, &x1);
  double v2 = smaller(clear_v2_at(p, x0), clear_v2_at(p, x1));
  int hidden = a >= 0.0;
  double nu = sqrt(2.0 * p->dist / lambda * (hidden ? a * larger(b, 0.0) : v2));
  return hidden ? nu : -nu;
}

/* --- spherical earth ------------------------------------------------------------------------------------------------------- */

/* What the series of P.526 (11) to (18) holds besides the path: factors of u = radius_km^(-1/3). */
typedef struct series {
  double admittance, log_admittance; /* K = admittance u */
  double per_km, per_m;              /* X = per_km beta u^2 d, Y = per_m beta u h */
  int beta1;
} series;

static series series_of(const db_setup *s, double permittivity, double conductivity, double lambda) {
  const double pi = 3.14159265358979323846;
  int p526 = s->convention == DB_P526;
  double loss = square(p526 ? 60.0 * lambda * conductivity : 18.0 * conductivity / s->freq_ghz);
  double k = p526 ? cbrt(lambda / (2e3 * pi)) : 0.036 / cbrt(s->freq_ghz);
  k *= pow(square(permittivity - 1.0) + loss, -0.25);
  if (s->polarisation == ES_VERTICAL) k *= sqrt(permittivity * permittivity + loss);
  return (series){k, log2(k), p526 ? 10.0 * cbrt(pi / lambda) : 21.88 * cbrt(s->freq_ghz),
                  p526 ? 0.2 * cbrt(pi * pi / (lambda * lambda)) : 0.9575 * cbrt(square(s->freq_ghz)), s->beta1};
}

/* P.526 (18); floor: 2 + 20 lg K. */
static inline double height_gain(double b, double floor_db) {
  double high = larger(b - 1.1, 0.5), lg = es_log10(b > 2.0 ? high : b + 0.1 * b * b * b);
  double g = b > 2.0 ? 17.6 * sqrt(high) - 5.0 * lg - 8.0 : 20.0 * lg;
  return larger(g, floor_db);
}

/* The few that need it, packed. Neighbours on a radial are alike: what none of a block needs is asked for once and left out. */
typedef struct packed {
  double h1[BLOCK], h2[BLOCK], dist[BLOCK], last[BLOCK], sea[BLOCK];
  double m[BLOCK], arc_sine[BLOCK]; /* of the cubic, P.526 (23) */
  double smooth[BLOCK];             /* loss on the smooth profile */
  double share[BLOCK];              /* of the first term that counts */
  double radius[BLOCK];             /* km, for which that term is taken */
  double log_u[BLOCK], u[BLOCK];    /* of that radius */
  double x[BLOCK], log_x[BLOCK], f[BLOCK], term[BLOCK];
  size_t at[BLOCK], n;
  int land, water; /* some path has it */
} packed;

static void pack(size_t n, const columns *c, const uint8_t *needed, packed *p) {
  p->n = 0;
  p->land = p->water = 0;
  for (size_t i = 0; i < n; i++) {
    size_t j = p->n;
    p->h1[j] = c->h1[i];
    p->h2[j] = c->h2[i];
    p->dist[j] = c->dist[i];
    p->last[j] = c->last[i];
    p->sea[j] = c->sea[i];
    p->at[j] = i;
    p->n += needed[i] != 0;
    p->land |= needed[i] & (c->sea[i] < 1.0);
    p->water |= needed[i] & (c->sea[i] > 0.0);
  }
}

/* m of the cubic, and the arc sine of which a third leads to its root. */
static void cubic(const db_setup *s, packed *p) {
  double k = 0.5e-3 / s->radius_km;
  int wide = 0; /* some argument is beyond the reach of the arc sine's series */
  for (size_t j = 0; j < p->n; j++) {
    double sum = p->h1[j] + p->h2[j], c = (p->h1[j] - p->h2[j]) / sum, m = 0.5 * k * p->dist[j] * p->dist[j] / sum;
    double m1 = m + 1.0, z = 1.5 * c * sqrt(3.0 * m / (m1 * m1 * m1));
    z = smaller(larger(z, -1.0), 1.0);
    wide |= fabs(z) >= 0.5;
    p->m[j] = m;
    p->arc_sine[j] = z;
  }
  if (wide)
    for (size_t j = 0; j < p->n; j++) p->arc_sine[j] = es_asin(p->arc_sine[j]);
  else
    for (size_t j = 0; j < p->n; j++) p->arc_sine[j] = es_asin_small(p->arc_sine[j]);
}

/* Bullington on the smooth profile, and how much of the spherical term counts. */
static void smooth_profile(const db_setup *s, double required, double lambda, double step, packed *p) {
  double k = 0.5e-3 / s->radius_km, per_root_m = sqrt(2e3 * s->radius_km);
  for (size_t j = 0; j < p->n; j++) {
    smooth_path path = {p->h1[j], p->h2[j], p->dist[j], k, step, larger(p->last[j], 1.0)};
    double dist = path.dist, roots = sqrt(path.h1) + sqrt(path.h2), root = clearance_root(p->m[j], p->arc_sine[j]);
    double knife = knife_edge(smooth_nu(&path, root, lambda));
    p->smooth[j] = bullington(p->last[j] < 1.0 ? 0.0 : knife, 1e-3 * dist);
    double d1 = 0.5 * dist * (1.0 + root), d2 = dist - d1;
    double clear = ((path.h1 - k * d1 * d1) * d2 + (path.h2 - k * d2 * d2) * d1) / dist;
    double missing = 1.0 - clear / sqrt(required * d1 * d2 / dist);
    int beyond = dist >= per_root_m * roots;
    p->radius[j] = beyond ? s->radius_km : 5e-4 * square(dist / roots); /* the one that just gives line of sight */
    p->share[j] = beyond ? -1.0 : larger(missing, 0.0);                 /* -1: all of it, of either sign */
    p->term[j] = 0.0;
  }
}

static inline double log_of_u(double radius_km) { return es_log2(radius_km) * (-1.0 / 3.0); }

/* u = radius^(-1/3): beyond the horizon it is the setup's own, which whole blocks then share. */
static void radii(const db_setup *s, packed *p) {
  int other = 0; /* than the setup's */
  for (size_t j = 0; j < p->n; j++) other |= p->share[j] >= 0.0;
  double log_u = log_of_u(s->radius_km), u = es_exp2(log_u);
  for (size_t j = 0; !other && j < p->n; j++) p->log_u[j] = log_u, p->u[j] = u;
  for (size_t j = 0; other && j < p->n; j++) {
    p->log_u[j] = log_of_u(p->radius[j]);
    p->u[j] = es_exp2(p->log_u[j]);
  }
}

static inline double beta_of(const series *s, double u) {
  double k = s->admittance * u, k2 = k * k;
  return s->beta1 ? 1.0 : (1.0 + 1.6 * k2 + 0.67 * k2 * k2) / (1.0 + 4.5 * k2 + 1.53 * k2 * k2);
}

/* P.526 (14), (17): the distance in the series' units, and its term. */
static void distance_terms(const series *s, packed *p) {
  int near = 0; /* some path is short */
  for (size_t j = 0; j < p->n; j++) {
    double u = p->u[j], x = s->per_km * beta_of(s, u) * u * u * (1e-3 * p->dist[j]);
    p->x[j] = x;
    p->log_x[j] = es_log2(x);
    p->f[j] = 11.0 + 10.0 * ES_LOG10_2 * p->log_x[j] - 17.6 * x;
    near |= x < 1.6;
  }
  for (size_t j = 0; near && j < p->n; j++) {
    double f = -20.0 * ES_LOG10_2 * p->log_x[j] - 5.6488 * es_exp2(1.425 * smaller(p->log_x[j], 1.0));
    p->f[j] = p->x[j] >= 1.6 ? p->f[j] : f;
  }
}

/* P.526 (13) to (18), weighted by the share of this kind of ground. */
static void add_first_term(const series *s, int water, packed *p) {
  distance_terms(s, p);
  for (size_t j = 0; j < p->n; j++) {
    double u = p->u[j], beta = beta_of(s, u), y = s->per_m * beta * beta * u;
    double floor_db = 2.0 + 20.0 * ES_LOG10_2 * (s->log_admittance + p->log_u[j]);
    double gains = height_gain(y * p->h1[j], floor_db), weight = water ? p->sea[j] : 1.0 - p->sea[j];
    p->term[j] += weight * (-p->f[j] - gains - height_gain(y * p->h2[j], floor_db));
  }
}

static void add_spherical(const packed *p, columns *c) {
  for (size_t j = 0; j < p->n; j++) {
    double spherical = p->share[j] < 0.0 ? p->term[j] : p->share[j] * larger(p->term[j], 0.0);
    c->actual[p->at[j]] += larger(spherical - p->smooth[j], 0.0);
  }
}

/* --- all together ------------------------------------------------------------------------------------------------------- */

static void loss_all(const db_setup *s, const es_task *task, const es_hull *hulls, double *loss) {
  double lambda = db_wavelength_m(s), factor = s->convention == DB_P526 ? 0.552 : 17.456 * sqrt(1e-3);
  double required = factor * factor * lambda;
  series land = series_of(s, 22.0, 0.003, lambda), sea = series_of(s, 80.0, 5.0, lambda);
  for (size_t from = 0; from < task->rx->n; from += BLOCK) {
    size_t n = task->rx->n - from < BLOCK ? task->rx->n - from : BLOCK;
    columns c;
    packed p;
    uint8_t needed[BLOCK];
    take_columns(task, hulls, from, n, &c);
    actual_profile(s, task->beacon->antenna_m, lambda, n, &c);
    test_smooth_earth(s, required, n, &c, needed);
    pack(n, &c, needed, &p);
    cubic(s, &p);
    smooth_profile(s, required, lambda, task->line->step_m, &p);
    radii(s, &p);
    if (p.land) add_first_term(&land, 0, &p);
    if (p.water) add_first_term(&sea, 1, &p);
    add_spherical(&p, &c);
    for (size_t i = 0; i < n; i++) loss[from + i] = c.actual[i];
  }
}

const db_kernel DB_KERNEL = {loss_all};
