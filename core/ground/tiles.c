#include "ground/tiles.h"

#include <cpl_error.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "ground/warp.h"

static const double ALIGNED_PIXELS = 0.01;

/* --- headers ------------------------------------------------------------------------------------------------------ */

static void tile_fini(es_tile *tile) {
  if (tile->open != NULL) GDALClose(tile->open);
  free(tile->path);
  free(tile->crs);
}

void es_tiles_fini(es_tiles *tiles) {
  for (size_t i = 0; i < tiles->n; i++) tile_fini(&tiles->items[i]);
  free(tiles->items);
  tiles->items = NULL;
  tiles->n = tiles->room = 0;
}

static bool keep_tile(es_tiles *tiles, es_tile tile) {
  if (tiles->n == tiles->room) {
    size_t room = tiles->room == 0 ? 16 : 2 * tiles->room;
    es_tile *items = realloc(tiles->items, room * sizeof *items);
    if (items == NULL) return false;
    tiles->items = items;
    tiles->room = room;
  }
  tiles->items[tiles->n++] = tile;
  return true;
}

/* CRS of the file, else the job's; NULL when there is neither. Fresh memory. */
static char *tile_crs(GDALDatasetH file, const char *fallback) {
  const char *own = GDALGetProjectionRef(file);
  if (own != NULL && own[0] != '\0') return strdup(own);
  if (fallback == NULL) return NULL;
  OGRSpatialReferenceH crs = es_crs_read(fallback);
  char *wkt = NULL, *copy = NULL;
  if (crs != NULL && OSRExportToWkt(crs, &wkt) == OGRERR_NONE) copy = strdup(wkt);
  CPLFree(wkt);
  if (crs != NULL) OSRDestroySpatialReference(crs);
  return copy;
}

static bool unit_is_feet(const char *unit) {
  static const char *const names[] = {"ft", "feet", "foot", "us-ft", "us survey foot"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++)
    if (EQUAL(unit, names[i])) return true;
  return false;
}

static void read_band_header(es_tile *tile, const es_tiles *tiles, const es_ground_plan *plan, es_faults *faults) {
  GDALRasterBandH band = GDALGetRasterBand(tile->open, 1);
  int given = 0;
  double scale = GDALGetRasterScale(band, &given);
  tile->scale = given && scale != 0.0 ? scale : 1.0;
  double offset = GDALGetRasterOffset(band, &given);
  tile->offset = given ? offset : 0.0;
  if (tiles->scale == 1.0 && !tiles->nearest && unit_is_feet(GDALGetRasterUnitType(band)))
    es_note_add(faults, plan->job_file, plan->line, "ground.%s: %s says its unit is feet but is read as metres",
                tiles->key, tile->path);
  if (GDALGetRasterCount(tile->open) > 1)
    es_note_add(faults, plan->job_file, plan->line, "ground.%s: %s has %d bands, the first is read", tiles->key,
                tile->path, GDALGetRasterCount(tile->open));
}

/* Why an opened file cannot be a tile; NULL when it can. Fills the tile. picture: it has pixels but no position. */
static const char *read_header(es_tile *tile, const es_ground_plan *plan, bool *picture) {
  if (GDALGetRasterCount(tile->open) < 1) return "has no raster band (name one of its subdatasets)";
  *picture = GDALGetGeoTransform(tile->open, tile->gt) != CE_None;
  if (*picture) return "has no position: want a georeferenced raster";
  tile->cols = GDALGetRasterXSize(tile->open);
  tile->rows = GDALGetRasterYSize(tile->open);
  tile->crs = tile_crs(tile->open, plan->crs);
  if (tile->crs == NULL) return "has no CRS: want one in the file, or ground.crs in the job, such as EPSG:4326";
  return NULL;
}

