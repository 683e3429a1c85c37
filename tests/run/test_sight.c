/* Line of sight of a map against GDAL's viewshed (the function behind the program gdal_viewshed) and against geometry. */
#include <cpl_conv.h>
#include <gdal_alg.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "batch.h"

static const double EARTH_M = 6378137.0, CURVATURE = 0.75; /* cc 0.75: radius a / 0.75, which is 4/3 of the Earth's */
static const double LISTENER_M = 10.0;

static int open_batch(void **state) {
  static batch b;
  batch_open(&b);
  *state = &b;
  return 0;
}

static int close_batch(void **state) {
  batch_close(*state);
  return 0;
}

/* One beacon, no listeners, one map on the raster's own grid; the sight layer is named. */
static const char *run_map(batch *b, const char *raster, es_lonlat at, double height_m, double radius_km,
                           const char *name) {
  char job[64], out[64], sight[128];
  snprintf(job, sizeof job, "%s.yaml", name);
  snprintf(out, sizeof out, "out-%s", name);
  snprintf(sight, sizeof sight, "out-%s/map-sight-%gm-20dbm.tif", name, height_m);
  const char *path =
      batch_write(b, job,
                  "beacon:\n"
                  "  name: Test\n"
                  "  position: [%.12f, %.12f]\n"
                  "  frequency_mhz: 10368\n"
                  "  antenna: {gain_dbi: 0, height_m: %g}\n"
                  "  power: {at_amplifier_dbm: 20}\n"
                  "ground: {elevation: %s, vertical_datum: invented}\n"
                  "chain: diffraction\n"
                  "models: [free-space]\n"
                  "effective_earth_radius_km: %.9f\n"
                  "map: {radius_km: %g, grid: elevation, receiver: {height_m: %g}}\n",
                  at.lon_deg, at.lat_deg, height_m, raster, 1e-3 * EARTH_M / CURVATURE, radius_km, LISTENER_M);
  batch_run(b, path, out, 2);
  return batch_path(b, sight);
}

/* GDAL's answer for the whole raster: 1 visible, 0 not. */
static void view(const char *raster, double x, double y, double height_m, const char *to, layer *out) {
  GDALDatasetH file = GDALOpen(raster, GA_ReadOnly);
  assert_non_null(file);
  GDALDatasetH seen =
      GDALViewshedGenerate(GDALGetRasterBand(file, 1), "GTiff", to, NULL, x, y, height_m, LISTENER_M, 1.0, 0.0, 0.0,
                           -1.0, CURVATURE, GVM_Edge, 0.0, NULL, NULL, GVOT_NORMAL, NULL);
  assert_non_null(seen);
  GDALClose(seen);
  GDALClose(file);
  layer_read(out, to);
}

typedef struct agreement {
  size_t cells, equal, both, either, ours;
} agreement;

static agreement compare(const layer *ours, const layer *theirs) {
  agreement a = {0};
  for (int row = 0; row < ours->rows; row++)
    for (int col = 0; col < ours->cols; col++) {
      float mine = ours->value[(size_t)row * (size_t)ours->cols + (size_t)col];
      float other = layer_at(theirs, ours->gt[0] + (col + 0.5) * ours->gt[1], ours->gt[3] + (row + 0.5) * ours->gt[5]);
      if (isnan(mine) || isnan(other)) continue;
      bool seen = mine > 0.5f, seen_there = other > 0.5f;
      a.cells++;
      a.equal += seen == seen_there;
      a.both += seen && seen_there;
      a.either += seen || seen_there;
      a.ours += seen;
    }
  return a;
}

static void check_case(batch *b, const char *name, const char *raster, es_lonlat at, double height_m,
                       double radius_km) {
  layer ours, theirs;
  char seen[64];
  double x, y;
  snprintf(seen, sizeof seen, "seen-%s.tif", name);
  layer_read(&ours, run_map(b, raster, at, height_m, radius_km, name));
  plane_of(ours.wkt, at, &x, &y);
  view(raster, x, y, height_m, batch_path(b, seen), &theirs);
  agreement a = compare(&ours, &theirs);
  double n = (double)a.cells, equal = (double)a.equal / n, iou = (double)a.both / (double)a.either;
  print_message("%s: %zu cells, %.1f %% visible, %.2f %% agree, IoU %.3f\n", name, a.cells, 100.0 * (double)a.ours / n,
                100.0 * equal, iou);
  double disc = 3.14159265 * pow(1e3 * radius_km / ours.gt[1], 2.0);
  assert_true(n > 0.99 * disc); /* the whole map was compared */
  assert_true((double)a.ours >= 0.05 * n);
  assert_true(equal >= 0.98);
  assert_true(iou >= 0.90);
  layer_fini(&ours);
  layer_fini(&theirs);
}

