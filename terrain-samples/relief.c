/* relief.c - the steps from shape to heights: erode coarsely, refine, erode finely, let the sea rise, dam a valley.      */
#include "island.h"

#include <stdlib.h>

enum { COARSE = 4 };
#define SEA_RISE_M   44.0 /* drowns the valley mouths: bays and capes */
#define HEIGHT_SCALE 0.60
#define LAKE_DEEP_M  0.5 /* shallower hollows are meadow */
#define LAGOON_M     1.0f

static float *uplift_make(const grid *g) {
  float *uplift = malloc((size_t)g->side * (size_t)g->side * sizeof *uplift);
  if (!uplift) return NULL;
  for (int row = 0; row < g->side; row++)
    for (int col = 0; col < g->side; col++)
      uplift[cell_at(g, col, row)] = (float)shape_at(cell_east_km(g, col), cell_north_km(g, row)).uplift;
  return uplift;
}

/* A rough start, so that the first rain has somewhere to go. */
static void roughen(grid *g, const float *uplift, double height_m, double wave_km, uint32_t seed) {
  for (int row = 0; row < g->side; row++)
    for (int col = 0; col < g->side; col++) {
      size_t i = cell_at(g, col, row);
      if (!(uplift[i] > 0.0f)) continue;
      double e = cell_east_km(g, col) / wave_km, n = cell_north_km(g, row) / wave_km;
      g->height_m[i] += (float)(height_m * (1.0 + noise_fractal(e, n, 4, seed)));
    }
}

static double between(const grid *g, double col, double row) {
  int c = (int)col < g->side - 2 ? (int)col : g->side - 2, r = (int)row < g->side - 2 ? (int)row : g->side - 2;
  double u = col - c, v = row - r;
  const float *p = g->height_m + cell_at(g, c, r), *q = p + g->side;
  return ((double)p[0] * (1 - u) + (double)p[1] * u) * (1 - v) + ((double)q[0] * (1 - u) + (double)q[1] * u) * v;
}

/* Soil creeps: one pass of a 3 x 3 mean, weighted towards the middle; the sea is left alone. */
static bool creep(grid *g, const float *uplift) {
  size_t n = (size_t)g->side * (size_t)g->side;
  float *out = calloc(n, sizeof *out);
  if (!out) return false;
  for (int row = 1; row < g->side - 1; row++)
    for (int col = 1; col < g->side - 1; col++) {
      size_t i = cell_at(g, col, row), side = (size_t)g->side;
      const float *h = g->height_m;
      if (!(uplift[i] > 0.0f)) continue;
      double beside = (double)h[i - 1] + (double)h[i + 1] + (double)h[i - side] + (double)h[i + side];
      out[i] = (float)(0.5 * (double)h[i] + 0.125 * beside);
    }
  free(g->height_m);
  g->height_m = out;
  return true;
}

/* Rain cuts and soil creeps by turns; `creeps` passes of creep after every `spell` steps of rain. */
static bool weather(grid *g, const float *uplift, int spells, int spell, int creeps) {
  for (int k = 0; k < spells; k++) {
    if (!erosion_run(g, uplift, spell)) return false;
    for (int pass = 0; pass < creeps; pass++)
      if (!creep(g, uplift)) return false;
  }
  return true;
}

/* Heights of the coarse grid on the fine one; sea stays at 0. */
static void refine(const grid *coarse, grid *g, const float *uplift) {
  for (int row = 0; row < g->side; row++)
    for (int col = 0; col < g->side; col++) {
      size_t i = cell_at(g, col, row);
      double h = between(coarse, (double)col / COARSE, (double)row / COARSE);
      g->height_m[i] = uplift[i] > 0.0f ? (float)h : 0.0f;
    }
}

/* Low ground is flattened into plains and valley floors, then the sea takes its share. */
static double drowned_m(double height_m) {
  double h = HEIGHT_SCALE * height_m - SEA_RISE_M;
  if (h <= 0.0) return 0.0;
  return h < 120.0 ? 0.35 * h + 0.65 * h * h * (2.0 - h / 120.0) / 120.0 : h;
}