static void add_file(es_tiles *tiles, const char *path, bool from_folder, const es_ground_plan *plan,
                     es_faults *faults) {
  unsigned how = GDAL_OF_RASTER | (from_folder ? 0u : (unsigned)GDAL_OF_VERBOSE_ERROR);
  es_tile tile = {.path = strdup(path), .open = GDALOpenEx(path, how, NULL, NULL, NULL)};
  if (tile.path == NULL || tile.open == NULL) {
    if (!from_folder)
      es_fault_add(faults, plan->job_file, plan->line, "ground.%s: %s cannot be read as a raster (%s)", tiles->key,
                   path, CPLGetLastErrorMsg());
    tile_fini(&tile);
    return;
  }
  bool picture = false; /* a folder may hold pictures beside its tiles */
  const char *why = read_header(&tile, plan, &picture);
  if (why != NULL) {
    (from_folder && picture ? es_note_add : es_fault_add)(faults, plan->job_file, plan->line, "ground.%s: %s %s",
                                                          tiles->key, path, why);
    tile_fini(&tile);
    return;
  }
  read_band_header(&tile, tiles, plan, faults);
  GDALClose(tile.open); /* opened again for reading: a folder may hold more tiles than a process may open */
  tile.open = NULL;
  if (keep_tile(tiles, tile)) return;
  es_fault_add(faults, plan->job_file, plan->line, "ground.%s: out of memory", tiles->key);
  tile_fini(&tile);
}

/* Overviews and masks beside a raster open as rasters of their own but are none. */
static bool is_sidecar(const char *name) {
  const char *dot = strrchr(name, '.');
  return name[0] == '.' || (dot != NULL && (EQUAL(dot, ".ovr") || EQUAL(dot, ".msk") || EQUAL(dot, ".xml")));
}

static int by_name(const void *a, const void *b) { return strcmp(*(char *const *)a, *(char *const *)b); }

static void add_folder(es_tiles *tiles, const char *folder, const es_ground_plan *plan, es_faults *faults) {
  char **names = VSIReadDir(folder);
  size_t n = (size_t)CSLCount(names), before = tiles->n, faults_before = faults->n_faults;
  if (n > 0) qsort(names, n, sizeof *names, by_name);
  for (size_t i = 0; i < n; i++) {
    VSIStatBufL stat;
    char *path = es_format("%s/%s", folder, names[i]);
    if (path != NULL && !is_sidecar(names[i]) && VSIStatL(path, &stat) == 0 && !VSI_ISDIR(stat.st_mode))
      add_file(tiles, path, true, plan, faults);
    free(path);
  }
  CSLDestroy(names);
  if (tiles->n == before && faults->n_faults == faults_before)
    es_fault_add(faults, plan->job_file, plan->line, "ground.%s: the folder %s holds no raster that can be read",
                 tiles->key, folder);
}

bool es_tiles_gather(es_tiles *tiles, const char *const *paths, size_t n, const es_ground_plan *plan,
                     es_faults *faults) {
  size_t before = faults->n_faults;
  for (size_t i = 0; i < n; i++) {
    VSIStatBufL stat;
    CPLErrorReset();
    if (VSIStatL(paths[i], &stat) == 0 && VSI_ISDIR(stat.st_mode))
      add_folder(tiles, paths[i], plan, faults);
    else
      add_file(tiles, paths[i], false, plan, faults);
  }
  return faults->n_faults == before && tiles->n > 0;
}

/* --- where tiles lie on a lattice --------------------------------------------------------------------------------- */

static bool crs_is_same(OGRSpatialReferenceH a, const char *text) {
  OGRSpatialReferenceH b = es_crs_read(text);
  bool same = a != NULL && b != NULL && OSRIsSame(a, b);
  if (b != NULL) OSRDestroySpatialReference(b);
  return same;
}

static bool near_whole(double pixels, double *whole) {
  *whole = round(pixels);
  return fabs(pixels - *whole) <= ALIGNED_PIXELS;
}

/* Whole turns that bring a geographic tile nearest to the area. */
static double turns_towards_area(const es_tile *tile, const es_lattice *lattice) {
  if (!lattice->geographic) return 0.0;
  double middle = tile->gt[0] + 0.5 * tile->cols * tile->gt[1];
  return -round((middle - lattice->centre_x) / lattice->turn);
}

