#include "output/map_raster.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <errno.h>
#include <gdal.h>
#include <math.h>
#include <ogr_srs_api.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ground/drivers.h"
#include "output/files.h"

typedef struct layer {
  const es_frame *frame;
  const float *values;
  const char *description, *unit;
  const char *const *keys, *const *texts;
  size_t n_meta;
  int threads;
  const uint8_t *classes; /* in place of values: bytes with a table of colours */
  GDALColorTableH colours;
} layer;

enum { NO_CLASS = 255 };

/* The values as they lie in memory, nothing copied; the dataset only reads them. */
static bool add_band(GDALDatasetH memory, const layer *l) {
  char pointer[64];
  int n = CPLPrintPointer(pointer, l->classes != NULL ? (void *)(uintptr_t)l->classes : (void *)(uintptr_t)l->values,
                          sizeof pointer - 1);
  pointer[n] = '\0';
  char **options = CSLSetNameValue(NULL, "DATAPOINTER", pointer);
  bool ok = GDALAddBand(memory, l->classes != NULL ? GDT_Byte : GDT_Float32, options) == CE_None;
  CSLDestroy(options);
  if (!ok) return false;
  GDALRasterBandH band = GDALGetRasterBand(memory, 1);
  GDALSetDescription(band, l->description);
  GDALSetRasterUnitType(band, l->unit);
  if (l->classes == NULL) return GDALSetRasterNoDataValue(band, NAN) == CE_None;
  return GDALSetRasterColorInterpretation(band, GCI_PaletteIndex) == CE_None &&
         GDALSetRasterColorTable(band, l->colours) == CE_None && GDALSetRasterNoDataValue(band, NO_CLASS) == CE_None;
}

/* The beacon's own plane has no name; a map program shows one. */
static bool place(GDALDatasetH memory, const es_frame *f) {
  double corner[6] = {f->x0, f->cell_m, 0.0, f->y0, 0.0, -f->cell_m};
  OGRSpatialReferenceH plane = OSRNewSpatialReference(f->wkt);
  const char *name = OSRGetName(plane);
  if (name != NULL && strcmp(name, "unknown") == 0) OSRSetProjCS(plane, "Azimuthal equidistant about the beacon");
  bool ok = GDALSetGeoTransform(memory, corner) == CE_None && GDALSetSpatialRef(memory, plane) == CE_None;
  OSRDestroySpatialReference(plane);
  return ok;
}

