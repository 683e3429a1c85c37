/* plain.c - see plain.h. Equation numbers are those of ITU-R P.2001-6 unless another Recommendation is named. */
#include "plain.h"

#include <math.h>

static const real PI_L = 3.141592653589793238462643383279502884L;

static real length_of(const plain_path *p) { return p->d_km[p->n - 1]; }

static real largest(real a, real b) { return a > b ? a : b; }
static real smallest(real a, real b) { return a < b ? a : b; }

/* --- horizons, 3.7 -------------------------------------------------------------------------------------------------- */

real plain_from_tx(const plain_path *p, real curvature, size_t i) {
  return (p->h_m[i] - p->tx_m) / p->d_km[i] - 500.0L * p->d_km[i] * curvature; /* (3.7.1) */
}

real plain_from_rx(const plain_path *p, real curvature, size_t i) {
  real rest = length_of(p) - p->d_km[i];
  return (p->h_m[i] - p->rx_m) / rest - 500.0L * rest * curvature; /* (3.7.8) */
}

real plain_nu(const plain_path *p, real curvature, real lambda_m, size_t i) {
  real d = p->d_km[i], total = length_of(p), rest = total - d;
  real above = p->h_m[i] + 500.0L * curvature * d * rest - (p->tx_m * rest + p->rx_m * d) / total;
  return above * sqrtl(0.002L * total / (lambda_m * d * rest)); /* (3.7.3) */
}

plain_horizons plain_horizons_of(const plain_path *p, real radius_km, real lambda_m) {
  plain_horizons h = {.tx_at = SIZE_MAX, .rx_at = SIZE_MAX};
  real total = length_of(p), c = 1.0L / radius_km, best_tx = -INFINITY, best_rx = -INFINITY, best_nu = -INFINITY;
  size_t nearest = SIZE_MAX;
  for (size_t i = 1; i + 1 < p->n; i++) {
    real from_tx = plain_from_tx(p, c, i), from_rx = plain_from_rx(p, c, i), nu = plain_nu(p, c, lambda_m, i);
    if (from_tx >= best_tx) best_tx = from_tx, h.tx_at = i;
    if (from_rx >= best_rx) best_rx = from_rx, h.rx_at = i;
    if (nu >= best_nu) best_nu = nu, nearest = i;
  }
  real direct = (p->rx_m - p->tx_m) / total - 500.0L * total * c; /* (3.7.2) */
  h.los = best_tx < direct;
  if (h.los) {
    h.tx_at = h.rx_at = nearest;
    h.theta_t = direct;
    h.theta_r = -direct - 1000.0L * total * c; /* (3.7.5) */
  } else {
    h.theta_t = best_tx;
    h.theta_r = best_rx;
  }
  h.d_lt_km = h.tx_at == SIZE_MAX ? total : p->d_km[h.tx_at];
  h.d_lr_km = h.rx_at == SIZE_MAX ? total : total - p->d_km[h.rx_at];
  return h;
}

/* --- smooth earth, 3.8 ---------------------------------------------------------------------------------------------- */

plain_smooth plain_smooth_of(const plain_path *p) {
  real total = length_of(p), v1 = 0.0L, v2 = 0.0L;
  const real *d = p->d_km, *h = p->h_m;
  for (size_t i = 1; i < p->n; i++) {
    v1 += (d[i] - d[i - 1]) * (h[i] + h[i - 1]);
    v2 += (d[i] - d[i - 1]) * (h[i] * (2.0L * d[i] + d[i - 1]) + h[i - 1] * (d[i] + 2.0L * d[i - 1]));
  }
  real hst = (2.0L * v1 * total - v2) / (total * total), hsr = (v2 - v1 * total) / (total * total); /* (3.8.2) */
  plain_smooth s = {.fit_tx_m = smallest(hst, h[0]), .fit_rx_m = smallest(hsr, h[p->n - 1]), .hobs_m = -INFINITY};
  real alpha_t = -INFINITY, alpha_r = -INFINITY;
  for (size_t i = 1; i + 1 < p->n; i++) {
    real above = h[i] - (p->tx_m * (total - d[i]) + p->rx_m * d[i]) / total; /* (3.8.8d) */
    s.hobs_m = largest(s.hobs_m, above);
    alpha_t = largest(alpha_t, above / d[i]);
    alpha_r = largest(alpha_r, above / (total - d[i]));
  }
  if (s.hobs_m > 0.0L) {
    hst -= s.hobs_m * alpha_t / (alpha_t + alpha_r); /* (3.8.9) */
    hsr -= s.hobs_m * alpha_r / (alpha_t + alpha_r);
  }
  s.tx_m = smallest(hst, h[0]); /* (3.8.10) */
  s.rx_m = smallest(hsr, h[p->n - 1]);
  return s;
}

