/* ground.c - opens everything, reads the elevation strip by strip, and tells what is held. */
#include "ground/ground.h"

#include <cpl_error.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "ground/drivers.h"
#include "ground/mask.h"
#include "ground/parts.h"

static const double HEIGHT_LIMIT_M = 20000.0, CANOPY_LIMIT_M = 200.0, CLASS_LIMIT = 255.0;
/* Read at a time: 4 MB of floats, which stay in the cache; of tiles that are warped, each time from the beginning, 64 MB. */
static const size_t STRIP_PIXELS = (size_t)1 << 20, WARPED_PIXELS = (size_t)1 << 24;

/* What opening needs and nothing later does. */
typedef struct opening {
  es_ground *ground;
  const es_ground_plan *plan;
  es_faults *faults;
  es_mask mask;
  double reach_m; /* with the margin for zones */
  es_window wide; /* elevation pixels within it; those held are grid.window */
  double pixel_w_m, pixel_h_m;
  size_t measured, sea_bed;
} opening;

static void fault(opening *o, const char *text) {
  es_fault_add(o->faults, o->plan->job_file, o->plan->line, "%s", text);
}

/* --- headers: what will be read ----------------------------------------------------------------------------------- */

static bool gather_all(opening *o) {
  const es_ground_plan *p = o->plan;
  es_ground *g = o->ground;
  g->has_canopy = p->n_canopy > 0;
  g->has_cover = p->n_cover > 0;
  g->elevation.tiles =
      (es_tiles){.key = "elevation", .scale = p->elevation_scale, .low = -HEIGHT_LIMIT_M, .high = HEIGHT_LIMIT_M};
  g->canopy.tiles = (es_tiles){.key = "canopy_height", .scale = p->canopy_scale, .low = 0.0, .high = CANOPY_LIMIT_M};
  g->cover.tiles = (es_tiles){.key = "cover", .scale = 1.0, .low = 0.0, .high = CLASS_LIMIT, .nearest = true};
  bool ok = p->n_elevation > 0;
  if (!ok) fault(o, "ground.elevation: nothing is given: want at least one raster");
  if (ok) ok = es_tiles_gather(&g->elevation.tiles, p->elevation, p->n_elevation, p, o->faults);
  if (g->has_canopy) ok = es_tiles_gather(&g->canopy.tiles, p->canopy, p->n_canopy, p, o->faults) && ok;
  if (g->has_cover) ok = es_tiles_gather(&g->cover.tiles, p->cover, p->n_cover, p, o->faults) && ok;
  return es_mask_gather(&o->mask, p, o->faults) && ok;
}

static void no_overlap(opening *o, const es_grid *grid) {
  es_fault_add(o->faults, o->plan->job_file, o->plan->line,
               "ground.%s: %s%s covers nothing within %.1f km of the beacon at %.5f, %.5f", grid->tiles.key,
               grid->tiles.items[0].path, grid->tiles.n > 1 ? " and the other rasters" : "",
               o->ground->area.reach_m / 1000.0, o->ground->area.centre.lon_deg, o->ground->area.centre.lat_deg);
}

/* True when the elevation is one projected, north-up, square-celled grid in metres of its own. */
static bool is_projected_grid(const es_lattice *lattice) {
  if (lattice->beacon_plane || lattice->geographic || !(lattice->dx > 0.0 && lattice->dy < 0.0)) return false;
  if (fabs(lattice->dx + lattice->dy) > 1e-9 * lattice->dx) return false;
  OGRSpatialReferenceH crs = es_crs_read(lattice->wkt);
  bool metres = crs != NULL && OSRIsProjected(crs) && fabs(OSRGetLinearUnits(crs, NULL) - 1.0) < 1e-9;
  if (crs != NULL) OSRDestroySpatialReference(crs);
  return metres;
}

