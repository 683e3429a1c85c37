/* test_fan.c - every cell of a map has exactly one radial, and lies beside it. */
#include "near.h"

#include <stdlib.h>

#include "radial/fan.h"

typedef struct frame_case {
  int cols, rows, beacon_col, beacon_row; /* the beacon's cell; it may lie outside */
  double radius_cells;                    /* INFINITY: none */
} frame_case;

static const frame_case cases[] = {
    {1, 1, 0, 0, INFINITY},   {2, 1, 0, 0, INFINITY},     {3, 3, 1, 1, INFINITY},     {21, 21, 10, 10, 10.0},
    {21, 21, 10, 10, 7.3},    {40, 15, 3, 11, INFINITY},  {15, 40, 14, 0, 23.0},      {64, 64, 0, 63, INFINITY},
    {101, 101, 50, 50, 50.0}, {9, 200, 4, 100, INFINITY}, {30, 20, 40, 10, INFINITY}, {30, 20, 15, -6, 18.0},
    {12, 12, 6, 6, 0.5},
};

static const double CELL = 30.0;

static es_frame frame_of(const frame_case *c) {
  return (es_frame){.kind = ES_FRAME_RASTER,
                    .beacon_x = 500.0 + ((double)c->beacon_col + 0.5) * CELL,
                    .beacon_y = 900.0 - ((double)c->beacon_row + 0.5) * CELL,
                    .x0 = 500.0,
                    .y0 = 900.0,
                    .cell_m = CELL,
                    .cols = c->cols,
                    .rows = c->rows,
                    .radius_m = c->radius_cells * CELL};
}

/* One cell of one ray: half a cell beside it at most, farther out than the one before. */
static void check_cell(const frame_case *c, const es_fan_ray *ray, const es_fan_cell *cell, double *ring_before) {
  double east = ((double)cell->col - c->beacon_col) * CELL;
  double north = (c->beacon_row - (double)cell->row) * CELL;
  assert_near(cell->dist_m, hypot(east, north), 1e-9);
  double along_east = fabs(ray->ux) >= fabs(ray->uy) ? 1.0 : 0.0; /* measured along the row or column it crosses */
  double length = along_east > 0.0 ? east / ray->ux : north / ray->uy;
  double aside = along_east > 0.0 ? north - length * ray->uy : east - length * ray->ux;
  assert_true(length > 0.0);
  assert_true(fabs(aside) <= 0.5 * CELL + 1e-9);
  double ring = length / ray->ring_m;
  assert_near(ring, round(ring), 1e-9);
  assert_true(ring > *ring_before);
  *ring_before = ring;
}

static void check_case(const frame_case *c) {
  es_frame f = frame_of(c);
  es_fan fan = es_fan_make(&f);
  assert_int_equal(fan.origin_col, c->beacon_col);
  assert_int_equal(fan.origin_row, c->beacon_row);
  size_t cells = (size_t)c->cols * (size_t)c->rows;
  unsigned char *owners = calloc(cells, 1);
  es_fan_cell *found = calloc((size_t)fan.reach + 1, sizeof *found);
  assert_true(owners != NULL && found != NULL);
  for (size_t i = 0; i < es_fan_count(&fan); i++) {
    es_fan_ray ray = es_fan_ray_get(&fan, i);
    assert_near(hypot(ray.ux, ray.uy), 1.0, 1e-12);
    size_t n = es_fan_cells(&fan, &ray, found);
    assert_true((long)n <= ray.rings && ray.rings <= fan.reach);
    double ring = 0.0;
    for (size_t k = 0; k < n; k++) {
      check_cell(c, &ray, &found[k], &ring);
      owners[es_fan_at(&found[k], (size_t)c->cols)]++;
    }
    assert_near(ring, (double)ray.rings, 1e-9); /* rings says where the last owned cell lies */
  }
  for (size_t i = 0; i < cells; i++) {
    double east = (double)(i % (size_t)c->cols) - c->beacon_col, north = c->beacon_row - (double)(i / (size_t)c->cols);
    bool beacon = east == 0.0 && north == 0.0, inside = hypot(east, north) <= c->radius_cells;
    if (owners[i] != (!beacon && inside))
      fail_msg("%d x %d, beacon in %d, %d: the cell %g east, %g north has %d owners", c->cols, c->rows, c->beacon_col,
               c->beacon_row, east, north, owners[i]);
  }
  free(owners);
  free(found);
}

static void every_cell_has_one_owner_beside_it(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) check_case(&cases[i]);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(every_cell_has_one_owner_beside_it)};
  return cmocka_run_group_tests_name("fan", tests, NULL, NULL);
}
