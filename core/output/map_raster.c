#include "output/map_raster.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <errno.h>
#include <gdal.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/files.h"

typedef struct layer {
  const es_frame *frame;
  const float *values;
  const char *description, *unit;
  const char *const *keys, *const *texts;
  size_t n_meta;
  int threads;
} layer;

/* The values as they lie in memory, nothing copied; the dataset only reads them. */
static bool add_band(GDALDatasetH memory, const layer *l) {
  char pointer[64];
  int n = CPLPrintPointer(pointer, (void *)(uintptr_t)l->values, sizeof pointer - 1);
  pointer[n] = '\0';
  char **options = CSLSetNameValue(NULL, "DATAPOINTER", pointer);
  bool ok = GDALAddBand(memory, GDT_Float32, options) == CE_None;
  CSLDestroy(options);
  if (!ok) return false;
  GDALRasterBandH band = GDALGetRasterBand(memory, 1);
  GDALSetDescription(band, l->description);
  GDALSetRasterUnitType(band, l->unit);
  return GDALSetRasterNoDataValue(band, NAN) == CE_None;
}

static bool place(GDALDatasetH memory, const es_frame *f) {
  double corner[6] = {f->x0, f->cell_m, 0.0, f->y0, 0.0, -f->cell_m};
  return GDALSetGeoTransform(memory, corner) == CE_None && GDALSetProjection(memory, f->wkt) == CE_None;
}

static GDALDatasetH in_memory(const layer *l) {
  GDALDriverH driver = GDALGetDriverByName("MEM");
  if (driver == NULL) return NULL;
  GDALDatasetH memory = GDALCreate(driver, "", l->frame->cols, l->frame->rows, 0, GDT_Float32, NULL);
  if (memory == NULL) return NULL;
  bool ok = place(memory, l->frame) && add_band(memory, l);
  for (size_t i = 0; ok && i < l->n_meta; i++)
    ok = GDALSetMetadataItem(memory, l->keys[i], l->texts[i], NULL) == CE_None;
  if (ok) return memory;
  GDALClose(memory);
  return NULL;
}

/* Overviews take the nearest cell: a mean of levels in dB, or of ways, would mean nothing. */
static char **cog_options(int threads) {
  char count[16];
  snprintf(count, sizeof count, "%d", threads < 1 ? 1 : threads);
  char **options = CSLSetNameValue(NULL, "COMPRESS", "DEFLATE");
  options = CSLSetNameValue(options, "LEVEL", "1"); /* a third of the time; levels in dB do not pack better for more */
  options = CSLSetNameValue(options, "PREDICTOR", "YES");
  options = CSLSetNameValue(options, "OVERVIEW_RESAMPLING", "NEAREST");
  options = CSLSetNameValue(options, "BIGTIFF", "IF_SAFER");
  return CSLSetNameValue(options, "NUM_THREADS", count);
}

static bool write_file(const char *path, const layer *l) {
  GDALAllRegister();
  GDALDriverH driver = GDALGetDriverByName("COG");
  GDALDatasetH memory = driver != NULL ? in_memory(l) : NULL;
  if (memory == NULL) return false;
  char **options = cog_options(l->threads);
  GDALDatasetH file = GDALCreateCopy(driver, path, memory, FALSE, options, NULL, NULL);
  CSLDestroy(options);
  bool ok = file != NULL;
  if (ok) {
    CPLErrorReset(); /* closing reports through the last error only */
    GDALClose(file);
    ok = CPLGetLastErrorType() < CE_Failure;
  }
  GDALClose(memory);
  return ok;
}

static int32_t write_whole(const char *path, const layer *l, es_error *err) {
  char *temporary = es_file_begin(path);
  if (temporary == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
  int32_t status;
  if (write_file(temporary, l)) {
    status = es_file_finish(temporary, path, err);
  } else {
    status = es_fail(err, ES_E_FILE, "%s: cannot be written as GeoTIFF (%s)", path, CPLGetLastErrorMsg());
    es_file_abandon(temporary);
  }
  free(temporary);
  return status;
}

int32_t es_map_raster_write(const char *path, const es_frame *frame, const float *values, const char *description,
                            const char *unit, const char *const *keys, const char *const *texts, size_t n_meta,
                            int threads, es_error *err) {
  if (frame->wkt == NULL) return es_fail(err, ES_E_INPUT, "%s: the map's frame has no CRS, want one", path);
  layer l = {frame, values, description, unit, keys, texts, n_meta, threads};
  CPLPushErrorHandler(CPLQuietErrorHandler);
  CPLSetThreadLocalConfigOption("GDAL_PAM_ENABLED", "NO"); /* no side file: all that is said is in the TIFF */
  int32_t status = write_whole(path, &l, err);
  CPLSetThreadLocalConfigOption("GDAL_PAM_ENABLED", NULL);
  CPLPopErrorHandler();
  return status;
}