static bool place_elevation(opening *o) {
  es_ground *g = o->ground;
  es_grid *grid = &g->elevation;
  if (!es_grid_place(grid, g->area, o->reach_m, o->plan, o->faults)) return false;
  es_window held = es_chart_window(&grid->chart, 0.0, 0.0, g->area.reach_m);
  o->wide = es_chart_window(&grid->chart, 0.0, 0.0, o->reach_m);
  es_window tiles_held = es_tiles_extent(&grid->tiles, &grid->lattice, held);
  if (held.cols == 0 || o->wide.cols == 0) return fault(o, "ground.elevation: the area has too many pixels"), false;
  if (tiles_held.cols == 0) return no_overlap(o, grid), false;
  if (!o->mask.wanted) { /* the mask may know the sea where there are no tiles */
    o->wide = es_tiles_extent(&grid->tiles, &grid->lattice, o->wide);
    g->facts.missing = (size_t)held.cols * (size_t)held.rows - (size_t)tiles_held.cols * (size_t)tiles_held.rows;
    held = tiles_held;
  }
  es_grid_hold(grid, held);
  double col, row;
  es_lattice_pixel(&grid->lattice, g->area.centre, &col, &row);
  es_lattice_pixel_size(&grid->lattice, col, row, &o->pixel_w_m, &o->pixel_h_m);
  g->facts.step_m = fmin(o->pixel_w_m, o->pixel_h_m);
  g->projected = is_projected_grid(&grid->lattice);
  if (o->plan->want_zones) es_zones_plan(&g->zones, o->wide, o->pixel_w_m, o->pixel_h_m);
  return true;
}

/* Place of a point of the elevation's own plane: ctx is its lattice. */
static es_lonlat own_plane_place(const void *ctx, double x, double y) {
  const es_lattice *lattice = ctx;
  return es_lattice_place(lattice, (x - lattice->x0) / lattice->dx, (y - lattice->y0) / lattice->dy);
}

static es_plane own_plane(const es_grid *elevation) {
  double gt[6], half_w, half_h;
  es_lattice_window_gt(&elevation->lattice, elevation->window, gt);
  half_w = 0.5 * elevation->window.cols * gt[1];
  half_h = 0.5 * elevation->window.rows * gt[5];
  return (es_plane){own_plane_place, &elevation->lattice, gt[0] + half_w, gt[3] + half_h, hypot(half_w, half_h)};
}

/* The other grids seen from the elevation's plane; on the same CRS that is linear. */
static bool add_plane_chart(opening *o, es_grid *grid) {
  const es_grid *elevation = &o->ground->elevation;
  const es_lattice *l = &grid->lattice;
  es_plane plane = own_plane(elevation);
  if (grid == elevation || strcmp(l->wkt, elevation->lattice.wkt) == 0) {
    const double col[3] = {-l->x0 / l->dx, 1.0 / l->dx, 0.0}, row[3] = {-l->y0 / l->dy, 0.0, 1.0 / l->dy};
    es_chart_init_linear(&grid->plane_chart, col, row, plane.reach_m);
  } else if (es_chart_init(&grid->plane_chart, l, plane) != ES_CHART_OK) {
    es_fault_add(o->faults, o->plan->job_file, o->plan->line, "ground.%s: %s cannot be laid over the elevation's grid",
                 grid->tiles.key, grid->tiles.items[0].path);
    return false;
  }
  es_chart_move_origin(&grid->plane_chart, grid->window.col, grid->window.row);
  return true;
}

static bool place_other(opening *o, es_grid *grid) {
  es_ground_area area = o->ground->area;
  if (!es_grid_place(grid, area, area.reach_m, o->plan, o->faults)) return false;
  es_window held = es_chart_window(&grid->chart, 0.0, 0.0, area.reach_m);
  held = es_tiles_extent(&grid->tiles, &grid->lattice, held);
  if (held.cols == 0) return no_overlap(o, grid), false;
  es_grid_hold(grid, held);
  return true;
}

static bool place_all(opening *o) {
  es_ground *g = o->ground;
  bool ok = place_elevation(o);
  if (g->has_canopy) ok = place_other(o, &g->canopy) && ok;
  if (g->has_cover) ok = place_other(o, &g->cover) && ok;
  if (!ok || !g->projected) return ok;
  ok = add_plane_chart(o, &g->elevation);
  if (g->has_canopy) ok = add_plane_chart(o, &g->canopy) && ok;
  if (g->has_cover) ok = add_plane_chart(o, &g->cover) && ok;
  return ok;
}

static size_t bytes_held(const opening *o) {
  const es_ground *g = o->ground;
  size_t bytes = es_grid_pixels(&g->elevation) * (sizeof(float) + (o->mask.wanted ? 1 : 0));
  bytes += es_grid_chart_bytes(&g->elevation);
  if (g->has_canopy) bytes += es_grid_pixels(&g->canopy) * sizeof(float) + es_grid_chart_bytes(&g->canopy);
  if (g->has_cover) bytes += es_grid_pixels(&g->cover) + es_grid_chart_bytes(&g->cover);
  return bytes + (size_t)g->zones.cols * (size_t)g->zones.rows;
}

static size_t least(size_t a, size_t b) { return a < b ? a : b; }

