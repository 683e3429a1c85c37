/* erosion.c - land rises, rain runs downhill and cuts valleys.
 * Stream power law, dh/dt = U - K sqrt(A) dh/dl, solved implicitly from the sea upward in one pass a step:
 * J. Braun and S. D. Willett, Geomorphology 180-181 (2013) 170-179, doi 10.1016/j.geomorph.2012.10.008, equation (22).
 * Cells are visited in the order in which a rising sea would reach them, so that every hollow has an outlet:
 * R. Barnes, C. Lehman, D. Mulla, Computers & Geosciences 62 (2014) 117-127, doi 10.1016/j.cageo.2013.04.024.           */
#include "island.h"

#include <math.h>
#include <stdlib.h>

#define CUTTING 2.4e-4 /* K times one step: 1/m of sqrt(area) per m of length */

enum { AROUND = 8 };
static const int around_col[AROUND] = {-1, 0, 1, -1, 1, -1, 0, 1};
static const int around_row[AROUND] = {-1, -1, -1, 0, 0, 1, 1, 1};

typedef struct waiting {
  float height_m;
  uint32_t cell;
} waiting;

typedef struct flow {
  size_t n_land, n_heap;
  uint32_t *order;  /* land cells, each after the one it drains to */
  uint32_t *drains; /* cell that each cell drains to */
  float *area_m2;   /* drained through each cell */
  uint8_t *state;   /* 0 not seen, 1 waiting, 2 in order */
  waiting *heap;
} flow;

static void flow_fini(flow *f) {
  free(f->order);
  free(f->drains);
  free(f->area_m2);
  free(f->state);
  free(f->heap);
}

static bool flow_init(flow *f, const grid *g) {
  size_t n = (size_t)g->side * (size_t)g->side;
  *f = (flow){.order = malloc(n * sizeof *f->order),
              .drains = malloc(n * sizeof *f->drains),
              .area_m2 = malloc(n * sizeof *f->area_m2),
              .state = malloc(n),
              .heap = malloc(n * sizeof *f->heap)};
  if (f->order && f->drains && f->area_m2 && f->state && f->heap) return true;
  flow_fini(f);
  return false;
}

/* Ties go to the lower cell number, so that the order is one and the same everywhere. */
static bool sooner(waiting a, waiting b) {
  return a.height_m < b.height_m || (!(a.height_m > b.height_m) && a.cell < b.cell);
}

static void heap_push(flow *f, waiting item) {
  size_t at = f->n_heap++;
  for (; at > 0 && sooner(item, f->heap[(at - 1) / 2]); at = (at - 1) / 2) f->heap[at] = f->heap[(at - 1) / 2];
  f->heap[at] = item;
}

static waiting heap_pop(flow *f) {
  waiting first = f->heap[0], last = f->heap[--f->n_heap];
  size_t at = 0;
  for (size_t child = 1; child < f->n_heap; child = 2 * at + 1) {
    if (child + 1 < f->n_heap && sooner(f->heap[child + 1], f->heap[child])) child++;
    if (!sooner(f->heap[child], last)) break;
    f->heap[at] = f->heap[child];
    at = child;
  }
  f->heap[at] = last;
  return first;
}

/* Neighbour k of a cell; false beyond the rim. */
static bool neighbour(const grid *g, uint32_t cell, int k, uint32_t *out) {
  int col = (int)(cell % (uint32_t)g->side) + around_col[k], row = (int)(cell / (uint32_t)g->side) + around_row[k];
  if (col < 0 || row < 0 || col >= g->side || row >= g->side) return false;
  *out = (uint32_t)cell_at(g, col, row);
  return true;
}

static double neighbour_distance_m(const grid *g, int k) {
  double x = around_col[k] * cell_width_m(g), y = around_row[k] * cell_depth_m(g);
  return sqrt(x * x + y * y);
}

