/* contours.c - where each mode is enough, as polygons in a GeoPackage [GDAL, OGR].
 *
 *   levels of cells -> number of the highest need that is reached -> borders between numbers -> one shape a number -> WGS 84
 *
 * Borders run along the edges of cells, so that a polygon's area is that of its cells; between two cells a map may jump by
 * tens of dB, and a line drawn by proportion would say more than is known.                                               */
#include "output/contours.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <gdal.h>
#include <gdal_alg.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "ground/drivers.h"
#include "output/files.h"
#include "output/globe.h"
#include "output/map_class.h"

static const char FIXED_DATE[] = "2000-01-01T00:00:00.000Z";
static const double STRAIGHT_CELLS =
    16.0; /* a border of the plane is no straight line on the globe: it gets a corner each */

enum { ID, MODE, FROM, TO, WORDS, COLOUR };

static bool place(GDALDatasetH memory, const es_frame *f) {
  double corner[6] = {f->x0, f->cell_m, 0.0, f->y0, 0.0, -f->cell_m};
  return GDALSetGeoTransform(memory, corner) == CE_None && GDALSetProjection(memory, f->wkt) == CE_None;
}

/* How many of the levels a value reaches; 0 where there is none. */
static uint8_t reached(float value, const es_contour_level *levels, size_t n) {
  uint8_t k = 0;
  while (k < n && (double)value >= levels[k].from_db) k++;
  return k;
}

