/* delta_bullington.h - diffraction by the delta-Bullington method, ITU-R P.526-16 sections 3.2, 4.1 and 4.5, with the three
 * sets of constants under which the Recommendations publish it (docs/models/diffraction.md).
 *
 * Shared by the models `diffraction` and `openings`; compiled into each. Pure.                                            */
#ifndef EARSHOT_PLUGINS_DELTA_BULLINGTON_H
#define EARSHOT_PLUGINS_DELTA_BULLINGTON_H

#include "earshot/model.h"

typedef enum db_convention { DB_P526, DB_P2001, DB_P452 } db_convention;

typedef struct db_setup {
  db_convention convention;
  int beta1;        /* P.526: take beta = 1 in the spherical term */
  double light_m_s; /* speed of light for the wavelength; 0: the convention's own */
  double freq_ghz;
  int32_t polarisation;
  double curvature_per_km; /* of the actual profile, any sign */
  double radius_km;        /* for the smooth profile and the spherical term, > 0 */
} db_setup;

typedef struct db_terms {
  double knife_actual, actual; /* J and Bullington loss on the actual profile (Ldbka, Lba) */
  double knife_smooth, smooth; /* the same on the smooth profile (Ldbks, Lbs) */
  double spherical;            /* Lsph */
  double loss;                 /* actual + max(spherical - smooth, 0) */
} db_terms;

/* Clearance, as 2 D clear_v2, from which on the knife edge loses nothing: nu = -0.78, with room for rounded constants. */
#define DB_ENOUGH_M(freq_ghz) (0.62 * 0.3 / (freq_ghz))

/* Wavelength under a convention, m. */
double db_wavelength_m(const db_setup *setup);
/* Knife-edge loss, P.526 (31); 0 for nu <= -0.78. */
double db_knife_edge(double nu);
/* Loss of receiver r of a task whose hulls at curvature_per_km are given. All terms are filled. */
void db_loss(const db_setup *setup, const es_task *task, const es_hull *hull, size_t r, db_terms *out);
/* Loss of all receivers, for lines of uniform step by vector instructions; equal to db_loss() within 1e-9 dB. */
void db_loss_all(const db_setup *setup, const es_task *task, const es_hull *hulls, double *loss);
/* Spherical-earth loss for antennas h1, h2 (m, > 0) above a smooth earth, dist_km apart, sea_share of the path over sea. */
double db_spherical(const db_setup *setup, double h1_m, double h2_m, double dist_km, double sea_share);

/* delta_bullington_kernel.c as compiled for one set of instructions. [private] */
typedef struct db_kernel {
  void (*loss_all)(const db_setup *setup, const es_task *task, const es_hull *hulls, double *loss);
} db_kernel;

#endif