/* Starts from every sea cell that touches land. */
static void flood_from_sea(flow *f, const grid *g, const float *uplift) {
  size_t n = (size_t)g->side * (size_t)g->side;
  f->n_land = f->n_heap = 0;
  for (size_t i = 0; i < n; i++) {
    f->state[i] = uplift[i] > 0.0f ? 0 : 2;
    f->area_m2[i] = (float)(cell_width_m(g) * cell_depth_m(g));
  }
  for (uint32_t i = 0; i < n; i++) {
    if (f->state[i] != 0) continue;
    for (int k = 0; k < AROUND && f->state[i] == 0; k++) {
      uint32_t next;
      if (!neighbour(g, i, k, &next) || uplift[next] > 0.0f) continue;
      f->state[i] = 1;
      f->drains[i] = next;
      heap_push(f, (waiting){g->height_m[i], i});
    }
  }
}

/* The steepest way down among the cells already in order; a cell in a hollow keeps the way the flood came. Stones and
 * roots decide between ways of like steepness: without them valleys would follow the grid. */
static void choose_drain(flow *f, const grid *g, uint32_t cell) {
  double steepest = 0.0;
  for (int k = 0; k < AROUND; k++) {
    uint32_t next;
    if (!neighbour(g, cell, k, &next) || f->state[next] != 2) continue;
    double slope = ((double)g->height_m[cell] - (double)g->height_m[next]) / neighbour_distance_m(g, k);
    slope *= 1.0 + 0.45 * noise_lattice((int32_t)cell, k, 101);
    if (!(slope > steepest)) continue;
    steepest = slope;
    f->drains[cell] = next;
  }
}

static void visit(flow *f, const grid *g, waiting here) {
  choose_drain(f, g, here.cell);
  f->state[here.cell] = 2;
  f->order[f->n_land++] = here.cell;
  for (int k = 0; k < AROUND; k++) {
    uint32_t next;
    if (!neighbour(g, here.cell, k, &next) || f->state[next] != 0) continue;
    f->state[next] = 1;
    f->drains[next] = here.cell;
    float level_m = g->height_m[next] > here.height_m ? g->height_m[next] : here.height_m;
    heap_push(f, (waiting){level_m, next});
  }
}

static void route(flow *f, const grid *g, const float *uplift) {
  flood_from_sea(f, g, uplift);
  while (f->n_heap > 0) visit(f, g, heap_pop(f));
  for (size_t k = f->n_land; k-- > 0;) f->area_m2[f->drains[f->order[k]]] += f->area_m2[f->order[k]];
}

static double drain_length_m(const grid *g, uint32_t from, uint32_t to) {
  int side = g->side, a = (int)from, b = (int)to;
  double x = (a % side - b % side) * cell_width_m(g), y = (a / side - b / side) * cell_depth_m(g);
  return sqrt(x * x + y * y);
}

/* Braun and Willett (22): the new height from the new height downstream. Rock is harder in some places than others. */
static void rise_and_cut(const flow *f, grid *g, const float *uplift) {
  for (size_t k = 0; k < f->n_land; k++) {
    uint32_t cell = f->order[k], to = f->drains[cell];
    double raised = (double)g->height_m[cell] + (double)uplift[cell];
    double below = g->height_m[to];
    double factor = CUTTING * sqrt((double)f->area_m2[cell]) * 100.0 / drain_length_m(g, cell, to);
    g->height_m[cell] = (float)(below < raised ? (raised + factor * below) / (1.0 + factor) : raised);
  }
}

bool erosion_run(grid *g, const float *uplift, int steps) {
  flow f;
  if (!flow_init(&f, g)) return false;
  for (int step = 0; step < steps; step++) {
    route(&f, g, uplift);
    rise_and_cut(&f, g, uplift);
  }
  flow_fini(&f);
  return true;
}

bool erosion_fill(grid *g, double deep_m, bool *lake) {
  flow f;
  if (!flow_init(&f, g)) return false;
  route(&f, g, g->height_m);
  for (size_t k = 0; k < f.n_land; k++) {
    uint32_t cell = f.order[k];
    float outlet_m = g->height_m[f.drains[cell]], depth_m = outlet_m - g->height_m[cell];
    if (depth_m > 0.0f) g->height_m[cell] = outlet_m;
    lake[cell] = (double)depth_m > deep_m;
  }
  flow_fini(&f);
  return true;
}
