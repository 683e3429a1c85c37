/* ret.h - radiative energy transfer through leaves and twigs: a medium that absorbs, and scatters mostly forward.
 *
 * Source:  ITU-R P.833-10 (2021) section 3.2.1.4, (12) to (14), with its tables of species.
 * Given:   depth z (m), the receiving antenna's 3 dB beamwidth
 * Gives:   loss in dB, 0 at z = 0, rising with z: first 4.343 sigma_tau dB/m, then a knee that comes later for a narrower
 *          beam, then the slow slope of what has been scattered many times
 * Check:   silver maple in leaf, 11 GHz, 20 m, 20 degrees: 17.6727 dB
 *
 * Printed copies sum the last factor over all directions n. Only the direction of the receiving boresight, mu_N = 1, gives
 * 0 dB at z = 0 and agrees with a simulation of photons; that one is taken.                                             */
#ifndef EARSHOT_PLUGINS_FOLIAGE_RET_H
#define EARSHOT_PLUGINS_FOLIAGE_RET_H

enum { RET_DIRECTIONS = 21, RET_ROOTS = (RET_DIRECTIONS + 1) / 2, RET_SPECIES = 13 };

/* Four numbers of a species at a frequency: share scattered forward, width of that lobe, albedo, extinction. */
typedef struct ret_cell {
  double alpha, beta_deg, albedo, sigma_per_m;
} ret_cell;

typedef struct ret_medium {
  ret_cell cell;
  double reduced_albedo;                        /* W^, (14) */
  double root[RET_ROOTS], amplitude[RET_ROOTS]; /* s_k ascending, A_k */
} ret_medium;

/* Names of the species, in the order of their numbers, parted by bars. */
#define RET_SPECIES_NAMES                                                                                              \
  "horse-chestnut|silver-maple|london-plane|common-lime|sycamore-maple|ginkgo|japanese-cherry|trident-maple|"          \
  "korean-pine|himalayan-cedar|american-plane|dawn-redwood|any"

/* The cell nearest in log frequency. Species without a cell for bare branches: that in leaf with half its extinction (own
 * rule). Species "any": silver maple. */
ret_cell ret_cell_of(int species, double freq_ghz, int in_leaf);
void ret_solve(const ret_cell *cell, ret_medium *out);
double ret_loss_db(const ret_medium *medium, double depth_m, double beam_deg);

#endif
