/* plain.h - the formulas of one path, point by point, as the Recommendations print them. Reference for tests only.
 *
 * Sources: ITU-R P.2001-6 3.7 to 3.9, attachments A and D.1; ITU-R P.526-16 3.2 and 4.5. Nothing is shared with the program:
 * kilometres, milliradians and long double throughout, every maximum by looking at all points.                           */
#ifndef EARSHOT_TESTS_PLAIN_H
#define EARSHOT_TESTS_PLAIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef long double real;

/* Points 0..n-1 with both ends; the antennas stand tx_m and rx_m above sea. zone: 1 sea, 3 coast, 4 inland. */
typedef struct plain_path {
  size_t n;
  real *d_km, *h_m;
  uint8_t *zone;
  real tx_m, rx_m;
} plain_path;

/* Height of point i as seen from an end, mrad over that end's level, at a curvature in 1/km: (3.7.1), (3.7.8). */
real plain_from_tx(const plain_path *p, real curvature, size_t i);
real plain_from_rx(const plain_path *p, real curvature, size_t i);
/* Diffraction parameter of point i, (3.7.3). */
real plain_nu(const plain_path *p, real curvature, real lambda_m, size_t i);

typedef struct plain_horizons {
  bool los;
  size_t tx_at, rx_at;   /* SIZE_MAX: no point between the ends */
  real theta_t, theta_r; /* mrad */
  real d_lt_km, d_lr_km;
} plain_horizons;
plain_horizons plain_horizons_of(const plain_path *p, real radius_km, real lambda_m);

typedef struct plain_smooth {
  real fit_tx_m, fit_rx_m; /* (3.8.4) */
  real tx_m, rx_m;         /* (3.8.10) */
  real hobs_m;             /* (3.8.8a), for the tolerance of a test */
} plain_smooth;
plain_smooth plain_smooth_of(const plain_path *p);
/* (3.8.7) over the points from..to, either order. */
real plain_roughness(const plain_path *p, const plain_smooth *s, size_t from, size_t to);

typedef struct plain_volume {
  real d_tx_km, height_m;
} plain_volume;
plain_volume plain_volume_of(const plain_path *p, real radius_km, real theta_t, real theta_r);

typedef struct plain_zones {
  real land_km, inland_km, sea_tx_km, sea_rx_km, sea_share;
} plain_zones;
plain_zones plain_zones_of(const plain_path *p);

/* Ground at half the path, linear between the points; with unequal steps that of the middle point, or the mean of the middle
 * two, P.2001 (3.2.2). */
real plain_mid_ground(const plain_path *p, bool equal_steps);

/* Constants of one convention. */
typedef struct plain_setup {
  bool practical; /* the rounded units of P.2001 and P.452; else the consistent ones of P.526 */
  bool beta_one;
  bool vertical;
  real freq_ghz, lambda_m;
  real curvature; /* 1/km, actual profile, any sign */
  real radius_km; /* smooth profile and spherical term */
  real sea_share;
} plain_setup;

typedef struct plain_loss {
  real nu_actual, nu_smooth;
  real actual, smooth, spherical, loss;    /* Ldba, Ldbs, Ldsph, Ld */
  real nu2_error_actual, nu2_error_smooth; /* by how much rounding in double may move nu^2 when the line grazes */
} plain_loss;
real plain_knife_edge(real nu);
real plain_spherical(const plain_setup *s, real h1_m, real h2_m, real d_km);
plain_loss plain_delta_bullington(const plain_setup *s, const plain_path *p, const plain_smooth *smooth);

#endif