static const es_lonlat skarn_head = {-36.1234, 46.5678}, high_ridge = {-36.45, 46.55};

static const char *island(batch *b) {
  static const char *const tiles[] = {"terrain-samples/elevation/N46W036.tif", "terrain-samples/elevation/N46W037.tif",
                                      "terrain-samples/elevation/N47W036.tif", "terrain-samples/elevation/N47W037.tif"};
  const char *raster = batch_path(b, "island.tif");
  if (access(raster, R_OK) != 0) warp_about(tiles, 4, "EPSG:32625", (es_lonlat){-36.3, 46.56}, 45e3, 90.0, raster);
  return raster;
}

static void island_from_the_cape(void **state) { check_case(*state, "cape", island(*state), skarn_head, 18.0, 30.0); }

static void island_from_the_ridge(void **state) { check_case(*state, "ridge", island(*state), high_ridge, 30.0, 32.0); }

/* Real ground, when examples/colorado/prepare.sh has fetched it. */
static void colorado(void **state) {
  static const char *const tiles[] = {"examples/colorado/ground/N37W105.hgt", "examples/colorado/ground/N37W106.hgt"};
  if (access(tiles[0], R_OK) != 0 || access(tiles[1], R_OK) != 0) skip();
  const char *raster = batch_path(*state, "co_utm.tif");
  es_lonlat shoulder = {-104.95, 37.285}, plain = {-104.9, 37.5};
  warp_about(tiles, 2, "EPSG:32613", plain, 52e3, 90.0, raster);
  check_case(*state, "colorado", raster, shoulder, 12.0, 28.0);
}

/* Over flat ground two antennas see each other up to sqrt(2 R a) + sqrt(2 R b). */
static void flat_horizon(void **state) {
  enum { SIDE = 801 };
  const double cell = 90.0, height_m = 20.0;
  float *value = malloc(sizeof *value * SIDE * SIDE);
  assert_non_null(value);
  for (size_t i = 0; i < SIDE * SIDE; i++) value[i] = 100.0f;
  double x, y;
  es_lonlat at = {-33.0, 46.5}; /* the zone's middle: no convergence, plane distances 0.9996 of true ones */
  plane_of("EPSG:32625", at, &x, &y);
  layer flat = {SIDE, SIDE, {x - 400.5 * cell, cell, 0.0, y + 400.5 * cell, 0.0, -cell}, NULL, value}, ours;
  OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);
  OSRImportFromEPSG(crs, 32625);
  OSRExportToWkt(crs, &flat.wkt);
  const char *raster = batch_path(*state, "flat.tif");
  layer_write(&flat, raster);
  layer_read(&ours, run_map(*state, raster, at, height_m, 35.0, "flat"));
  double radius = EARTH_M / CURVATURE, horizon = sqrt(2.0 * radius * height_m) + sqrt(2.0 * radius * LISTENER_M);
  size_t seen = 0, hidden = 0;
  for (int row = 0; row < ours.rows; row++)
    for (int col = 0; col < ours.cols; col++) {
      float v = ours.value[(size_t)row * (size_t)ours.cols + (size_t)col];
      double dist = hypot(ours.gt[0] + (col + 0.5) * cell - x, ours.gt[3] - (row + 0.5) * cell - y);
      if (isnan(v) || fabs(dist - horizon) < cell) continue;
      if ((v > 0.5f) != (dist < horizon)) fail_msg("%.0f m: visible %g, the horizon is at %.0f m", dist, v, horizon);
      seen += v > 0.5f;
      hidden += v < 0.5f;
    }
  assert_true(seen > 300000 && hidden > 50000);
  layer_fini(&ours);
  free(value);
  CPLFree(flat.wkt);
  OSRDestroySpatialReference(crs);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(island_from_the_cape),
      cmocka_unit_test(island_from_the_ridge),
      cmocka_unit_test(colorado),
      cmocka_unit_test(flat_horizon),
  };
  return cmocka_run_group_tests_name("line of sight", tests, open_batch, close_batch);
}
