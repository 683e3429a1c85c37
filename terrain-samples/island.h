/* island.h - the invented Skarn islands: a grid of land, made from noise and worn down by water.
 *
 *   noise.c    value noise from a hash: the same numbers everywhere
 *   shape.c    where the islands are, and how fast each place rises
 *   erosion.c  rain runs down and cuts valleys
 *   relief.c   the steps from shape to heights, lakes included
 *   cover.c    woods, villages and the height of the trees
 *   layer.c, coast.c  rasters and polygons, see files.h
 *   make-island.c  writes or checks them all
 *
 * Only + - * / and square roots are used, which IEEE 754 rounds exactly: every machine makes the same islands.          */
#ifndef EARSHOT_TERRAIN_ISLAND_H
#define EARSHOT_TERRAIN_ISLAND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The files: 2 x 2 degrees at 3 arc seconds, pixel centres on whole degrees, like the tiles of space-shuttle radar. */
enum { STEPS_PER_DEGREE = 1200, TILE = STEPS_PER_DEGREE + 1, SIDE = 2 * STEPS_PER_DEGREE + 1 };
#define WEST_DEG  (-37.0)
#define NORTH_DEG 48.0

/* A flat plane serves: kilometres east and north of Skarn Head. */
#define HEAD_LON_DEG   (-36.1234)
#define HEAD_LAT_DEG   46.5678
#define KM_PER_LON_DEG 76.3 /* near 46.8 N */
#define KM_PER_LAT_DEG 111.2

enum { COVER_SEA, COVER_GRASS, COVER_BROADLEAF, COVER_CONIFER, COVER_LAKE, COVER_VILLAGE };

/* A grid of cells: row 0 is the northernmost. `every` is how many file pixels one cell spans. */
typedef struct grid {
  int side, every;
  float *height_m;
} grid;

static inline size_t cell_at(const grid *g, int col, int row) { return (size_t)row * (size_t)g->side + (size_t)col; }
static inline double cell_east_km(const grid *g, int col) {
  return (WEST_DEG - HEAD_LON_DEG + (double)(col * g->every) / STEPS_PER_DEGREE) * KM_PER_LON_DEG;
}
static inline double cell_north_km(const grid *g, int row) {
  return (NORTH_DEG - HEAD_LAT_DEG - (double)(row * g->every) / STEPS_PER_DEGREE) * KM_PER_LAT_DEG;
}
static inline double cell_width_m(const grid *g) { return g->every * KM_PER_LON_DEG * 1000.0 / STEPS_PER_DEGREE; }
static inline double cell_depth_m(const grid *g) { return g->every * KM_PER_LAT_DEG * 1000.0 / STEPS_PER_DEGREE; }

/* One value for a pair of whole numbers, -1..1, like no other's. */
double noise_lattice(int32_t x, int32_t y, uint32_t seed);
/* Smooth noise about -1..1 whose features are about 1 apart; fractal: the sum of octaves, each half as wide and as high;
 * ridged: the same, folded into crests, 0..1. `seed` makes another world. */
double noise_at(double x, double y, uint32_t seed);
double noise_fractal(double x, double y, int octaves, uint32_t seed);
double noise_ridged(double x, double y, int octaves, uint32_t seed);
double smooth_step(double low, double high, double value); /* 0 below low, 1 above high, no corner between */

/* Above 0 on land before the sea rose; grows inland. */
typedef struct place {
  double inland; /* 0 at the old coast, about 1 on the spine */
  double uplift; /* m for each step of the erosion */
} place;
place shape_at(double east_km, double north_km);

/* Lets the land rise and water cut it, `steps` times. uplift[i] <= 0 is sea. false: out of memory. */
bool erosion_run(grid *g, const float *uplift, int steps);
/* Fills every hollow to its outlet; lake[i] becomes true where that made water deeper than deep_m. */
bool erosion_fill(grid *g, double deep_m, bool *lake);

/* Heights in metres above sea, 0 at sea, and the lakes. false: out of memory. */
bool relief_make(grid *g, bool *lake);
/* Cover class and canopy height (m) of every cell. */
void cover_make(const grid *g, const bool *lake, uint8_t *cover, uint8_t *canopy_m);

#endif
