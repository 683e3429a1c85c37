/* contours.c - where each mode is enough, as polygons in a GeoPackage [GDAL, OGR]. */
#include "output/contours.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_string.h>
#include <gdal.h>
#include <gdal_alg.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "output/files.h"
#include "output/globe.h"
#include "output/map_class.h"

static const char FIXED_DATE[] = "2000-01-01T00:00:00.000Z";
static const float NOTHING = -999.0f; /* in place of NaN, which the contouring does not know */

enum { ID, MODE, FROM, TO, WORDS, COLOUR };

static bool place(GDALDatasetH memory, const es_frame *f) {
  double corner[6] = {f->x0, f->cell_m, 0.0, f->y0, 0.0, -f->cell_m};
  return GDALSetGeoTransform(memory, corner) == CE_None && GDALSetProjection(memory, f->wkt) == CE_None;
}

static GDALDatasetH levels_in_memory(const es_frame *f, const float *values) {
  GDALDatasetH memory = GDALCreate(GDALGetDriverByName("MEM"), "", f->cols, f->rows, 1, GDT_Float32, NULL);
  if (memory == NULL) return NULL;
  GDALRasterBandH band = GDALGetRasterBand(memory, 1);
  float *row = malloc((size_t)f->cols * sizeof *row);
  bool ok = row != NULL && place(memory, f) && GDALSetRasterNoDataValue(band, (double)NOTHING) == CE_None;
  for (int r = 0; ok && r < f->rows; r++) {
    const float *from = values + (size_t)r * (size_t)f->cols;
    for (int c = 0; c < f->cols; c++) row[c] = isnan(from[c]) ? NOTHING : from[c];
    ok = GDALRasterIO(band, GF_Write, 0, r, f->cols, 1, row, f->cols, 1, GDT_Float32, 0, 0) == CE_None;
  }
  free(row);
  if (ok) return memory;
  GDALClose(memory);
  return NULL;
}

static bool add_fields(OGRLayerH layer) {
  static const struct {
    const char *name;
    OGRFieldType type;
  } fields[] = {
      {"id", OFTInteger},        {"mode", OFTString},  {"snr_2500hz_from_db", OFTReal}, {"snr_2500hz_to_db", OFTReal},
      {"mode_words", OFTString}, {"colour", OFTString}};
  for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
    OGRFieldDefnH field = OGR_Fld_Create(fields[i].name, fields[i].type);
    OGRErr failed = OGR_L_CreateField(layer, field, FALSE);
    OGR_Fld_Destroy(field);
    if (failed != OGRERR_NONE) return false;
  }
  return true;
}

static OGRLayerH add_layer(GDALDatasetH file, const char *wkt) {
  OGRSpatialReferenceH srs = wkt != NULL ? OSRNewSpatialReference(wkt) : OSRNewSpatialReference(NULL);
  if (wkt == NULL) OSRImportFromEPSG(srs, 4326);
  OSRSetAxisMappingStrategy(srs, OAMS_TRADITIONAL_GIS_ORDER);
  OGRLayerH layer = GDALDatasetCreateLayer(file, "coverage", srs, wkbMultiPolygon, NULL);
  OSRDestroySpatialReference(srs);
  return layer != NULL && add_fields(layer) ? layer : NULL;
}

static bool contour(GDALDatasetH memory, OGRLayerH layer, const es_contour_level *levels, size_t n) {
  char list[1024] = "";
  for (size_t i = 0; i < n; i++) {
    size_t used = strlen(list);
    snprintf(list + used, sizeof list - used, "%s%.6g", i > 0 ? "," : "", levels[i].from_db);
  }
  char **options = CSLSetNameValue(NULL, "FIXED_LEVELS", list);
  options = CSLSetNameValue(options, "ID_FIELD", "0");
  options = CSLSetNameValue(options, "ELEV_FIELD_MIN", "2");
  options = CSLSetNameValue(options, "ELEV_FIELD_MAX", "3");
  options = CSLSetNameValue(options, "NODATA", "-999");
  options = CSLSetNameValue(options, "POLYGONIZE", "YES");
  CPLErr failed = GDALContourGenerateEx(GDALGetRasterBand(memory, 1), layer, options, NULL, NULL);
  CSLDestroy(options);
  return failed == CE_None;
}

/* The mode whose need is the polygon's lower edge; below the lowest there is none. */
static const es_contour_level *level_at(const es_contour_level *levels, size_t n, double from_db) {
  for (size_t i = 0; i < n; i++)
    if (fabs(levels[i].from_db - from_db) < 1e-6) return &levels[i];
  return NULL;
}