static GDALDatasetH bands_in_memory(const es_frame *f, const float *values, const es_contour_level *levels, size_t n) {
  GDALDatasetH memory = GDALCreate(GDALGetDriverByName("MEM"), "", f->cols, f->rows, 1, GDT_Byte, NULL);
  if (memory == NULL) return NULL;
  uint8_t *row = malloc((size_t)f->cols);
  bool ok = row != NULL && place(memory, f);
  for (int r = 0; ok && r < f->rows; r++) {
    const float *from = values + (size_t)r * (size_t)f->cols;
    for (int c = 0; c < f->cols; c++) row[c] = reached(from[c], levels, n);
    ok = GDALRasterIO(GDALGetRasterBand(memory, 1), GF_Write, 0, r, f->cols, 1, row, f->cols, 1, GDT_Byte, 0, 0) ==
         CE_None;
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

static OGRLayerH add_layer(GDALDatasetH file) {
  OGRSpatialReferenceH srs = OSRNewSpatialReference(NULL);
  OSRImportFromEPSG(srs, 4326);
  OSRSetAxisMappingStrategy(srs, OAMS_TRADITIONAL_GIS_ORDER);
  OGRLayerH layer = GDALDatasetCreateLayer(file, "coverage", srs, wkbMultiPolygon, NULL);
  OSRDestroySpatialReference(srs);
  return layer != NULL && add_fields(layer) ? layer : NULL;
}

/* --- shapes in the plane ----------------------------------------------------------------------------------------------------- */

/* Every connected patch of cells by itself, with its number. Numbers of 0 are no patches. */
static OGRLayerH trace(GDALDatasetH memory, GDALDatasetH plane) {
  OGRLayerH patches = GDALDatasetCreateLayer(plane, "patches", NULL, wkbPolygon, NULL);
  OGRFieldDefnH number = OGR_Fld_Create("number", OFTInteger);
  bool ok = patches != NULL && OGR_L_CreateField(patches, number, FALSE) == OGRERR_NONE;
  OGR_Fld_Destroy(number);
  GDALRasterBandH band = GDALGetRasterBand(memory, 1);
  return ok && GDALPolygonize(band, band, patches, 0, NULL, NULL, NULL) == CE_None ? patches : NULL;
}

/* One shape for each level, of all its patches. */
static bool gather(OGRLayerH patches, double straight_m, OGRGeometryH *shapes, size_t n) {
  bool ok = true;
  for (size_t i = 0; i < n; i++) ok &= (shapes[i] = OGR_G_CreateGeometry(wkbMultiPolygon)) != NULL;
  OGR_L_ResetReading(patches);
  for (OGRFeatureH f; ok && (f = OGR_L_GetNextFeature(patches)) != NULL; OGR_F_Destroy(f)) {
    size_t number = (size_t)OGR_F_GetFieldAsInteger(f, 0);
    OGRGeometryH patch = OGR_F_StealGeometry(f);
    OGR_G_Segmentize(patch, straight_m);
    ok = number >= 1 && number <= n && OGR_G_AddGeometryDirectly(shapes[number - 1], patch) == OGRERR_NONE;
  }
  return ok;
}

/* --- rows -------------------------------------------------------------------------------------------------------------------- */

/* That of the level map's class in the middle of the band; of the highest band, which has no upper edge, at its lower. */
static void colour_text(const es_map_paint paints[ES_MAP_CLASSES_MAX], double from_db, double to_db, char out[8]) {
  es_rgb c = paints[es_map_class(ES_MAP_LEVEL, isnan(to_db) ? from_db : 0.5 * (from_db + to_db))].land;
  snprintf(out, 8, "#%02X%02X%02X", c.r, c.g, c.b);
}

/* Takes the shape over. to_db: the need of the next mode, NaN for the highest. */
static bool add_row(OGRLayerH to, const es_globe *globe, OGRGeometryH plane, int id, const es_contour_level *level,
                    double to_db, const es_map_paint paints[ES_MAP_CLASSES_MAX]) {
  OGRFeatureH row = OGR_F_Create(OGR_L_GetLayerDefn(to));
  OGRGeometryH shape = es_globe_polygons(globe, plane);
  bool ok = row != NULL && shape != NULL;
  OGR_F_SetFieldInteger(row, ID, id);
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

static bool add_rows(OGRGeometryH *shapes, OGRLayerH to, const es_frame *frame, const es_contour_level *levels,
                     size_t n) {
  es_palette palette;
  es_map_paint paints[ES_MAP_CLASSES_MAX];
  es_globe *globe = es_globe_open(frame->wkt, frame->beacon, es_frame_reach(frame));
  bool ok = globe != NULL && es_palette_load(&palette, NULL) == ES_OK && OGR_L_StartTransaction(to) == OGRERR_NONE;
  if (ok) es_map_paints(&palette, ES_MAP_LEVEL, paints);
  for (size_t i = 0; ok && i < n; i++) {
    if (OGR_G_GetGeometryCount(shapes[i]) == 0) continue;
    ok = add_row(to, globe, shapes[i], (int)i + 1, &levels[i], i + 1 < n ? levels[i + 1].from_db : NAN, paints);
    shapes[i] = NULL;
  }
  es_globe_close(globe);
  return ok && OGR_L_CommitTransaction(to) == OGRERR_NONE;
}

static bool trace_into(GDALDatasetH memory, GDALDatasetH plane, OGRLayerH to, const es_frame *frame,
                       const es_contour_level *levels, size_t n) {
  OGRGeometryH *shapes = calloc(n + 1, sizeof *shapes);
  OGRLayerH patches = shapes != NULL ? trace(memory, plane) : NULL;
  bool ok = patches != NULL && gather(patches, STRAIGHT_CELLS * frame->cell_m, shapes, n) &&
            add_rows(shapes, to, frame, levels, n);
  for (size_t i = 0; shapes != NULL && i < n; i++) OGR_G_DestroyGeometry(shapes[i]);
  free(shapes);
  return ok;
}

static bool write_file(const char *path, const es_frame *frame, const float *snr_db, const es_contour_level *levels,
                       size_t n) {
  es_drivers_start();
  GDALDatasetH memory = bands_in_memory(frame, snr_db, levels, n);
  GDALDatasetH plane = GDALCreate(GDALGetDriverByName("Memory"), "", 0, 0, 0, GDT_Unknown, NULL);
  GDALDatasetH file = GDALCreate(GDALGetDriverByName("GPKG"), path, 0, 0, 0, GDT_Unknown, NULL);
  OGRLayerH to = file != NULL ? add_layer(file) : NULL;
  bool ok = memory != NULL && plane != NULL && to != NULL && trace_into(memory, plane, to, frame, levels, n);
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
