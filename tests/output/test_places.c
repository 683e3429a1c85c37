/* test_places.c - files for other people's map programs, read back by GDAL and OGR. */
#include <cpl_conv.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include "island.h"
#include "scratch.h"

static const es_field FIELDS[] = {
    {"name", ES_FIELD_TEXT, 0}, {"loss_db", ES_FIELD_NUMBER, 1}, {"n", ES_FIELD_WHOLE, 0}};
static const es_cell CELLS[] = {{"a <b> & \"c\"", 0}, {NULL, 132.449}, {NULL, 3}, {NULL, 0}, {NULL, NAN}, {NULL, 4}};
static const es_lonlat AT[] = {{179.9, -16.5}, {-179.9, -17.0}};
static const es_lonlat BEACON = {179.5, -17.0};

static GDALDatasetH open_vector(const char *path) {
  GDALAllRegister();
  GDALDatasetH file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
  assert_non_null(file);
  return file;
}

/* RFC 7946: longitude first (3.1.1), WGS 84 without saying so (4), null for what is not there. */
static void geojson_reads_back(void **state) {
  char *path = scratch_path(state, "t.geojson");
  size_t n;
  assert_int_equal(es_geojson_write(path, FIELDS, 3, CELLS, AT, 2, NULL), 0);
  char *text = scratch_read(path, &n);
  assert_null(strstr(text, "\"crs\""));
  free(text);
  GDALDatasetH file = open_vector(path);
  OGRLayerH layer = GDALDatasetGetLayer(file, 0);
  assert_int_equal(OGR_L_GetFeatureCount(layer, 1), 2);
  OGRFeatureH row = OGR_L_GetNextFeature(layer);
  assert_near(OGR_G_GetX(OGR_F_GetGeometryRef(row), 0), 179.9, 1e-9);
  assert_near(OGR_G_GetY(OGR_F_GetGeometryRef(row), 0), -16.5, 1e-9);
  assert_string_equal(OGR_F_GetFieldAsString(row, 0), "a <b> & \"c\"");
  assert_near(OGR_F_GetFieldAsDouble(row, 1), 132.4, 1e-9);
  OGR_F_Destroy(row);
  row = OGR_L_GetNextFeature(layer);
  assert_false(OGR_F_IsFieldSetAndNotNull(row, 1));
  OGR_F_Destroy(row);
  GDALClose(file);
  free(path);
}

/* Lines start at the beacon, end at the listener, and go over 180 degrees rather than around the Earth. */
static void lines_read_back(void **state) {
  char *path = scratch_path(state, "t.gpkg");
  assert_int_equal(es_gpkg_write_with_lines(path, "listeners", FIELDS, 3, CELLS, AT, 2, BEACON, NULL), 0);
  GDALDatasetH file = open_vector(path);
  assert_int_equal(GDALDatasetGetLayerCount(file), 2);
  OGRLayerH layer = GDALDatasetGetLayerByName(file, "lines");
  OGRFeatureH row = OGR_L_GetFeature(layer, 2);
  OGRGeometryH line = OGR_F_GetGeometryRef(row);
  int last = OGR_G_GetPointCount(line) - 1;
  assert_near(OGR_G_GetX(line, 0), 179.5, 1e-6);
  assert_near(OGR_G_GetX(line, last), 180.1, 1e-6);
  assert_near(OGR_G_GetY(line, last), -17.0, 1e-6);
  OGR_F_Destroy(row);
  GDALClose(file);
  free(path);
}

static island an_island(void) { return island_make((es_lonlat){-36.1, 46.5}, 30000, 121, ES_MAP_LEVEL, 3, 7); }

/* A point inside a mode's polygon has an SNR between the polygon's own figures. */
static void contours_hold_their_cells(void **state) {
  static const es_contour_level LEVELS[] = {{"jt4g", -24}, {"cw", -15}, {"ssb", 6}};
  char *path = scratch_path(state, "c.gpkg");
  island i = an_island();
  for (int k = 0; k < i.frame.cols * i.frame.rows; k++) /* a plane that rises eastward, with a hole */
    i.values[k] = k % i.frame.cols < 4 ? NAN : (float)(k % i.frame.cols) - 60.0f;
  es_error err = {0};
  if (i.frame.wkt == NULL) {
    OGRSpatialReferenceH plane = OSRNewSpatialReference(NULL);
    OSRSetFromUserInput(plane, "+proj=aeqd +lon_0=-36.1 +lat_0=46.5 +datum=WGS84");
    OSRExportToWkt(plane, &i.frame.wkt);
    OSRDestroySpatialReference(plane);
  }
  assert_int_equal(es_contours_write(path, &i.frame, i.values, LEVELS, 3, &err), 0);
  GDALDatasetH file = open_vector(path);
  OGRLayerH layer = GDALDatasetGetLayerByName(file, "coverage");
  assert_int_equal(OGR_L_GetFeatureCount(layer, 1), 3);
  OGRFeatureH row = OGR_L_GetFeature(layer, 1);
  assert_string_equal(OGR_F_GetFieldAsString(row, 1), "jt4g");
  assert_near(OGR_F_GetFieldAsDouble(row, 2), -24.0, 1e-9);
  assert_near(OGR_F_GetFieldAsDouble(row, 3), -15.0, 1e-9);
  /* -20 dB: column 40, 20 cells west of the middle */
  es_lonlat in = es_geodesic_ahead(i.frame.beacon, 270.0, 20.0 * i.frame.cell_m);
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, in.lon_deg, in.lat_deg);
  assert_true(OGR_G_Contains(OGR_F_GetGeometryRef(row), point));
  OGR_G_DestroyGeometry(point);
  OGR_F_Destroy(row);
  GDALClose(file);
  CPLFree(i.frame.wkt);
  i.frame.wkt = NULL;
  island_free(&i);
  free(path);
}

