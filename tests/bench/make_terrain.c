/* make_terrain.c - fractal hills as a GeoTIFF, for benches: make_terrain SIDE FILE [RELIEF_M] [CRS].
 *
 * Midpoint displacement on a grid that closes on itself (SIDE is a power of two), roughness exponent 0.85, 30 m cells, heights
 * from 0 m, RELIEF_M (default 1200) from the lowest to the highest. The beacon of the benches stands in the middle. The same
 * SIDE gives the same bytes: every random number is a hash of its cell.                                                    */
#include <cpl_vsi.h>
#include <gdal.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double CELL_M = 30.0, EAST_M = 500000.0, NORTH_M = 5200000.0; /* UTM zone 32, on its central meridian */
static const double FALL = 0.5548;                                         /* 2^-0.85 an octave */

static double random_at(uint32_t x, uint32_t y) { /* -1..1 */
  uint64_t h = ((uint64_t)x << 32 | y) * 0x9E3779B97F4A7C15u;
  h = (h ^ h >> 29) * 0xBF58476D1CE4E5B9u;
  return (double)(h >> 11) / 4503599627370496.0 - 1.0;
}

typedef struct terrain {
  uint32_t side;
  float *height;
} terrain;

static float *at(const terrain *t, uint32_t x, uint32_t y) {
  uint32_t mask = t->side - 1;
  return &t->height[(size_t)(y & mask) * t->side + (x & mask)];
}

static void set(const terrain *t, uint32_t x, uint32_t y, float four, double spread) {
  *at(t, x, y) = 0.25f * four + (float)(spread * random_at(x, y));
}

static void raise_hills(const terrain *t) {
  double spread = 1.0;
  for (uint32_t step = t->side, half = step / 2; half > 0; step = half, half /= 2, spread *= FALL) {
    for (uint32_t y = half; y < t->side; y += step) /* middles of the squares */
      for (uint32_t x = half; x < t->side; x += step)
        set(t, x, y,
            *at(t, x - half, y - half) + *at(t, x + half, y - half) + *at(t, x - half, y + half) +
                *at(t, x + half, y + half),
            spread);
    for (uint32_t y = 0; y < t->side; y += half) /* middles of their sides */
      for (uint32_t x = (y / half) % 2 == 0 ? half : 0; x < t->side; x += step)
        set(t, x, y, *at(t, x - half, y) + *at(t, x + half, y) + *at(t, x, y - half) + *at(t, x, y + half),
            0.7 * spread);
  }
}

static void scale_to(const terrain *t, double relief_m) {
  size_t n = (size_t)t->side * t->side;
  float low = INFINITY, high = -INFINITY;
  for (size_t i = 0; i < n; i++) low = fminf(low, t->height[i]), high = fmaxf(high, t->height[i]);
  for (size_t i = 0; i < n; i++) t->height[i] = (t->height[i] - low) / (high - low) * (float)relief_m;
}

static int write_file(const terrain *t, const char *path, const char *crs) {
  GDALAllRegister();
  int side = (int)t->side;
  char *options[] = {"TILED=YES", "BIGTIFF=IF_SAFER", NULL};
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("GTiff"), path, side, side, 1, GDT_Float32, options);
  OGRSpatialReferenceH reference = OSRNewSpatialReference(NULL);
  char *wkt = NULL;
  if (file == NULL || OSRSetFromUserInput(reference, crs) != OGRERR_NONE || OSRExportToWkt(reference, &wkt) != 0)
    return 1;
  double centre = 0.5 * side * CELL_M;
  double corner[6] = {EAST_M - centre, CELL_M, 0.0, NORTH_M + centre, 0.0, -CELL_M};
  if (strcmp(crs, "EPSG:32632") != 0) corner[0] = -centre, corner[3] = centre; /* a plane about the beacon */
  GDALSetGeoTransform(file, corner);
  GDALSetProjection(file, wkt);
  CPLErr error =
      GDALRasterIO(GDALGetRasterBand(file, 1), GF_Write, 0, 0, side, side, t->height, side, side, GDT_Float32, 0, 0);
  GDALClose(file);
  OSRDestroySpatialReference(reference);
  VSIFree(wkt);
  return error != CE_None;
}

int main(int argc, char **argv) {
  uint32_t side = argc > 2 ? (uint32_t)strtoul(argv[1], NULL, 10) : 0;
  if (side < 64 || (side & (side - 1)) != 0) {
    fprintf(stderr, "make_terrain SIDE FILE [RELIEF_M] [CRS]: SIDE is a power of two, 64 or more\n");
    return 2;
  }
  terrain t = {side, calloc((size_t)side * side, sizeof(float))};
  if (t.height == NULL) return 1;
  raise_hills(&t);
  scale_to(&t, argc > 3 ? strtod(argv[3], NULL) : 1200.0);
  int failed = write_file(&t, argv[2], argc > 4 ? argv[4] : "EPSG:32632");
  free(t.height);
  return failed;
}