static bool any_warped(const es_tiles *tiles) {
  for (size_t i = 0; i < tiles->n; i++)
    if (!tiles->items[i].direct) return true;
  return false;
}

/* Pixels in the strips by which the elevation is read. */
static size_t strip_pixels(const opening *o) {
  bool warped = any_warped(&o->ground->elevation.tiles) || any_warped(&o->mask.tiles);
  size_t cols = (size_t)o->wide.cols, rows = (warped ? WARPED_PIXELS : STRIP_PIXELS) / cols + 1;
  return cols * least(rows, (size_t)o->wide.rows);
}

/* What tiles bring along while they are read: the part of one as floats with their mask, and GDAL's cache of their blocks. */
static size_t tile_bytes(const es_tiles *tiles, size_t strip) {
  size_t all = 0, one = 0;
  for (size_t i = 0; i < tiles->n; i++) {
    const es_tile *tile = &tiles->items[i];
    size_t whole = (size_t)tile->cols * (size_t)tile->rows, part = tile->direct ? least(whole, strip) : strip;
    if (part > one) one = part;
    all += whole;
  }
  return one * (sizeof(float) + 1) + least(sizeof(float) * all, (size_t)GDALGetCacheMax64());
}

/* The most that is held while the ground is read: strips and tallies first, then the work on zones. */
static size_t bytes_to_open(const opening *o) {
  const es_ground *g = o->ground;
  size_t strip = strip_pixels(o), cells = (size_t)g->zones.cols * (size_t)g->zones.rows;
  size_t strips = strip * (sizeof(float) + 1) + tile_bytes(&g->elevation.tiles, strip);
  if (o->mask.wanted && !o->mask.polygons) strips += strip * sizeof(float) + tile_bytes(&o->mask.tiles, strip);
  size_t tallies = cells * sizeof(es_zone_tally), zones = es_zones_work_bytes(&g->zones);
  return bytes_held(o) + (strips + tallies > zones ? strips + tallies : zones);
}

static bool open_headers(opening *o, es_ground_area area) {
  es_drivers_start();
  o->ground = calloc(1, sizeof *o->ground);
  if (o->ground == NULL) return fault(o, "out of memory"), false;
  o->ground->area = area;
  o->reach_m = area.reach_m + (o->plan->want_zones ? o->plan->zone_coast_m : 0.0);
  return gather_all(o) && place_all(o);
}

static void opening_fini(opening *o) { es_mask_fini(&o->mask); }

size_t es_ground_bytes(const es_ground_plan *plan, es_ground_area area, es_faults *faults) {
  opening o = {.plan = plan, .faults = faults};
  CPLPushErrorHandler(CPLQuietErrorHandler);
  size_t bytes = open_headers(&o, area) ? bytes_held(&o) : 0;
  opening_fini(&o);
  es_ground_close(o.ground);
  CPLPopErrorHandler();
  return bytes;
}

/* --- pixels ------------------------------------------------------------------------------------------------------- */

/* What the mask makes of a pixel: sea has no bed, and is known where nobody measured it. */
static inline float surface(float height_m, bool at_sea) { return at_sea && !(height_m >= 0.0f) ? 0.0f : height_m; }

/* Sea by the mask; without one, what lies no higher than 0 m. */
static uint8_t zone_pixel(const opening *o, float height_m, uint8_t sea) {
  if (isnan(height_m) && sea == ES_SEA_UNKNOWN) return ES_PIXEL_UNKNOWN;
  return (o->mask.wanted ? sea == ES_SEA : height_m <= 0.0f) ? ES_PIXEL_SEA : ES_PIXEL_LAND;
}

static void tally_row(opening *o, long row, const float *height_m, const uint8_t *sea) {
  enum { BLOCK = 512 };
  float height[BLOCK];
  uint8_t pixel[BLOCK];
  for (int c = 0; c < o->wide.cols; c += BLOCK) {
    int n = o->wide.cols - c < BLOCK ? o->wide.cols - c : BLOCK;
    for (int i = 0; i < n; i++) {
      height[i] = surface(height_m[c + i], sea[c + i] == ES_SEA);
      pixel[i] = zone_pixel(o, height[i], sea[c + i]);
    }
    es_zones_add(&o->ground->zones, o->wide.col + c, row, (size_t)n, height, pixel);
  }
}