static GDALDatasetH in_memory(const layer *l) {
  GDALDriverH driver = GDALGetDriverByName("MEM");
  if (driver == NULL) return NULL;
  GDALDatasetH memory = GDALCreate(driver, "", l->frame->cols, l->frame->rows, 0, GDT_Byte, NULL);
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

/* Halves until one tile holds it all, as the driver would make them: but from a file of their own, written for nothing. */
static bool add_overviews(GDALDatasetH memory, const es_frame *f) {
  enum { TILE = 512, MOST = 16 };
  int halves[MOST], n = 0;
  for (int by = 2; n < MOST && (f->cols > TILE * (by / 2) || f->rows > TILE * (by / 2)); by *= 2) halves[n++] = by;
  return n == 0 || GDALBuildOverviews(memory, "NEAREST", n, halves, 0, NULL, NULL, NULL) == CE_None;
}

static bool write_file(const char *path, const layer *l) {
  es_drivers_start();
  GDALDriverH driver = GDALGetDriverByName("COG");
  GDALDatasetH memory = driver != NULL ? in_memory(l) : NULL;
  if (memory == NULL) return false;
  char **options = cog_options(l->threads);
  GDALDatasetH file =
      add_overviews(memory, l->frame) ? GDALCreateCopy(driver, path, memory, FALSE, options, NULL, NULL) : NULL;
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

static int32_t write_layer(const char *path, const layer *l, es_error *err) {
  if (l->frame->wkt == NULL) return es_fail(err, ES_E_INPUT, "%s: the map's frame has no CRS, want one", path);
  CPLPushErrorHandler(CPLQuietErrorHandler);
  CPLSetThreadLocalConfigOption("GDAL_PAM_ENABLED", "NO"); /* no side file: all that is said is in the TIFF */
  int32_t status = write_whole(path, l, err);
  CPLSetThreadLocalConfigOption("GDAL_PAM_ENABLED", NULL);
  CPLPopErrorHandler();
  return status;
}

int32_t es_map_raster_write(const char *path, const es_frame *frame, const float *values, const char *description,
                            const char *unit, const char *const *keys, const char *const *texts, size_t n_meta,
                            int threads, es_error *err) {
  layer l = {.frame = frame,
             .values = values,
             .description = description,
             .unit = unit,
             .keys = keys,
             .texts = texts,
             .n_meta = n_meta,
             .threads = threads};
  return write_layer(path, &l, err);
}

static bool read_band(GDALDatasetH file, const es_frame *f, float *values) {
  return file != NULL && GDALGetRasterCount(file) == 1 && GDALGetRasterXSize(file) == f->cols &&
         GDALGetRasterYSize(file) == f->rows &&
         GDALRasterIO(GDALGetRasterBand(file, 1), GF_Read, 0, 0, f->cols, f->rows, values, f->cols, f->rows,
                      GDT_Float32, 0, 0) == CE_None;
}

int32_t es_map_raster_read(const char *path, const es_frame *frame, float *values, es_error *err) {
  static const char *const drivers[] = {"GTiff", NULL}, *const beside[] = {
                                                            NULL}; /* what it names elsewhere is not read */
  es_drivers_start();
  CPLPushErrorHandler(CPLQuietErrorHandler);
  GDALDatasetH file = GDALOpenEx(path, GDAL_OF_RASTER, drivers, NULL, beside);
  bool ok = read_band(file, frame, values);
  int32_t status = ok ? ES_OK : es_fail(err, ES_E_FILE, "%s: cannot be read as a map (%s)", path, CPLGetLastErrorMsg());
  if (file != NULL) GDALClose(file);
  CPLPopErrorHandler();
  return status;
}

/* --- classes ----------------------------------------------------------------------------------------------------------------- */

static void fill_colours(GDALColorTableH table, const es_palette *palette, es_map_kind kind) {
  es_map_paint paints[ES_MAP_CLASSES_MAX];
  size_t n;
  es_map_steps(kind, &n);
  es_map_paints(palette, kind, paints);
  for (size_t k = 0; k < n; k++)
    GDALSetColorEntry(table, (int)k, &(GDALColorEntry){paints[k].land.r, paints[k].land.g, paints[k].land.b, 255});
  GDALSetColorEntry(table, NO_CLASS, &(GDALColorEntry){255, 255, 255, 0});
}

/* What each byte means, as metadata: the format keeps no names of classes. */
typedef struct meanings {
  char key[ES_MAP_CLASSES_MAX][40], text[ES_MAP_CLASSES_MAX][96];
  const char *keys[ES_MAP_CLASSES_MAX], *texts[ES_MAP_CLASSES_MAX];
  size_t n;
} meanings;

static void name_classes(es_map_kind kind, meanings *m) {
  const es_map_step *steps = es_map_steps(kind, &m->n);
  for (size_t k = 0; k < m->n; k++) {
    snprintf(m->key[k], sizeof m->key[k], "EARSHOT_CLASS_%zu", k);
    snprintf(m->text[k], sizeof m->text[k], "%s: %s", steps[k].word, steps[k].range);
    m->keys[k] = m->key[k];
    m->texts[k] = m->text[k];
  }
}

int32_t es_map_classes_write(const char *path, const es_frame *frame, es_map_kind kind, const float *values,
                             int threads, es_error *err) {
  es_palette palette;
  int32_t status = es_palette_load(&palette, err);
  if (status != ES_OK) return status;
  size_t n = (size_t)frame->cols * (size_t)frame->rows;
  uint8_t *classes = malloc(n);
  GDALColorTableH colours = GDALCreateColorTable(GPI_RGB);
  if (classes == NULL || colours == NULL) status = es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  if (status == ES_OK) {
    for (size_t i = 0; i < n; i++) {
      int class = es_map_class(kind, (double)values[i]);
      classes[i] = class < 0 ? NO_CLASS : (uint8_t) class;
    }
    fill_colours(colours, &palette, kind);
    meanings m;
    name_classes(kind, &m);
    layer l = {.frame = frame,
               .description = es_map_quantity(kind),
               .unit = "class",
               .keys = m.keys,
               .texts = m.texts,
               .n_meta = m.n,
               .threads = threads,
               .classes = classes,
               .colours = colours};
    status = write_layer(path, &l, err);
  }
  if (colours != NULL) GDALDestroyColorTable(colours);
  free(classes);
  return status;
}
