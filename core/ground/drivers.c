#include "ground/drivers.h"

#include <cpl_conv.h>
#include <gdal.h>

enum { CACHE_MB = 64 };

void es_drivers_start(void) {
  GDALAllRegister();
  if (CPLGetConfigOption("GDAL_CACHEMAX", NULL) == NULL) GDALSetCacheMax64((GIntBig)CACHE_MB << 20);
}