/* n pixels from one on, of the grid held. */
static void keep_pixels(opening *o, const float *height_m, const uint8_t *sea, size_t n, float *value,
                        uint8_t *by_mask) {
  size_t measured = 0, sea_bed = 0, by_mask_alone = 0;
  for (size_t c = 0; c < n; c++) {
    bool at_sea = sea[c] == ES_SEA, empty = isnan(height_m[c]);
    value[c] = surface(height_m[c], at_sea);
    if (by_mask != NULL) by_mask[c] = at_sea && !(height_m[c] >= 0.0f);
    measured += !empty;
    sea_bed += at_sea & (height_m[c] < 0.0f);
    by_mask_alone += at_sea & empty;
  }
  o->measured += measured;
  o->sea_bed += sea_bed;
  o->ground->facts.sea_by_mask += by_mask_alone;
  o->ground->facts.missing += n - measured - by_mask_alone;
}

/* One row of a strip: what falls into the window held, and its tally for the zones. */
static void take_row(opening *o, long row, const float *height_m, const uint8_t *sea) {
  es_ground *g = o->ground;
  es_window one = {o->wide.col, row, o->wide.cols, 1}, part = es_window_common(one, g->elevation.window);
  if (g->zones.tally != NULL) tally_row(o, row, height_m, sea);
  if (part.cols == 0 || part.rows == 0) return;
  size_t from = (size_t)(part.col - one.col), col = (size_t)(part.col - g->elevation.window.col);
  size_t at = (size_t)(row - g->elevation.window.row);
  keep_pixels(o, height_m + from, sea + from, (size_t)part.cols, g->elevation.value + at * g->elevation.pitch + col,
              g->by_mask != NULL ? g->by_mask + at * (size_t)g->elevation.window.cols + col : NULL);
}

static bool read_strip(opening *o, es_window strip, float *height_m, uint8_t *sea) {
  es_grid *grid = &o->ground->elevation;
  if (!es_tiles_read(&grid->tiles, &grid->lattice, strip, height_m, o->plan, o->faults)) return false;
  if (!es_mask_read(&o->mask, &grid->lattice, strip, sea, o->plan, o->faults)) return false;
  for (int r = 0; r < strip.rows; r++)
    take_row(o, strip.row + r, height_m + (size_t)r * (size_t)strip.cols, sea + (size_t)r * (size_t)strip.cols);
  es_tiles_close_above(&grid->tiles, strip.row + strip.rows);
  es_tiles_close_above(&o->mask.tiles, strip.row + strip.rows);
  return true;
}

static bool read_strips(opening *o, es_progress *progress) {
  size_t cols = (size_t)o->wide.cols, rows = strip_pixels(o) / cols;
  float *height_m = malloc(rows * cols * sizeof *height_m);
  uint8_t *sea = malloc(rows * cols);
  bool ok = height_m != NULL && sea != NULL;
  if (!ok) fault(o, "ground: out of memory");
  es_progress_stage(progress, "ground", (size_t)o->wide.rows);
  for (size_t row = 0; ok && row < (size_t)o->wide.rows; row += rows) {
    size_t left = (size_t)o->wide.rows - row;
    es_window strip = {o->wide.col, o->wide.row + (long)row, o->wide.cols, (int)(left < rows ? left : rows)};
    ok = read_strip(o, strip, height_m, sea);
    es_progress_step(progress, (size_t)strip.rows);
  }
  es_tiles_close_above(&o->ground->elevation.tiles, LONG_MAX);
  es_tiles_close_above(&o->mask.tiles, LONG_MAX);
  free(height_m);
  free(sea);
  return ok;
}

static bool get_memory(opening *o) {
  es_ground *g = o->ground;
  size_t n = es_grid_pixels(&g->elevation);
  bool ok = es_grid_get_values(&g->elevation, true);
  if (o->mask.wanted) g->by_mask = calloc(n, 1);
  ok = ok && (!o->mask.wanted || g->by_mask != NULL) && (!o->plan->want_zones || es_zones_start(&g->zones));
  if (!ok)
    es_fault_add(o->faults, o->plan->job_file, o->plan->line, "ground: out of memory: want %zu MB",
                 bytes_held(o) >> 20);
  return ok;
}

static bool read_elevation(opening *o, es_progress *progress) {
  es_ground *g = o->ground;
  if (!get_memory(o)) return false;
  if (!es_mask_place(&o->mask, &g->elevation.lattice, g->area, o->reach_m, o->plan, o->faults)) return false;
  if (!read_strips(o, progress)) return false;
  if (o->measured + g->facts.sea_by_mask == 0) return no_overlap(o, &g->elevation), false;
  if (o->sea_bed > 0)
    es_note_add(o->faults, o->plan->job_file, o->plan->line,
                "ground: %zu pixels that the mask calls sea lie below 0 m: their surface is 0 m", o->sea_bed);
  return true;
}