real plain_roughness(const plain_path *p, const plain_smooth *s, size_t from, size_t to) {
  real slope = (s->fit_rx_m - s->fit_tx_m) / length_of(p), hm = -INFINITY; /* (3.8.5) */
  for (size_t i = from < to ? from : to; i <= (from < to ? to : from); i++)
    hm = largest(hm, p->h_m[i] - (s->fit_tx_m + slope * p->d_km[i])); /* (3.8.7) */
  return hm;
}

/* --- common volume, 3.9 --------------------------------------------------------------------------------------------- */

plain_volume plain_volume_of(const plain_path *p, real radius_km, real theta_t, real theta_r) {
  real total = length_of(p), theta_e = total / radius_km;
  real up_t = 0.001L * largest(theta_t, 0.0L), up_r = 0.001L * largest(theta_r, 0.0L);
  real a = tanl(up_t + 0.5L * theta_e), b = tanl(up_r + 0.5L * theta_e);
  plain_volume v;
  v.d_tx_km = (total * b - 0.001L * (p->tx_m - p->rx_m)) / (a + b); /* (3.9.1a) */
  v.d_tx_km = smallest(largest(v.d_tx_km, 0.0L), total);
  v.height_m = p->tx_m + 1000.0L * v.d_tx_km * tanl(up_t) + 1000.0L * v.d_tx_km * v.d_tx_km / (2.0L * radius_km);
  return v;
}

/* --- zones and the middle ------------------------------------------------------------------------------------------- */

static real owns_from(const plain_path *p, size_t i) { return i == 0 ? 0.0L : 0.5L * (p->d_km[i - 1] + p->d_km[i]); }
static real owns_to(const plain_path *p, size_t i) {
  return i + 1 == p->n ? p->d_km[i] : 0.5L * (p->d_km[i] + p->d_km[i + 1]);
}

static real longest_run(const plain_path *p, bool coast_too) {
  real best = 0.0L, run = 0.0L;
  for (size_t i = 0; i < p->n; i++) {
    bool inside = p->zone[i] == 4 || (coast_too && p->zone[i] == 3);
    run = inside ? run + owns_to(p, i) - owns_from(p, i) : 0.0L;
    best = largest(best, run);
  }
  return best;
}

plain_zones plain_zones_of(const plain_path *p) {
  real total = length_of(p), sea = 0.0L;
  plain_zones z = {longest_run(p, true), longest_run(p, false), total, total, 0.0L};
  for (size_t i = 0; i < p->n; i++)
    if (p->zone[i] == 1) sea += owns_to(p, i) - owns_from(p, i);
  for (size_t i = p->n; i-- > 0;)
    if (p->zone[i] == 1) z.sea_tx_km = owns_from(p, i);
  for (size_t i = 0; i < p->n; i++)
    if (p->zone[i] == 1) z.sea_rx_km = total - owns_to(p, i);
  z.sea_share = sea / total;
  return z;
}

