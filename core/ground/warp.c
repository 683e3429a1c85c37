#include "ground/warp.h"

#include <cpl_string.h>
#include <gdal_alg.h>
#include <gdalwarper.h>
#include <math.h>

#include "ground/memory_raster.h"

static const double TRANSFORM_ERROR_PIXELS = 0.02;

static void set_missing(GDALWarpOptions *options, GDALRasterBandH band) {
  int given = 0;
  double nodata = GDALGetRasterNoDataValue(band, &given);
  options->padfDstNoDataReal = CPLMalloc(sizeof(double));
  options->padfDstNoDataReal[0] = NAN;
  options->papszWarpOptions = CSLSetNameValue(options->papszWarpOptions, "INIT_DEST", "NO_DATA");
  options->papszWarpOptions = CSLSetNameValue(options->papszWarpOptions, "NUM_THREADS", "ALL_CPUS");
  if (!given) return;
  options->padfSrcNoDataReal = CPLMalloc(sizeof(double));
  options->padfSrcNoDataReal[0] = nodata;
}

static GDALWarpOptions *make_options(GDALDatasetH from, GDALDatasetH to, bool nearest) {
  GDALWarpOptions *options = GDALCreateWarpOptions();
  options->hSrcDS = from;
  options->hDstDS = to;
  options->eResampleAlg = nearest ? GRA_NearestNeighbour : GRA_Bilinear;
  options->eWorkingDataType = GDT_Float32;
  options->nBandCount = 1;
  options->panSrcBands = CPLMalloc(sizeof(int));
  options->panDstBands = CPLMalloc(sizeof(int));
  options->panSrcBands[0] = options->panDstBands[0] = 1;
  set_missing(options, GDALGetRasterBand(from, 1));
  return options;
}

static bool run(GDALWarpOptions *options, int cols, int rows) {
  GDALWarpOperationH operation = GDALCreateWarpOperation(options);
  if (operation == NULL) return false;
  bool ok = GDALChunkAndWarpImage(operation, 0, 0, cols, rows) == CE_None;
  GDALDestroyWarpOperation(operation);
  return ok;
}

static void *make_transformer(GDALDatasetH from, GDALDatasetH to, const char *from_crs, const char *to_crs) {
  char **settings = CSLSetNameValue(NULL, "SRC_SRS", from_crs);
  settings = CSLSetNameValue(settings, "DST_SRS", to_crs);
  void *transformer = GDALCreateGenImgProjTransformer2(from, to, settings);
  CSLDestroy(settings);
  return transformer;
}

bool es_warp(GDALDatasetH from, const char *from_crs, const char *to_crs, const double to_gt[6], int cols, int rows,
             bool nearest, float *values) {
  for (size_t i = 0; i < (size_t)cols * (size_t)rows; i++) values[i] = NAN;
  GDALDatasetH to = es_memory_raster(values, GDT_Float32, cols, rows, to_crs, to_gt);
  void *exact = to != NULL ? make_transformer(from, to, from_crs, to_crs) : NULL;
  void *quick =
      exact != NULL ? GDALCreateApproxTransformer(GDALGenImgProjTransform, exact, TRANSFORM_ERROR_PIXELS) : NULL;
  bool ok = false;
  if (quick != NULL) {
    GDALWarpOptions *options = make_options(from, to, nearest);
    options->pfnTransformer = GDALApproxTransform;
    options->pTransformerArg = quick;
    ok = run(options, cols, rows);
    GDALDestroyWarpOptions(options);
  }
  if (quick != NULL) GDALDestroyApproxTransformer(quick);
  if (exact != NULL) GDALDestroyGenImgProjTransformer(exact);
  if (to != NULL) GDALClose(to);
  return ok;
}