static bool find_offset(es_tile *tile, const es_lattice *lattice) {
  const double *gt = tile->gt;
  if (gt[2] != 0.0 || gt[4] != 0.0) return false;
  if (fabs(gt[1] - lattice->dx) * tile->cols > ALIGNED_PIXELS * fabs(lattice->dx)) return false;
  if (fabs(gt[5] - lattice->dy) * tile->rows > ALIGNED_PIXELS * fabs(lattice->dy)) return false;
  double x = gt[0] + turns_towards_area(tile, lattice) * lattice->turn, col, row;
  if (!near_whole((x - lattice->x0) / lattice->dx, &col)) return false;
  if (!near_whole((gt[3] - lattice->y0) / lattice->dy, &row)) return false;
  tile->col = (long)col;
  tile->row = (long)row;
  return true;
}

void es_tiles_settle(es_tiles *tiles, const es_lattice *lattice, const es_ground_plan *plan, es_faults *faults) {
  OGRSpatialReferenceH crs = es_crs_read(lattice->wkt);
  size_t warped = 0;
  const char *first = NULL;
  for (size_t i = 0; i < tiles->n; i++) {
    es_tile *tile = &tiles->items[i];
    tile->same_crs = crs_is_same(crs, tile->crs);
    tile->direct = tile->same_crs && find_offset(tile, lattice);
    if (!tile->direct && warped++ == 0) first = tile->path;
  }
  if (crs != NULL) OSRDestroySpatialReference(crs);
  if (warped > 0)
    es_note_add(faults, plan->job_file, plan->line,
                "ground.%s: %zu of %zu rasters (the first: %s) lie on another grid and are resampled (%s)", tiles->key,
                warped, tiles->n, first, tiles->nearest ? "nearest" : "bilinear");
}

/* Pixels in a full turn, 0 when there is none or when it is no whole number of pixels. */
static long turn_pixels(const es_lattice *lattice) {
  double whole = 0.0;
  if (!lattice->geographic || !near_whole(lattice->turn / fabs(lattice->dx), &whole)) return 0;
  return (long)whole;
}

static es_window tile_window(const es_tile *tile, long shift) {
  return (es_window){tile->col + shift, tile->row, tile->cols, tile->rows};
}

es_window es_tiles_extent(const es_tiles *tiles, const es_lattice *lattice, es_window window) {
  es_window all = {window.col, window.row, 0, 0};
  long turn = turn_pixels(lattice);
  for (size_t i = 0; i < tiles->n; i++) {
    if (!tiles->items[i].direct) return window;
    for (long k = turn > 0 ? -1 : 0; k <= (turn > 0 ? 1 : 0); k++) {
      es_window part = es_window_common(window, tile_window(&tiles->items[i], k * turn));
      if (part.cols > 0) all = es_window_around(all, part);
    }
  }
  return all;
}

/* --- pixels ------------------------------------------------------------------------------------------------------- */

static bool tile_open(es_tile *tile) {
  if (tile->open == NULL) tile->open = GDALOpenEx(tile->path, GDAL_OF_RASTER | GDAL_OF_VERBOSE_ERROR, NULL, NULL, NULL);
  return tile->open != NULL;
}

/* Value in our units; NaN when it is none. */
static inline float clean(float raw, const es_tile *tile, const es_tiles *tiles) {
  double value = ((double)raw * tile->scale + tile->offset) * tiles->scale;
  return value >= tiles->low && value <= tiles->high ? (float)value : NAN;
}

static void merge(const es_tiles *tiles, const es_tile *tile, const float *raw, const uint8_t *valid, es_window part,
                  es_window window, float *values) {
  for (int r = 0; r < part.rows; r++) {
    size_t from = (size_t)r * (size_t)part.cols;
    float *to = values + (size_t)(part.row - window.row + r) * (size_t)window.cols + (part.col - window.col);
    for (int c = 0; c < part.cols; c++, from++) {
      if (valid != NULL && valid[from] == 0) continue;
      float value = clean(raw[from], tile, tiles);
      if (!isnan(value)) to[c] = value;
    }
  }
}

