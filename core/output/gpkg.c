/* gpkg.c - tables as a layer of points, and of lines from the beacon, in a GeoPackage [OGR]. */
#include <cpl_conv.h>
#include <cpl_error.h>
#include <errno.h>
#include <gdal.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "ground/drivers.h"
#include "output/files.h"
#include "output/table.h"

/* The format stores when it was changed; same input, same bytes asks for a fixed date. */
static const char FIXED_DATE[] = "2000-01-01T00:00:00.000Z";

typedef struct table {
  const es_field *fields;
  size_t n_fields;
  const es_cell *cells;
  const es_lonlat *at;
  size_t n_rows;
  const es_lonlat *beacon; /* NULL: no lines */
} table;

static OGRFieldType type_of(const es_field *field) {
  if (field->kind == ES_FIELD_TEXT) return OFTString;
  return field->kind == ES_FIELD_WHOLE ? OFTInteger64 : OFTReal;
}

static bool add_fields(OGRLayerH layer, const table *t) {
  for (size_t k = 0; k < t->n_fields; k++) {
    OGRFieldDefnH field = OGR_Fld_Create(t->fields[k].name, type_of(&t->fields[k]));
    OGRErr failed = OGR_L_CreateField(layer, field, FALSE);
    OGR_Fld_Destroy(field);
    if (failed != OGRERR_NONE) return false;
  }
  return true;
}

/* Numbers carry the decimals the CSV shows, so that both tables say the same. */
static double rounded(double value, int decimals) {
  double unit = pow(10.0, decimals);
  return round(value * unit) / unit;
}

static void set_cell(OGRFeatureH row, int k, const es_field *field, const es_cell *cell) {
  if (field->kind == ES_FIELD_TEXT) {
    if (cell->text != NULL) OGR_F_SetFieldString(row, k, cell->text);
  } else if (!isnan(cell->number)) {
    if (field->kind == ES_FIELD_WHOLE)
      OGR_F_SetFieldInteger64(row, k, llround(cell->number));
    else
      OGR_F_SetFieldDouble(row, k, rounded(cell->number, field->decimals));
  }
}

static OGRGeometryH point_of(es_lonlat at) {
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, at.lon_deg, at.lat_deg);
  return point;
}

enum { LINE_PIECES = 32 };

/* Along the geodesic; a line over 180 degrees goes on past it, so that it does not run around the Earth. */
static OGRGeometryH line_of(es_lonlat beacon, es_lonlat at) {
  OGRGeometryH line = OGR_G_CreateGeometry(wkbLineString);
  es_course c = es_geodesic_between(beacon, at);
  double lon = beacon.lon_deg;
  for (int i = 0; i <= LINE_PIECES; i++) {
    es_lonlat p = es_geodesic_ahead(beacon, c.azimuth_deg, c.dist_m * i / LINE_PIECES);
    lon += remainder(p.lon_deg - lon, 360.0);
    OGR_G_AddPoint_2D(line, lon, p.lat_deg);
  }
  return line;
}

static bool add_row(OGRLayerH layer, const table *t, size_t i, bool lines) {
  OGRFeatureH row = OGR_F_Create(OGR_L_GetLayerDefn(layer));
  if (row == NULL) return false;
  for (size_t k = 0; k < t->n_fields; k++) set_cell(row, (int)k, &t->fields[k], &t->cells[i * t->n_fields + k]);
  OGR_F_SetGeometryDirectly(row, lines ? line_of(*t->beacon, t->at[i]) : point_of(t->at[i]));
  bool ok = OGR_L_CreateFeature(layer, row) == OGRERR_NONE;
  OGR_F_Destroy(row);
  return ok;
}

static bool add_layer(GDALDatasetH file, const char *name, const table *t, bool lines) {
  OGRSpatialReferenceH wgs84 = OSRNewSpatialReference(NULL);
  OGRLayerH layer = NULL;
  if (OSRImportFromEPSG(wgs84, 4326) == OGRERR_NONE) {
    OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
    layer = GDALDatasetCreateLayer(file, name, wgs84, lines ? wkbLineString : wkbPoint, NULL);
  }
  OSRDestroySpatialReference(wgs84);
  bool ok = layer != NULL && add_fields(layer, t) && OGR_L_StartTransaction(layer) == OGRERR_NONE;
  for (size_t i = 0; ok && i < t->n_rows; i++) ok = add_row(layer, t, i, lines);
  return ok && OGR_L_CommitTransaction(layer) == OGRERR_NONE;
}

static bool write_file(const char *path, const char *layer, const table *t) {
  es_drivers_start();
  GDALDriverH driver = GDALGetDriverByName("GPKG");
  if (driver == NULL) return false;
  GDALDatasetH file = GDALCreate(driver, path, 0, 0, 0, GDT_Unknown, NULL);
  if (file == NULL) return false;
  bool ok = add_layer(file, layer, t, false) && (t->beacon == NULL || add_layer(file, "lines", t, true));
  if (ok) CPLErrorReset(); /* closing reports through the last error only */
  GDALClose(file);
  return ok && CPLGetLastErrorType() < CE_Failure;
}

/* The driver wants to make the file itself; the name stays ours. */
static int32_t write_whole(const char *temporary, const char *path, const char *layer, const table *t, es_error *err) {
  unlink(temporary);
  if (write_file(temporary, layer, t)) return es_file_finish(temporary, path, err);
  int32_t status = es_fail(err, ES_E_FILE, "%s: cannot be written as GeoPackage (%s)", path, CPLGetLastErrorMsg());
  es_file_abandon(temporary);
  return status;
}

static int32_t write_table(const char *path, const char *layer, const table *t, es_error *err) {
  char *temporary = es_file_begin(path);
  if (temporary == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
  CPLPushErrorHandler(CPLQuietErrorHandler);
  CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", FIXED_DATE);
  int32_t status = write_whole(temporary, path, layer, t, err);
  CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", NULL);
  CPLPopErrorHandler();
  free(temporary);
  return status;
}

int32_t es_gpkg_write(const char *path, const char *layer, const es_field *fields, size_t n_fields,
                      const es_cell *cells, const es_lonlat *at, size_t n_rows, es_error *err) {
  table t = {fields, n_fields, cells, at, n_rows, NULL};
  return write_table(path, layer, &t, err);
}

int32_t es_gpkg_write_with_lines(const char *path, const char *layer, const es_field *fields, size_t n_fields,
                                 const es_cell *cells, const es_lonlat *at, size_t n_rows, es_lonlat beacon,
                                 es_error *err) {
  table t = {fields, n_fields, cells, at, n_rows, &beacon};
  return write_table(path, layer, &t, err);
}
