#include "ground/grid.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/large.h"
#include "base/units.h"

es_lonlat es_beacon_plane_place(const void *centre, double x, double y) {
  return es_geodesic_ahead(*(const es_lonlat *)centre, es_deg(atan2(x, y)), hypot(x, y));
}

double es_grid_step_m(const es_lattice *lattice, es_lonlat centre) {
  double col, row, along_row_m, along_col_m;
  if (!es_lattice_pixel(lattice, centre, &col, &row)) return NAN;
  es_lattice_pixel_size(lattice, col, row, &along_row_m, &along_col_m);
  return fmin(along_row_m, along_col_m);
}

double es_tile_step_m(const es_tile *tile, es_lonlat centre) {
  static const double METRES_PER_DEG = 111e3;
  double per_col = hypot(tile->gt[1], tile->gt[4]), per_row = hypot(tile->gt[2], tile->gt[5]);
  const double upright[6] = {0.0, per_col, 0.0, 0.0, 0.0, -per_row};
  es_lattice lattice;
  double step_m = es_lattice_init(&lattice, tile->crs, upright, centre) ? es_grid_step_m(&lattice, centre) : NAN;
  bool by_latitude =
      lattice.geographic && fabs(centre.lat_deg) > 85.0; /* meridians meet: columns have no width there */
  if (by_latitude) step_m = per_row * METRES_PER_DEG * 360.0 / lattice.turn;
  es_lattice_fini(&lattice);
  return step_m;
}

/* Is a place, given in the tile's CRS, inside it? Longitudes may be a turn off. */
static bool tile_holds(const es_tile *tile, double x, double y, double turn) {
  double gt[6], inverse[6];
  memcpy(gt, tile->gt, sizeof gt);
  if (!GDALInvGeoTransform(gt, inverse)) return false;
  for (int k = -1; k <= 1; k++) {
    double col, row;
    GDALApplyGeoTransform(inverse, x + k * turn, y, &col, &row);
    if (col >= 0.0 && row >= 0.0 && col < tile->cols && row < tile->rows) return true;
  }
  return false;
}

/* The tile under the area's centre sets the pixels, so that no resampling touches what matters most; else the first. */
static const es_tile *leading_tile(const es_tiles *tiles, es_lonlat centre) {
  const es_tile *lead = NULL;
  es_lattice probe = {0};
  double x = NAN, y = NAN;
  for (size_t i = 0; i < tiles->n && lead == NULL; i++) {
    const es_tile *tile = &tiles->items[i];
    if (probe.wkt == NULL || strcmp(probe.wkt, tile->crs) != 0) { /* most lists have one CRS: asked once */
      es_lattice_fini(&probe);
      if (!es_lattice_init(&probe, tile->crs, tile->gt, centre) || !es_lattice_xy(&probe, centre, &x, &y)) x = y = NAN;
    }
    if (tile_holds(tile, x, y, probe.turn)) lead = tile;
  }
  es_lattice_fini(&probe);
  return lead != NULL ? lead : &tiles->items[0];
}

static es_plane beacon_plane(const es_ground_area *area, double reach_m) {
  return (es_plane){es_beacon_plane_place, &area->centre, 0.0, 0.0, reach_m};
}

static es_chart_result own_pixels(es_grid *grid, const es_tile *lead, const es_ground_area *area, double reach_m) {
  if (lead->gt[2] != 0.0 || lead->gt[4] != 0.0) return ES_CHART_ROUGH;
  return es_chart_init(&grid->chart, &grid->lattice, beacon_plane(area, reach_m));
}

static bool take_beacon_plane(es_grid *grid, const es_tile *lead, const es_ground_area *area, double reach_m) {
  double step_m = es_tile_step_m(lead, area->centre);
  es_chart_fini(&grid->chart);
  es_lattice_fini(&grid->lattice);
  if (!(step_m > 0.0) || !es_lattice_init_plane(&grid->lattice, area->centre, step_m)) return false;
  const double col[3] = {0.0, 1.0 / step_m, 0.0}, row[3] = {0.0, 0.0, -1.0 / step_m};
  es_chart_init_linear(&grid->chart, col, row, reach_m);
  return true;
}