static bool read_block(GDALRasterBandH band, es_window block, void *buffer, GDALDataType type) {
  return GDALRasterIO(band, GF_Read, (int)block.col, (int)block.row, block.cols, block.rows, buffer, block.cols,
                      block.rows, type, 0, 0) == CE_None;
}

/* Copies the part of a tile that lies in the window, the tile's first pixel standing at (tile->col + shift,
 * tile->row). */
static bool read_direct(const es_tiles *tiles, es_tile *tile, long shift, es_window window, float *values) {
  es_window part = es_window_common(window, tile_window(tile, shift));
  if (part.cols == 0) return true;
  if (!tile_open(tile)) return false;
  tile->used = true;
  GDALRasterBandH band = GDALGetRasterBand(tile->open, 1);
  es_window block = {part.col - tile->col - shift, part.row - tile->row, part.cols, part.rows};
  size_t n = (size_t)part.cols * (size_t)part.rows;
  bool all_valid = (GDALGetMaskFlags(band) & GMF_ALL_VALID) != 0;
  float *raw = malloc(n * sizeof *raw);
  uint8_t *valid = all_valid ? NULL : malloc(n);
  bool ok = raw != NULL && (all_valid || valid != NULL) && read_block(band, block, raw, GDT_Float32) &&
            (all_valid || read_block(GDALGetMaskBand(band), block, valid, GDT_Byte));
  if (ok) merge(tiles, tile, raw, valid, part, window, values);
  free(raw);
  free(valid);
  return ok;
}

static bool read_warped(const es_tiles *tiles, es_tile *tile, const es_lattice *lattice, double turns, es_window window,
                        float *values) {
  size_t n = (size_t)window.cols * (size_t)window.rows;
  float *raw = malloc(n * sizeof *raw);
  double gt[6];
  es_lattice_window_gt(lattice, window, gt);
  gt[0] += turns * lattice->turn;
  bool ok = raw != NULL && tile_open(tile) &&
            es_warp(tile->open, tile->crs, lattice->wkt, gt, window.cols, window.rows, tiles->nearest, raw);
  if (ok) {
    for (size_t i = 0; i < n && !tile->used; i++) tile->used = !isnan(raw[i]);
    merge(tiles, tile, raw, NULL, window, window, values);
  }
  free(raw);
  return ok;
}

static bool read_tile(const es_tiles *tiles, es_tile *tile, const es_lattice *lattice, es_window window,
                      float *values) {
  long turn = turn_pixels(lattice);
  int around = tile->direct ? turn > 0 : lattice->geographic;
  bool ok = true;
  for (int k = -around; k <= around && ok; k++)
    ok = tile->direct ? read_direct(tiles, tile, k * turn, window, values)
                      : read_warped(tiles, tile, lattice, k, window, values);
  return ok;
}

bool es_tiles_read(es_tiles *tiles, const es_lattice *lattice, es_window window, float *values,
                   const es_ground_plan *plan, es_faults *faults) {
  size_t n = (size_t)window.cols * (size_t)window.rows;
  for (size_t i = 0; i < n; i++) values[i] = NAN;
  for (size_t i = 0; i < tiles->n; i++) {
    CPLErrorReset();
    if (read_tile(tiles, &tiles->items[i], lattice, window, values)) continue;
    es_fault_add(faults, plan->job_file, plan->line, "ground.%s: %s cannot be read (%s)", tiles->key,
                 tiles->items[i].path, CPLGetLastErrorMsg());
    return false;
  }
  return true;
}

void es_tiles_close_above(es_tiles *tiles, long row) {
  for (size_t i = 0; i < tiles->n; i++) {
    es_tile *tile = &tiles->items[i];
    if (tile->open == NULL) continue;
    if (row != LONG_MAX && (!tile->direct || tile->row + tile->rows > row)) continue;
    GDALClose(tile->open);
    tile->open = NULL;
  }
}