/* A moraine across a valley: a low bank that holds a lake. */
typedef struct bank {
  double east_km[2], north_km[2], half_width_km, top_m;
} bank;
static const bank banks[] = {{{-26.6, -24.0}, {10.3, 11.3}, 0.35, 562.0}};

static double bank_top_m(const bank *b, double east_km, double north_km) {
  double de = b->east_km[1] - b->east_km[0], dn = b->north_km[1] - b->north_km[0];
  double x = east_km - b->east_km[0], y = north_km - b->north_km[0];
  double t = (x * de + y * dn) / (de * de + dn * dn);
  if (t < 0.0 || t > 1.0) return 0.0;
  double off = (x * dn - y * de) * (x * dn - y * de) / (de * de + dn * dn);
  double reach = b->half_width_km * b->half_width_km;
  return off < reach ? b->top_m * (1.0 - 0.15 * off / reach) : 0.0;
}

static void raise_banks(grid *g) {
  for (size_t k = 0; k < sizeof banks / sizeof banks[0]; k++)
    for (int row = 0; row < g->side; row++)
      for (int col = 0; col < g->side; col++) {
        size_t i = cell_at(g, col, row);
        float top_m = (float)bank_top_m(&banks[k], cell_east_km(g, col), cell_north_km(g, row));
        if (g->height_m[i] > 0.0f && g->height_m[i] < top_m) g->height_m[i] = top_m;
      }
}

static bool relief_raw(grid *g, const float *uplift) {
  grid coarse = {.side = (SIDE - 1) / COARSE + 1, .every = COARSE};
  coarse.height_m = calloc((size_t)coarse.side * (size_t)coarse.side, sizeof *coarse.height_m);
  float *coarse_uplift = uplift_make(&coarse);
  bool done = coarse.height_m && coarse_uplift;
  if (done) roughen(&coarse, coarse_uplift, 60.0, 4.0, 83);
  done = done && weather(&coarse, coarse_uplift, 12, 12, 1);
  if (done) refine(&coarse, g, uplift);
  free(coarse.height_m);
  free(coarse_uplift);
  if (!done) return false;
  roughen(g, uplift, 9.0, 0.7, 97);
  return weather(g, uplift, 4, 3, 2) && weather(g, uplift, 1, 1, 3);
}

/* Low water that no channel joins to the sea is a lagoon: it gets a level of its own, and counts as a lake. */
static bool close_lagoons(grid *g, bool *lake) {
  size_t n = (size_t)g->side * (size_t)g->side, waiting = 0;
  uint32_t *stack = malloc(n * sizeof *stack);
  bool *sea = calloc(n, sizeof *sea);
  bool done = stack && sea;
  if (done) {
    stack[waiting++] = 0;
    sea[0] = true;
  }
  while (waiting > 0) {
    uint32_t cell = stack[--waiting];
    int col = (int)(cell % (uint32_t)g->side), row = (int)(cell / (uint32_t)g->side);
    const int next_col[] = {col - 1, col + 1, col, col}, next_row[] = {row, row, row - 1, row + 1};
    for (int k = 0; k < 4; k++) {
      if (next_col[k] < 0 || next_row[k] < 0 || next_col[k] >= g->side || next_row[k] >= g->side) continue;
      size_t next = cell_at(g, next_col[k], next_row[k]);
      if (sea[next] || g->height_m[next] > 0.0f) continue;
      sea[next] = true;
      stack[waiting++] = (uint32_t)next;
    }
  }
  for (size_t i = 0; done && i < n; i++)
    if (!sea[i] && !(g->height_m[i] > 0.0f)) {
      g->height_m[i] = LAGOON_M;
      lake[i] = true;
    }
  free(stack);
  free(sea);
  return done;
}

bool relief_make(grid *g, bool *lake) {
  float *uplift = uplift_make(g);
  bool done = uplift && relief_raw(g, uplift);
  free(uplift);
  if (!done) return false;
  size_t n = (size_t)g->side * (size_t)g->side;
  for (size_t i = 0; i < n; i++) g->height_m[i] = (float)drowned_m((double)g->height_m[i]);
  raise_banks(g);
  return erosion_fill(g, LAKE_DEEP_M, lake) && close_lagoons(g, lake);
}