static const char *zone_basis(const es_mask *mask) {
  return !mask->wanted ? "elevation" : mask->polygons ? "land polygons" : "mask raster";
}

static bool make_zones(opening *o) {
  es_ground *g = o->ground;
  g->facts.zone_basis = zone_basis(&o->mask);
  if (!o->plan->want_zones) return true;
  if (!o->mask.wanted)
    es_note_add(o->faults, o->plan->job_file, o->plan->line,
                "ground: no mask is given: sea is taken to be where the elevation is 0 m or less over 4 km² or more");
  if (es_zones_finish(&g->zones, &g->elevation.lattice, o->plan->zone_coast_m, o->plan->zone_coast_height_m,
                      !o->mask.wanted))
    return true;
  return fault(o, "ground: out of memory"), false;
}

static bool list_data_sets(opening *o) {
  es_ground *g = o->ground;
  es_lonlat centre = g->area.centre;
  bool ok = es_data_sets_add_tiles(&g->sets, "elevation", &g->elevation.tiles, centre) &&
            es_data_sets_add_tiles(&g->sets, "canopy height", &g->canopy.tiles, centre) &&
            es_data_sets_add_tiles(&g->sets, "cover", &g->cover.tiles, centre) &&
            es_data_sets_add_tiles(&g->sets, "sea mask", &o->mask.tiles, centre);
  for (size_t i = 0; ok && o->mask.polygons && i < o->plan->n_mask; i++)
    ok = es_data_sets_add_vector(&g->sets, "sea mask", o->plan->mask[i]);
  if (!ok) fault(o, "ground: the facts of the files cannot be read");
  return ok;
}

static bool read_all(opening *o, es_progress *progress) {
  es_ground *g = o->ground;
  bool ok = read_elevation(o, progress) && make_zones(o);
  if (g->has_canopy) ok = es_grid_read(&g->canopy, false, o->plan, o->faults) && ok;
  if (g->has_cover) ok = es_grid_read(&g->cover, true, o->plan, o->faults) && ok;
  ok = ok && list_data_sets(o);
  g->facts.has_canopy = g->has_canopy;
  g->facts.has_cover = g->has_cover;
  g->facts.has_zones = g->zones.zone != NULL;
  g->facts.bytes = bytes_held(o);
  g->facts.bytes_to_open = bytes_to_open(o);
  return ok;
}

es_ground *es_ground_open(const es_ground_plan *plan, es_ground_area area, es_faults *faults, es_progress *progress) {
  opening o = {.plan = plan, .faults = faults};
  CPLPushErrorHandler(CPLQuietErrorHandler);
  bool ok = open_headers(&o, area) && read_all(&o, progress);
  opening_fini(&o);
  if (!ok) {
    es_ground_close(o.ground);
    o.ground = NULL;
  }
  CPLPopErrorHandler();
  return o.ground;
}

void es_ground_close(es_ground *ground) {
  if (ground == NULL) return;
  es_grid_fini(&ground->elevation);
  es_grid_fini(&ground->canopy);
  es_grid_fini(&ground->cover);
  es_zones_fini(&ground->zones);
  es_data_sets_fini(&ground->sets);
  free(ground->by_mask);
  free(ground);
}

/* --- what is held ------------------------------------------------------------------------------------------------- */

const es_data_set *es_ground_data_sets(const es_ground *ground, size_t *n) {
  *n = ground->sets.n;
  return ground->sets.items;
}

es_ground_facts es_ground_facts_get(const es_ground *ground) { return ground->facts; }

double es_ground_step_m(const es_ground *ground, es_lonlat about) {
  return es_grid_step_m(&ground->elevation.lattice, about);
}

bool es_ground_projected_grid(const es_ground *ground, const char **wkt, double *x0, double *y0, double *cell_m,
                              int *cols, int *rows) {
  if (!ground->projected) return false;
  double gt[6];
  es_lattice_window_gt(&ground->elevation.lattice, ground->elevation.window, gt);
  *wkt = ground->elevation.lattice.wkt;
  *x0 = gt[0];
  *y0 = gt[3];
  *cell_m = gt[1];
  *cols = ground->elevation.window.cols;
  *rows = ground->elevation.window.rows;
  return true;
}

const float *es_ground_heights(const es_ground *ground, size_t *pitch) {
  *pitch = ground->elevation.pitch;
  return ground->elevation.value;
}
