#include "ground/memory_raster.h"

#include <cpl_string.h>
#include <string.h>

GDALDatasetH es_memory_raster(void *pixels, GDALDataType type, int cols, int rows, const char *crs,
                              const double gt[6]) {
  GDALDriverH driver = GDALGetDriverByName("MEM");
  GDALDatasetH raster = driver != NULL ? GDALCreate(driver, "", cols, rows, 0, type, NULL) : NULL;
  if (raster == NULL) return NULL;
  char pointer[32] = "";
  CPLPrintPointer(pointer, pixels, sizeof pointer - 1);
  char **settings = CSLSetNameValue(NULL, "DATAPOINTER", pointer);
  double where[6];
  memcpy(where, gt, sizeof where);
  bool ok = GDALAddBand(raster, type, settings) == CE_None && GDALSetGeoTransform(raster, where) == CE_None &&
            (crs == NULL || GDALSetProjection(raster, crs) == CE_None);
  CSLDestroy(settings);
  if (ok) return raster;
  GDALClose(raster);
  return NULL;
}
