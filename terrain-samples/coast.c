/* coast.c - the coast as polygons of land. What lies outside them is sea, however far: rasters need not reach there.      */
#include "files.h"

#include <gdal_alg.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The whole elevation as a raster in memory, for the contour. */
static GDALDatasetH in_memory(const layer *whole) {
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("MEM"), "", whole->side, whole->side, 1, whole->type, NULL);
  if (!file) return NULL;
  layer_describe(file, whole);
  if (GDALRasterIO(GDALGetRasterBand(file, 1), GF_Write, 0, 0, SIDE, SIDE, (void *)(uintptr_t)layer_first_pixel(whole),
                   SIDE, SIDE, whole->type, 0, 0) == CE_None)
    return file;
  GDALClose(file);
  return NULL;
}

/* Land is what lies above COAST_M: contours between the pixels, so the coast has no stairs. */
static bool contour_land(GDALDatasetH elevation, OGRLayerH bands) {
  char level[64];
  snprintf(level, sizeof level, "FIXED_LEVELS=%.1f,9000", COAST_M);
  const char *const options[] = {level, "POLYGONIZE=YES", "ELEV_FIELD_MIN=low_m", NULL};
  return GDALContourGenerateEx(GDALGetRasterBand(elevation, 1), bands, (char **)(uintptr_t)options, NULL, NULL) ==
         CE_None;
}

static OGRLayerH new_layer(GDALDatasetH file, const char *name, OGRwkbGeometryType type) {
  OGRSpatialReferenceH wgs84 = OSRNewSpatialReference(NULL);
  OSRImportFromEPSG(wgs84, 4326);
  OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
  const char *const options[] = {"COORDINATE_PRECISION=5", NULL};
  bool stored = strcmp(name, "land") == 0;
  OGRLayerH made = GDALDatasetCreateLayer(file, name, wgs84, type, stored ? (char **)(uintptr_t)options : NULL);
  OSRDestroySpatialReference(wgs84);
  OGRFieldDefnH field = OGR_Fld_Create(stored ? "area_km2" : "low_m", OFTReal);
  if (made) OGR_L_CreateField(made, field, 1);
  OGR_Fld_Destroy(field);
  return made;
}

static bool add_polygon(OGRLayerH land, OGRGeometryH polygon) {
  OGRFeatureH feature = OGR_F_Create(OGR_L_GetLayerDefn(land));
  double area_km2 = OGR_G_Area(polygon) * KM_PER_LON_DEG * KM_PER_LAT_DEG;
  OGR_F_SetFieldDouble(feature, 0, floor(area_km2 * 100.0 + 0.5) / 100.0);
  OGR_F_SetGeometry(feature, polygon);
  bool done = OGR_L_CreateFeature(land, feature) == OGRERR_NONE;
  OGR_F_Destroy(feature);
  return done;
}

static bool copy_land(OGRLayerH bands, OGRLayerH land) {
  bool done = true;
  for (OGRFeatureH band; done && (band = OGR_L_GetNextFeature(bands)); OGR_F_Destroy(band)) {
    if (OGR_F_GetFieldAsDouble(band, 0) < COAST_M) continue;
    OGRGeometryH all = OGR_F_GetGeometryRef(band);
    for (int k = 0; done && k < OGR_G_GetGeometryCount(all); k++)
      done = add_polygon(land, OGR_G_GetGeometryRef(all, k));
  }
  return done;
}

bool coast_write(const layer *whole, const char *folder) {
  char path[1024];
  snprintf(path, sizeof path, "%s/land.geojson", folder);
  remove(path);
  GDALDatasetH elevation = in_memory(whole);
  GDALDatasetH scratch = GDALCreate(GDALGetDriverByName("Memory"), "", 0, 0, 0, GDT_Unknown, NULL);
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("GeoJSON"), path, 0, 0, 0, GDT_Unknown, NULL);
  OGRLayerH bands = scratch ? new_layer(scratch, "bands", wkbMultiPolygon) : NULL;
  OGRLayerH land = file ? new_layer(file, "land", wkbPolygon) : NULL;
  bool done = elevation && bands && land && contour_land(elevation, bands) && copy_land(bands, land);
  if (elevation) GDALClose(elevation);
  if (scratch) GDALClose(scratch);
  if (file) GDALClose(file);
  return done;
}

/* Burns land.geojson onto the island's grid and compares land and sea with the elevation, pixel by pixel. */
bool coast_check(const layer *whole, const char *folder) {
  char path[1024];
  snprintf(path, sizeof path, "%s/land.geojson", folder);
  layer blank = *whole;
  int16_t *burnt = calloc((size_t)SIDE * SIDE, sizeof *burnt);
  blank.pixels = burnt;
  GDALDatasetH mask = burnt ? in_memory(&blank) : NULL;
  GDALDatasetH file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
  OGRLayerH land = file ? GDALDatasetGetLayer(file, 0) : NULL;
  int band = 1;
  double one = 1.0;
  bool same =
      mask && land && GDALRasterizeLayers(mask, 1, &band, 1, &land, NULL, NULL, &one, NULL, NULL, NULL) == CE_None;
  same = same && GDALRasterIO(GDALGetRasterBand(mask, 1), GF_Read, 0, 0, SIDE, SIDE, burnt, SIDE, SIDE, GDT_Int16, 0,
                              0) == CE_None;
  size_t differ = 0;
  const int16_t *elevation_m = whole->pixels;
  for (size_t i = 0; same && i < (size_t)SIDE * SIDE; i++) differ += (burnt[i] != 0) != (elevation_m[i] != 0);
  if (mask) GDALClose(mask);
  if (file) GDALClose(file);
  free(burnt);
  printf("land.geojson: %zu pixels differ from the elevation's land\n", differ);
  return same && differ == 0;
}
