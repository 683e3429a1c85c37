/* layer.c - one raster of the island: GeoTIFF, tiled, ZSTD with differences (PREDICTOR=2), EPSG:4326.                     */
#include "files.h"

#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NODATA (-32768)

const void *layer_first_pixel(const layer *l) {
  size_t at = ((size_t)l->row * SIDE + (size_t)l->col) * (size_t)GDALGetDataTypeSizeBytes(l->type);
  return (const char *)l->pixels + at;
}

void layer_describe(GDALDatasetH file, const layer *l) {
  double half = 0.5 / STEPS_PER_DEGREE;
  double step = 1.0 / STEPS_PER_DEGREE;
  double corner[6] = {WEST_DEG + l->col * step - half, step, 0.0, NORTH_DEG - l->row * step + half, 0.0, -step};
  OGRSpatialReferenceH wgs84 = OSRNewSpatialReference(NULL);
  OSRImportFromEPSG(wgs84, 4326);
  OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
  GDALSetSpatialRef(file, wgs84);
  GDALSetGeoTransform(file, corner);
  GDALSetMetadataItem(file, "TIFFTAG_IMAGEDESCRIPTION", l->what, NULL);
  OSRDestroySpatialReference(wgs84);
}

bool layer_write(const layer *l, const char *folder) {
  char path[1024];
  snprintf(path, sizeof path, "%s/%s", folder, l->name);
  const char *const options[] = {"TILED=YES", "COMPRESS=ZSTD", "ZSTD_LEVEL=19", "PREDICTOR=2", NULL};
  GDALDatasetH file =
      GDALCreate(GDALGetDriverByName("GTiff"), path, l->side, l->side, 1, l->type, (char **)(uintptr_t)options);
  if (!file) return false;
  layer_describe(file, l);
  GDALRasterBandH band = GDALGetRasterBand(file, 1);
  int bytes = GDALGetDataTypeSizeBytes(l->type);
  if (l->type == GDT_Int16) GDALSetRasterNoDataValue(band, NODATA);
  CPLErr wrote = GDALRasterIO(band, GF_Write, 0, 0, l->side, l->side, (void *)(uintptr_t)layer_first_pixel(l), l->side,
                              l->side, l->type, bytes, bytes * SIDE);
  GDALClose(file);
  return wrote == CE_None;
}

static bool same_pixels(const layer *l, const void *stored) {
  size_t bytes = (size_t)GDALGetDataTypeSizeBytes(l->type);
  for (int row = 0; row < l->side; row++) {
    const char *made = (const char *)layer_first_pixel(l) + (size_t)row * SIDE * bytes;
    if (memcmp(made, (const char *)stored + (size_t)row * (size_t)l->side * bytes, (size_t)l->side * bytes) != 0)
      return false;
  }
  return true;
}

bool layer_check(const layer *l, const char *folder) {
  char path[1024];
  snprintf(path, sizeof path, "%s/%s", folder, l->name);
  GDALDatasetH file = GDALOpen(path, GA_ReadOnly);
  if (!file) return false;
  bool same = GDALGetRasterXSize(file) == l->side && GDALGetRasterYSize(file) == l->side;
  void *stored = same ? malloc((size_t)l->side * (size_t)l->side * sizeof(int16_t)) : NULL;
  same = stored && GDALRasterIO(GDALGetRasterBand(file, 1), GF_Read, 0, 0, l->side, l->side, stored, l->side, l->side,
                                l->type, 0, 0) == CE_None;
  same = same && same_pixels(l, stored);
  free(stored);
  GDALClose(file);
  printf("%s: %s\n", l->name, same ? "same pixels" : "DIFFERENT");
  return same;
}