static int32_t write_kmz(const char *path, const island *i) {
  const es_placemark marks[] = {{"Q7XAN <b>\"Sorrel\" & Bay\x01", "HN16\n<script>", {-36.0, 46.4}, ES_MARK_DISC}};
  es_map_ground ground = {i->ground_m, i->zone};
  es_kmz kmz = {"Title & more", "about", "/nowhere.png", "Beacon", marks, 1};
  es_error err = {0};
  return es_kmz_write(path, &i->frame, ES_MAP_LEVEL, i->values, &ground, &kmz, &err);
}

static void kmz_reads_back(void **state) {
  char *path = scratch_path(state, "m.kmz"), *again = scratch_path(state, "n.kmz");
  island i = an_island();
  assert_int_equal(write_kmz(path, &i), 0);
  assert_int_equal(write_kmz(again, &i), 0);
  assert_same_files(path, again);
  char *kml = es_format("/vsizip/%s/doc.kml", path), *picture = es_format("/vsizip/%s/map.png", path);
  GDALDatasetH file = open_vector(kml);
  OGRLayerH layer = GDALDatasetGetLayerByName(file, "Stations");
  assert_int_equal(OGR_L_GetFeatureCount(layer, 1), 2);
  OGR_L_ResetReading(layer);
  OGR_F_Destroy(OGR_L_GetNextFeature(layer)); /* the beacon */
  OGRFeatureH row = OGR_L_GetNextFeature(layer);
  assert_string_equal(OGR_F_GetFieldAsString(row, OGR_F_GetFieldIndex(row, "Name")), "Q7XAN <b>\"Sorrel\" & Bay ");
  assert_near(OGR_G_GetX(OGR_F_GetGeometryRef(row), 0), -36.0, 1e-6);
  OGR_F_Destroy(row);
  GDALClose(file);
  GDALDatasetH map = GDALOpen(picture, GA_ReadOnly);
  assert_non_null(map);
  assert_int_equal(GDALGetRasterCount(map), 4); /* with transparency */
  unsigned char corner = 1;
  assert_int_equal(GDALRasterIO(GDALGetRasterBand(map, 4), GF_Read, 0, 0, 1, 1, &corner, 1, 1, GDT_Byte, 0, 0),
                   CE_None);
  assert_int_equal(corner, 0);
  GDALClose(map);
  free(kml);
  free(picture);
  free(path);
  free(again);
  island_free(&i);
}

/* The classes carry the sheet's own colours, and nothing where nothing is known. */
static void classes_read_back(void **state) {
  char *path = scratch_path(state, "k.tif");
  island i = an_island();
  i.values[0] = NAN;
  i.values[1] = 25.0f; /* loud: the highest class */
  es_error err = {0};
  if (i.frame.wkt == NULL) {
    OGRSpatialReferenceH plane = OSRNewSpatialReference(NULL);
    OSRSetFromUserInput(plane, "+proj=aeqd +lon_0=-36.1 +lat_0=46.5 +datum=WGS84");
    OSRExportToWkt(plane, &i.frame.wkt);
    OSRDestroySpatialReference(plane);
  }
  assert_int_equal(es_map_classes_write(path, &i.frame, ES_MAP_LEVEL, i.values, 1, &err), 0);
  GDALDatasetH file = GDALOpen(path, GA_ReadOnly);
  assert_non_null(file);
  GDALRasterBandH band = GDALGetRasterBand(file, 1);
  unsigned char two[2];
  assert_int_equal(GDALRasterIO(band, GF_Read, 0, 0, 2, 1, two, 2, 1, GDT_Byte, 0, 0), CE_None);
  assert_int_equal(two[0], 255);
  assert_int_equal(two[1], 6);
  assert_near(GDALGetRasterNoDataValue(band, NULL), 255.0, 0.0);
  const GDALColorEntry *loud = GDALGetColorEntry(GDALGetRasterColorTable(band), 6); /* #314777 in palettes.csv */
  assert_int_equal(loud->c1, 0x31);
  assert_int_equal(loud->c2, 0x47);
  assert_int_equal(loud->c3, 0x77);
  assert_string_equal(GDALGetMetadataItem(file, "EARSHOT_CLASS_6", NULL), "loud: +20 and more");
  assert_string_equal(GDALGetMetadataItem(file, "LAYOUT", "IMAGE_STRUCTURE"), "COG");
  GDALClose(file);
  CPLFree(i.frame.wkt);
  i.frame.wkt = NULL;
  island_free(&i);
  free(path);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(geojson_reads_back, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(lines_read_back, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(contours_hold_their_cells, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(classes_read_back, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(kmz_reads_back, scratch_make, scratch_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