real plain_mid_ground(const plain_path *p, bool equal_steps) {
  if (!equal_steps) return 0.5L * (p->h_m[(p->n - 1) / 2] + p->h_m[p->n / 2]);
  real half = 0.5L * length_of(p);
  size_t i = 1;
  while (p->d_km[i] < half) i++;
  return p->h_m[i - 1] + (p->h_m[i] - p->h_m[i - 1]) * (half - p->d_km[i - 1]) / (p->d_km[i] - p->d_km[i - 1]);
}

/* --- Bullington, attachments A.4 and A.5 ----------------------------------------------------------------------------- */

real plain_knife_edge(real nu) {
  if (nu <= -0.78L) return 0.0L;
  return 6.9L + 20.0L * log10l(sqrtl((nu - 0.1L) * (nu - 0.1L) + 1.0L) + nu - 0.1L); /* P.526 (31) */
}

/* nu of the one edge that stands for all points: the textbook steps. heights(i) with the curvature c, antennas at tx, rx. */
static real bullington_nu(const plain_path *p, const real *h, real c, real tx, real rx, real lambda, real *error) {
  real total = length_of(p), stim = -INFINITY, srim = -INFINITY, nu_max = -INFINITY, shortest = total, size = 0.0L;
  real str = (rx - tx) / total;
  for (size_t i = 1; i + 1 < p->n; i++) {
    real d = p->d_km[i], rest = total - d, bulged = (h != NULL ? h[i] : 0.0L) + 500.0L * c * d * rest;
    stim = largest(stim, (bulged - tx) / d);    /* (A.4.1) */
    srim = largest(srim, (bulged - rx) / rest); /* (A.4.5) */
    nu_max = largest(nu_max, (bulged - (tx * rest + rx * d) / total) * sqrtl(0.002L * total / (lambda * d * rest)));
    shortest = smallest(shortest, smallest(d, rest));
    size = largest(size, fabsl(bulged));
  }
  size = largest(size, largest(fabsl(tx), fabsl(rx))) + 500.0L * fabsl(c) * total * total;
  *error = 0.0L;
  if (stim < str) return nu_max; /* (A.4.3) */
  real a = largest(stim - str, 0.0L), b = largest(srim + str, 0.0L);
  real unit = 0.002L * total / lambda, slope_error = 1e-15L * size / shortest; /* of a or b, as double computes them */
  *error = unit * slope_error * (a + b + slope_error);
  if (!(a + b > 1e-12L)) return 0.0L;                 /* the line just touches: (A.4.6) would be 0/0 */
  real at = (rx - tx + srim * total) / (stim + srim); /* (A.4.6) */
  at = smallest(largest(at, 0.0L), total);
  real above = tx + stim * at - (tx * (total - at) + rx * at) / total;
  return at > 0.0L && at < total ? above * sqrtl(0.002L * total / (lambda * at * (total - at))) : 0.0L; /* (A.4.7) */
}

static real with_correction(real knife, real d_km) {
  return knife + (1.0L - expl(-knife / 6.0L)) * (10.0L + 0.02L * d_km); /* (A.4.9) */
}

/* --- spherical earth, attachments A.2, A.3; P.526 3.1.1, 3.2 ------------------------------------------------------------ */

static real height_gain(real b, real k) {
  real g = b > 2.0L ? 17.6L * sqrtl(b - 1.1L) - 5.0L * log10l(b - 1.1L) - 8.0L : 20.0L * log10l(b + 0.1L * b * b * b);
  return largest(g, 2.0L + 20.0L * log10l(k));
}

