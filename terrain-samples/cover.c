/* cover.c - what grows where, and how tall.
 * Woods follow noise, shelter and height: broadleaf low down, conifers above, none on wind-swept shores, on the plains
 * that are farmed, or over the tree line. Villages stand at places from a table, on the flatter ground there.             */
#include "island.h"

#include <math.h>

#define TREE_LINE_M    720.0
#define CONIFER_FROM_M 260.0
#define CLEARING_KM    0.45 /* around the mast on Skarn Head */

typedef struct village {
  double east_km, north_km, radius_km;
} village;
static const village villages[] = {
    {-6.1, -3.1, 0.55},   /* Skarn */
    {-12.4, 36.6, 0.70},  /* Ostra */
    {-17.9, 26.5, 0.60},  /* Brenholm */
    {-19.1, 16.9, 0.50},  /* Sorrel Bay */
    {-29.1, 39.2, 0.45},  /* Upper Tarn */
    {-35.9, 51.2, 0.50},  /* North Haven */
    {-43.7, 40.3, 0.45},  /* Farrow */
    {-44.2, 26.1, 0.60},  /* Westhope */
    {-36.5, 17.0, 0.50},  /* Lagoon Side */
    {-49.1, 9.3, 0.45},   /* Gannet Point */
    {-39.9, 0.3, 0.50},   /* Hollin */
    {-22.1, -21.3, 0.75}, /* Marrow Ford */
    {-41.7, -26.3, 0.60}, /* Kelda */
    {-23.3, -32.4, 0.45}, /* Cold Quay */
    {-45.2, -38.0, 0.45}, /* Merrin */
    {-44.4, -52.5, 0.55}, /* Long Strand */
    {39.9, -28.8, 0.40},  /* Little Sund */
    {41.0, -16.3, 0.45},  /* Sund */
    {33.6, 99.2, 0.60},   /* Aldermouth */
    {45.0, 107.5, 0.55},  /* Inner Fold */
    {68.0, 117.7, 0.60},  /* Eyrie */
    {53.5, 89.2, 0.50},   /* South Stack */
};

/* Rise over run, from the four neighbours; the rim of the grid is sea. */
static double slope_at(const grid *g, int col, int row) {
  if (col < 1 || row < 1 || col >= g->side - 1 || row >= g->side - 1) return 0.0;
  const float *h = g->height_m + cell_at(g, col, row);
  double x = ((double)h[1] - (double)h[-1]) / (2.0 * cell_width_m(g));
  double y = ((double)h[g->side] - (double)h[-g->side]) / (2.0 * cell_depth_m(g));
  return sqrt(x * x + y * y);
}

static bool in_village(double east_km, double north_km, double slope) {
  if (slope > 0.16) return false;
  for (size_t k = 0; k < sizeof villages / sizeof villages[0]; k++) {
    double x = east_km - villages[k].east_km, y = north_km - villages[k].north_km;
    double ragged = villages[k].radius_km * (1.0 + 0.5 * noise_fractal(east_km / 0.3, north_km / 0.3, 2, 131));
    if (x * x + y * y < ragged * ragged) return true;
  }
  return false;
}

/* Above 0 there are trees; about 1 in the depth of a wood. */
static double wooded(double east_km, double north_km, double height_m, double slope) {
  double patches = 0.9 * noise_fractal(east_km / 5.0, north_km / 5.0, 3, 151) +
                   0.5 * noise_fractal(east_km / 0.7, north_km / 0.7, 3, 163);
  double wind = 0.9 * (1.0 - smooth_step(4.0, 45.0, height_m));
  double farmed = 0.5 * (1.0 - smooth_step(0.02, 0.10, slope)) * (1.0 - smooth_step(60.0, 180.0, height_m));
  double high = 1.6 * smooth_step(TREE_LINE_M - 160.0, TREE_LINE_M + 60.0, height_m);
  double kept_clear = east_km * east_km + north_km * north_km < CLEARING_KM * CLEARING_KM ? 3.0 : 0.0;
  return patches + 0.28 - wind - farmed - high - kept_clear;
}

static double tree_height_m(double east_km, double north_km, double height_m, double depth, bool conifer) {
  double full_m = conifer ? 25.0 : 20.0;
  double thin = 1.0 - 0.55 * smooth_step(300.0, TREE_LINE_M, height_m);
  double edge = 0.55 + 0.45 * smooth_step(0.0, 0.35, depth);
  double stand = 1.0 + 0.22 * noise_fractal(east_km / 0.45, north_km / 0.45, 2, 181);
  return full_m * thin * edge * stand;
}

static void cover_cell(const grid *g, int col, int row, const bool *lake, uint8_t *cover, uint8_t *canopy_m) {
  size_t i = cell_at(g, col, row);
  double e = cell_east_km(g, col), n = cell_north_km(g, row), height_m = g->height_m[i], slope = slope_at(g, col, row);
  canopy_m[i] = 0;
  cover[i] = lake[i] ? COVER_LAKE : height_m > 0.0 ? COVER_GRASS : COVER_SEA;
  if (cover[i] != COVER_GRASS) return;
  double depth = wooded(e, n, height_m, slope);
  if (in_village(e, n, slope)) {
    cover[i] = COVER_VILLAGE;
  } else if (depth > 0.0) {
    bool conifer = height_m + 110.0 * noise_fractal(e / 1.6, n / 1.6, 3, 173) > CONIFER_FROM_M;
    cover[i] = conifer ? COVER_CONIFER : COVER_BROADLEAF;
    canopy_m[i] = (uint8_t)(tree_height_m(e, n, height_m, depth, conifer) + 0.5);
  }
}

void cover_make(const grid *g, const bool *lake, uint8_t *cover, uint8_t *canopy_m) {
  for (int row = 0; row < g->side; row++)
    for (int col = 0; col < g->side; col++) cover_cell(g, col, row, lake, cover, canopy_m);
}