bool es_grid_place(es_grid *grid, es_ground_area area, double reach_m, const es_ground_plan *plan, es_faults *faults) {
  const es_tile *lead = leading_tile(&grid->tiles, area.centre);
  const char *key = grid->tiles.key;
  if (!es_lattice_init(&grid->lattice, lead->crs, lead->gt, area.centre)) {
    es_fault_add(faults, plan->job_file, plan->line,
                 "ground.%s: %s: its CRS cannot be tied to WGS 84 at the beacon: want a geographic or projected one",
                 key, lead->path);
    return false;
  }
  es_chart_result result = own_pixels(grid, lead, &area, reach_m);
  if (result == ES_CHART_ROUGH) {
    es_note_add(faults, plan->job_file, plan->line,
                "ground.%s: the grid of %s is rotated or too crooked over the area (a pole?): resampled to the plane "
                "about the beacon",
                key, lead->path);
    result = take_beacon_plane(grid, lead, &area, reach_m) ? ES_CHART_OK : ES_CHART_ROUGH;
  }
  if (result != ES_CHART_OK) {
    es_fault_add(faults, plan->job_file, plan->line, "ground.%s: %s: %s", key, lead->path,
                 result == ES_CHART_MEMORY ? "out of memory" : "its grid cannot be laid over the area");
    return false;
  }
  es_tiles_settle(&grid->tiles, &grid->lattice, plan, faults);
  return true;
}

void es_grid_hold(es_grid *grid, es_window window) {
  grid->window = window;
  es_chart_move_origin(&grid->chart, window.col, window.row);
}

size_t es_grid_pixels(const es_grid *grid) { return (size_t)grid->window.cols * (size_t)grid->window.rows; }

enum { PAD_VALUES = 16 }; /* 64 bytes */

bool es_grid_get_values(es_grid *grid, bool padded) {
  grid->pitch = (size_t)grid->window.cols + (padded ? PAD_VALUES : 0);
  grid->value = es_large_get(grid->pitch * (size_t)grid->window.rows * sizeof *grid->value);
  return grid->value != NULL;
}

size_t es_grid_chart_bytes(const es_grid *grid) {
  size_t n = (size_t)grid->chart.nodes, m = (size_t)grid->plane_chart.nodes;
  return 2 * sizeof(double) * (n * n + m * m);
}

static void to_classes(const float *value, uint8_t *class_, size_t n) {
  for (size_t i = 0; i < n; i++) class_[i] = isnan(value[i]) ? 0 : (uint8_t)lrintf(value[i]);
}

/* Some rows at a time, so that classes never need a whole grid of floats. */
static bool read_classes(es_grid *grid, const es_ground_plan *plan, es_faults *faults) {
  enum { ROWS = 512 };
  size_t cols = (size_t)grid->window.cols;
  float *strip = malloc(cols * ROWS * sizeof *strip);
  grid->class_ = calloc(es_grid_pixels(grid), 1);
  bool ok = strip != NULL && grid->class_ != NULL;
  if (!ok) es_fault_add(faults, plan->job_file, plan->line, "ground.%s: out of memory", grid->tiles.key);
  for (int row = 0; ok && row < grid->window.rows; row += ROWS) {
    int rows = grid->window.rows - row < ROWS ? grid->window.rows - row : ROWS;
    es_window part = {grid->window.col, grid->window.row + row, grid->window.cols, rows};
    ok = es_tiles_read(&grid->tiles, &grid->lattice, part, strip, plan, faults);
    if (ok) to_classes(strip, grid->class_ + (size_t)row * cols, (size_t)rows * cols);
    es_tiles_close_above(&grid->tiles, part.row + rows);
  }
  free(strip);
  return ok;
}

bool es_grid_read(es_grid *grid, bool classes, const es_ground_plan *plan, es_faults *faults) {
  bool ok;
  if (classes) {
    ok = read_classes(grid, plan, faults);
  } else {
    ok = es_grid_get_values(grid, false);
    if (!ok) es_fault_add(faults, plan->job_file, plan->line, "ground.%s: out of memory", grid->tiles.key);
    ok = ok && es_tiles_read(&grid->tiles, &grid->lattice, grid->window, grid->value, plan, faults);
  }
  es_tiles_close_above(&grid->tiles, LONG_MAX);
  return ok;
}

void es_grid_fini(es_grid *grid) {
  es_tiles_fini(&grid->tiles);
  es_lattice_fini(&grid->lattice);
  es_chart_fini(&grid->chart);
  es_chart_fini(&grid->plane_chart);
  free(grid->value);
  free(grid->class_);
  *grid = (es_grid){0};
}