static real first_term(const plain_setup *s, real er, real sigma, real radius, real h1, real h2, real d) {
  real f = s->freq_ghz, w = s->lambda_m, metres = 1e3L * radius;
  real wet = s->practical ? 18.0L * sigma / f : 60.0L * w * sigma;
  real k = s->practical ? 0.036L * powl(radius * f, -1.0L / 3.0L) : powl(2.0L * PI_L * metres / w, -1.0L / 3.0L);
  k *= powl((er - 1.0L) * (er - 1.0L) + wet * wet, -0.25L);
  if (s->vertical) k *= sqrtl(er * er + wet * wet);
  real beta = (1.0L + 1.6L * k * k + 0.67L * powl(k, 4.0L)) / (1.0L + 4.5L * k * k + 1.53L * powl(k, 4.0L));
  if (s->beta_one) beta = 1.0L;
  real x = s->practical ? 21.88L * powl(f / (radius * radius), 1.0L / 3.0L) * d
                        : 1e3L * d * powl(PI_L / (w * metres * metres), 1.0L / 3.0L);
  real y = s->practical ? 0.9575L * powl(f * f / radius, 1.0L / 3.0L)
                        : 2.0L * powl(PI_L * PI_L / (w * w * metres), 1.0L / 3.0L);
  x *= beta;
  real fx = x >= 1.6L ? 11.0L + 10.0L * log10l(x) - 17.6L * x : -20.0L * log10l(x) - 5.6488L * powl(x, 1.425L);
  return -fx - height_gain(beta * beta * y * h1, k) - height_gain(beta * beta * y * h2, k);
}

static real both_grounds(const plain_setup *s, real radius, real h1, real h2, real d) {
  return s->sea_share * first_term(s, 80.0L, 5.0L, radius, h1, h2, d) +
         (1.0L - s->sea_share) * first_term(s, 22.0L, 0.003L, radius, h1, h2, d); /* (A.3.1) */
}

real plain_spherical(const plain_setup *s, real h1, real h2, real d) {
  real a = s->radius_km, horizon = sqrtl(2.0L * a) * (sqrtl(0.001L * h1) + sqrtl(0.001L * h2)); /* (A.2.1) */
  if (d >= horizon) return both_grounds(s, a, h1, h2, d);
  real c = (h1 - h2) / (h1 + h2), m = 250.0L * d * d / (a * (h1 + h2));
  real arc = 1.5L * c * sqrtl(3.0L * m / powl(m + 1.0L, 3.0L));
  real b = 2.0L * sqrtl((m + 1.0L) / (3.0L * m)) *
           cosl(PI_L / 3.0L + acosl(smallest(largest(arc, -1.0L), 1.0L)) / 3.0L); /* (A.2.2c) */
  real d1 = 0.5L * d * (1.0L + b), d2 = d - d1;
  real clear = ((h1 - 500.0L * d1 * d1 / a) * d2 + (h2 - 500.0L * d2 * d2 / a) * d1) / d;
  real needed =
      s->practical ? 17.456L * sqrtl(d1 * d2 * s->lambda_m / d) : 0.552L * sqrtl(1e3L * d1 * d2 * s->lambda_m / d);
  if (clear > needed) return 0.0L;
  real marginal = 500.0L * powl(d / (sqrtl(h1) + sqrtl(h2)), 2.0L); /* (A.2.4) */
  return (1.0L - clear / needed) * largest(both_grounds(s, marginal, h1, h2, d), 0.0L);
}

/* --- delta-Bullington, A.1 ------------------------------------------------------------------------------------------------ */

plain_loss plain_delta_bullington(const plain_setup *s, const plain_path *p, const plain_smooth *smooth) {
  real h1 = p->tx_m - smooth->tx_m, h2 = p->rx_m - smooth->rx_m, d = length_of(p);
  plain_loss l;
  l.nu_actual = bullington_nu(p, p->h_m, s->curvature, p->tx_m, p->rx_m, s->lambda_m, &l.nu2_error_actual);
  l.nu_smooth = bullington_nu(p, NULL, 1.0L / s->radius_km, h1, h2, s->lambda_m, &l.nu2_error_smooth);
  l.actual = with_correction(plain_knife_edge(l.nu_actual), d);
  l.smooth = with_correction(plain_knife_edge(l.nu_smooth), d);
  l.spherical = plain_spherical(s, h1, h2, d);
  l.loss = l.actual + largest(l.spherical - l.smooth, 0.0L); /* (A.1.1) */
  return l;
}