/* That of the level map's class in the middle of the band; of the highest band, which has no upper edge, at its lower. */
static void colour_text(const es_map_paint paints[ES_MAP_CLASSES_MAX], double from_db, double to_db, char out[8]) {
  es_rgb c = paints[es_map_class(ES_MAP_LEVEL, isnan(to_db) ? from_db : 0.5 * (from_db + to_db))].land;
  snprintf(out, 8, "#%02X%02X%02X", c.r, c.g, c.b);
}

/* to_db: the need of the next mode, NaN for the highest. GDAL writes a number of its own there (2^32 - 1 or the maximum). */
static bool copy_polygon(OGRFeatureH from, OGRLayerH to, const es_globe *globe, const es_contour_level *level,
                         double to_db, const es_map_paint paints[ES_MAP_CLASSES_MAX]) {
  OGRFeatureH row = OGR_F_Create(OGR_L_GetLayerDefn(to));
  OGRGeometryH shape = es_globe_polygons(globe, OGR_F_StealGeometry(from));
  bool ok = row != NULL && shape != NULL;
  OGR_F_SetFieldInteger(row, ID, OGR_F_GetFieldAsInteger(from, ID));
  OGR_F_SetFieldString(row, MODE, level->name);
  OGR_F_SetFieldString(row, WORDS, level->words);
  OGR_F_SetFieldDouble(row, FROM, level->from_db);
  if (!isnan(to_db)) OGR_F_SetFieldDouble(row, TO, to_db);
  char colour[8];
  colour_text(paints, level->from_db, to_db, colour);
  OGR_F_SetFieldString(row, COLOUR, colour);
  OGR_F_SetGeometryDirectly(row, shape);
  ok = ok && OGR_L_CreateFeature(to, row) == OGRERR_NONE;
  OGR_F_Destroy(row);
  return ok;
}

static bool copy_polygons(OGRLayerH from, OGRLayerH to, const es_frame *frame, const es_contour_level *levels,
                          size_t n) {
  es_palette palette;
  es_map_paint paints[ES_MAP_CLASSES_MAX];
  es_globe *globe = es_globe_open(frame->wkt, frame->beacon, es_frame_reach(frame));
  bool ok = globe != NULL && es_palette_load(&palette, NULL) == ES_OK && OGR_L_StartTransaction(to) == OGRERR_NONE;
  if (ok) es_map_paints(&palette, ES_MAP_LEVEL, paints);
  OGR_L_ResetReading(from);
  for (OGRFeatureH f; ok && (f = OGR_L_GetNextFeature(from)) != NULL; OGR_F_Destroy(f)) {
    const es_contour_level *level = level_at(levels, n, OGR_F_GetFieldAsDouble(f, FROM));
    double to_db = level != NULL && level + 1 < levels + n ? level[1].from_db : NAN;
    if (level != NULL) ok = copy_polygon(f, to, globe, level, to_db, paints);
  }
  es_globe_close(globe);
  return ok && OGR_L_CommitTransaction(to) == OGRERR_NONE;
}

static bool write_file(const char *path, const es_frame *frame, const float *snr_db, const es_contour_level *levels,
                       size_t n) {
  GDALAllRegister();
  GDALDatasetH memory = levels_in_memory(frame, snr_db);
  GDALDatasetH plane = GDALCreate(GDALGetDriverByName("Memory"), "", 0, 0, 0, GDT_Unknown, NULL);
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("GPKG"), path, 0, 0, 0, GDT_Unknown, NULL);
  bool ok = memory != NULL && plane != NULL && file != NULL;
  OGRLayerH from = ok ? add_layer(plane, frame->wkt) : NULL, to = ok ? add_layer(file, NULL) : NULL;
  ok = from != NULL && to != NULL && contour(memory, from, levels, n) && copy_polygons(from, to, frame, levels, n);
  if (memory != NULL) GDALClose(memory);
  if (plane != NULL) GDALClose(plane);
  if (ok) CPLErrorReset(); /* closing reports through the last error only */
  if (file != NULL) GDALClose(file);
  return ok && CPLGetLastErrorType() < CE_Failure;
}

int32_t es_contours_write(const char *path, const es_frame *frame, const float *snr_db, const es_contour_level *levels,
                          size_t n_levels, es_error *err) {
  char *temporary = es_file_begin(path);
  if (temporary == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be written", path);
  unlink(temporary); /* the driver wants to make the file itself */
  CPLPushErrorHandler(CPLQuietErrorHandler);
  CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", FIXED_DATE);
  int32_t status;
  if (write_file(temporary, frame, snr_db, levels, n_levels)) {
    status = es_file_finish(temporary, path, err);
  } else {
    status = es_fail(err, ES_E_FILE, "%s: cannot be written as GeoPackage (%s)", path, CPLGetLastErrorMsg());
    es_file_abandon(temporary);
  }
  CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", NULL);
  CPLPopErrorHandler();
  free(temporary);
  return status;
}
