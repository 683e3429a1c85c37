/* test_places.c - files for other people's map programs, read back by GDAL and OGR. */
#include <cpl_conv.h>
#include <cpl_vsi.h>
#include <gdal.h>
#include <math.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include "island.h"
#include "scratch.h"

static const es_field FIELDS[] = {
    {"name", ES_FIELD_TEXT, 0}, {"loss_db", ES_FIELD_NUMBER, 1}, {"n", ES_FIELD_WHOLE, 0}};
static const es_cell CELLS[] = {{"a <b> & \"c\"", 0}, {NULL, 132.449}, {NULL, 3}, {NULL, 0}, {NULL, NAN}, {NULL, 4}};
static const es_lonlat AT[] = {{179.9, -16.5}, {-179.9, -17.0}};
static const es_lonlat BEACON = {179.5, -17.0};

/* On and near 180 degrees, on both poles, on the equator. */
static const es_lonlat HARD_PLACES[] = {{179.9, -16.8}, {-179.95, 60.0}, {20.0, 89.9}, {-70.0, -89.95}, {12.0, 0.0}};
enum { HARD = sizeof HARD_PLACES / sizeof *HARD_PLACES };

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

static void give_plane(island *i) {
  if (i->frame.wkt != NULL) return;
  char text[120];
  snprintf(text, sizeof text, "+proj=aeqd +lon_0=%.9g +lat_0=%.9g +datum=WGS84", i->frame.beacon.lon_deg,
           i->frame.beacon.lat_deg);
  OGRSpatialReferenceH plane = OSRNewSpatialReference(NULL);
  OSRSetFromUserInput(plane, text);
  OSRExportToWkt(plane, &i->frame.wkt);
  OSRDestroySpatialReference(plane);
}

static void free_plane(island *i) {
  CPLFree(i->frame.wkt);
  i->frame.wkt = NULL;
}

static const es_contour_level LEVELS[] = {{"jt4g", "JT4G", -24}, {"cw", "Morse", -15}, {"ssb", "voice", 6}};

/* A point inside a mode's polygon has an SNR between the polygon's own figures. */
static void contours_hold_their_cells(void **state) {
  char *path = scratch_path(state, "c.gpkg");
  island i = an_island();
  for (int k = 0; k < i.frame.cols * i.frame.rows; k++) /* a plane that rises eastward, with a hole */
    i.values[k] = k % i.frame.cols < 4 ? NAN : (float)(k % i.frame.cols) - 60.0f;
  es_error err = {0};
  give_plane(&i);
  assert_int_equal(es_contours_write(path, &i.frame, i.values, LEVELS, 3, &err), 0);
  GDALDatasetH file = open_vector(path);
  OGRLayerH layer = GDALDatasetGetLayerByName(file, "coverage");
  assert_int_equal(OGR_L_GetFeatureCount(layer, 1), 3);
  OGRFeatureH row = OGR_L_GetFeature(layer, 1);
  assert_string_equal(OGR_F_GetFieldAsString(row, 1), "jt4g");
  assert_near(OGR_F_GetFieldAsDouble(row, 2), -24.0, 1e-9);
  assert_near(OGR_F_GetFieldAsDouble(row, 3), -15.0, 1e-9);
  assert_string_equal(OGR_F_GetFieldAsString(row, 4), "JT4G");
  assert_string_equal(OGR_F_GetFieldAsString(row, 5), "#9DCBA4"); /* waterfall, -24 to -15, in palettes.csv */
  /* -20 dB: column 40, 20 cells west of the middle */
  es_lonlat in = es_geodesic_ahead(i.frame.beacon, 270.0, 20.0 * i.frame.cell_m);
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, in.lon_deg, in.lat_deg);
  assert_true(OGR_G_Contains(OGR_F_GetGeometryRef(row), point));
  OGR_G_DestroyGeometry(point);
  OGR_F_Destroy(row);
  /* Voice has no mode above it, and so no upper figure. */
  OGR_L_SetAttributeFilter(layer, "mode = 'ssb'");
  OGR_L_ResetReading(layer);
  row = OGR_L_GetNextFeature(layer);
  assert_non_null(row);
  assert_near(OGR_F_GetFieldAsDouble(row, 2), 6.0, 1e-9);
  assert_false(OGR_F_IsFieldSetAndNotNull(row, 3));
  OGR_F_Destroy(row);
  GDALClose(file);
  free_plane(&i);
  island_free(&i);
  free(path);
}

static bool layer_holds(OGRLayerH layer, es_lonlat at) {
  bool held = false;
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, remainder(at.lon_deg, 360.0), at.lat_deg);
  OGR_L_ResetReading(layer);
  for (OGRFeatureH row; (row = OGR_L_GetNextFeature(layer)) != NULL; OGR_F_Destroy(row))
    held |= OGR_G_Contains(OGR_F_GetGeometryRef(row), point) != 0;
  OGR_G_DestroyGeometry(point);
  return held;
}

static void within_the_globe(OGRLayerH layer) {
  OGREnvelope e;
  assert_int_equal(OGR_L_GetExtent(layer, &e, 1), OGRERR_NONE);
  assert_true(e.MinX >= -180.0 && e.MaxX <= 180.0 && e.MinY >= -90.0 && e.MaxY <= 90.0);
  OGR_L_ResetReading(layer);
  for (OGRFeatureH row; (row = OGR_L_GetNextFeature(layer)) != NULL; OGR_F_Destroy(row))
    assert_true(OGR_G_IsValid(OGR_F_GetGeometryRef(row)));
}

/* The level whose polygon holds a place, -1: none. */
static int level_holding(OGRLayerH layer, es_lonlat at) {
  int held = -1;
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, at.lon_deg, at.lat_deg);
  OGR_L_ResetReading(layer);
  for (OGRFeatureH row; (row = OGR_L_GetNextFeature(layer)) != NULL; OGR_F_Destroy(row)) {
    if (!OGR_G_Contains(OGR_F_GetGeometryRef(row), point)) continue;
    assert_int_equal(held, -1); /* one polygon holds a cell */
    held = OGR_F_GetFieldAsInteger(row, 0) - 1;
  }
  OGR_G_DestroyGeometry(point);
  return held;
}

/* The middle of every so many-th cell lies in the polygon of its own level, or in none: of values without any order, holes and
 * corners that touch among them; and along the straight borders of a map 600 km wide, which bend on the globe by 14 cells. */
static void cells_lie_in_their_polygons(void **state) {
  static const struct {
    double radius_m;
    int cells, every;
    bool noise;
  } maps[] = {{15000, 31, 1, true}, {300000, 1201, 240, false}};
  for (size_t m = 0; m < 2; m++) {
    char *path = scratch_path(state, "n.gpkg");
    island i = island_make((es_lonlat){-36.1, 46.5}, maps[m].radius_m, maps[m].cells, ES_MAP_LEVEL, 3, 7);
    int cols = i.frame.cols, rows = i.frame.rows;
    for (int k = 0; k < cols * rows; k++) {
      int noise = (int)((unsigned)k * 2654435761u >> 27); /* 0 to 31 */
      i.values[k] = !maps[m].noise ? 10.0f : noise < 6 ? NAN : (float)(noise * 2 - 40);
    }
    give_plane(&i);
    es_error err = {0};
    assert_int_equal(es_contours_write(path, &i.frame, i.values, LEVELS, 3, &err), 0);
    GDALDatasetH file = open_vector(path);
    OGRLayerH layer = GDALDatasetGetLayerByName(file, "coverage");
    within_the_globe(layer);
    for (int row = 0; row < rows; row += maps[m].every)
      for (int col = 0; col < cols; col += maps[m].every) {
        double dx, dy, value = i.values[row * cols + col];
        int wanted = value >= 6.0 ? 2 : value >= -15.0 ? 1 : value >= -24.0 ? 0 : -1;
        es_frame_cell(&i.frame, col, row, &dx, &dy);
        int held = level_holding(layer, es_frame_place(&i.frame, dx, dy));
        if (held != wanted) fail_msg("cell %d, %d of %g dB lies in level %d", col, row, value, held);
      }
    GDALClose(file);
    free_plane(&i);
    island_free(&i);
    free(path);
  }
}

/* A disc of voice about the beacon, across 180 degrees and around a pole: places in it lie in a polygon, others do not. */
static void contours_go_round_the_globe(void **state) {
  for (int h = 0; h < HARD; h++) {
    char *path = scratch_path(state, "g.gpkg");
    island i = island_make(HARD_PLACES[h], 30000, 121, ES_MAP_LEVEL, 0, 7);
    int middle = i.frame.cols / 2;
    for (int k = 0; k < i.frame.cols * i.frame.rows; k++)
      i.values[k] =
          6.0f + 20.0f - (float)(hypot(k % i.frame.cols - middle, k / i.frame.cols - middle) * i.frame.cell_m / 1e3);
    give_plane(&i);
    es_error err = {0};
    assert_int_equal(es_contours_write(path, &i.frame, i.values, LEVELS + 2, 1, &err), 0);
    GDALDatasetH file = open_vector(path);
    OGRLayerH layer = GDALDatasetGetLayerByName(file, "coverage");
    within_the_globe(layer);
    for (int azimuth = 7; azimuth < 360; azimuth += 30)
      for (int km = 1; km < 28; km += 2) {
        if (km == 19 || km == 21) continue; /* at the edge */
        bool held = layer_holds(layer, es_geodesic_ahead(HARD_PLACES[h], azimuth, 1000.0 * km));
        if (held != (km < 20)) fail_msg("place %d, %d km at %d degrees: %s", h, km, azimuth, held ? "in" : "out");
      }
    GDALClose(file);
    free_plane(&i);
    island_free(&i);
    free(path);
  }
}

static int32_t write_kmz(const char *path, const island *i, es_lonlat at) {
  const es_placemark marks[] = {{"Q7XAN <b>\"Sorrel\" & Bay\x01\xFF", "HN16\n<script>", at, ES_MARK_DISC}};
  es_map_ground ground = {i->ground_m, (size_t)i->frame.cols, i->zone};
  es_kmz kmz = {"Title & more", "about", "/nowhere.png", "Beacon", marks, 1};
  es_error err = {0};
  return es_kmz_write(path, &i->frame, ES_MAP_LEVEL, i->values, &ground, &kmz, &err);
}

static char *in_archive(const char *archive, const char *name) { return es_format("/vsizip/%s/%s", archive, name); }

static void kmz_reads_back(void **state) {
  char *path = scratch_path(state, "m.kmz"), *again = scratch_path(state, "n.kmz");
  island i = an_island();
  assert_int_equal(write_kmz(path, &i, (es_lonlat){-36.0, 46.4}), 0);
  assert_int_equal(write_kmz(again, &i, (es_lonlat){-36.0, 46.4}), 0);
  assert_same_files(path, again);
  char *kml = in_archive(path, "doc.kml");
  GDALDatasetH file = open_vector(kml);
  OGRLayerH layer = GDALDatasetGetLayerByName(file, "Stations");
  assert_int_equal(OGR_L_GetFeatureCount(layer, 1), 2);
  OGR_L_ResetReading(layer);
  OGR_F_Destroy(OGR_L_GetNextFeature(layer)); /* the beacon */
  OGRFeatureH row = OGR_L_GetNextFeature(layer);
  assert_string_equal(OGR_F_GetFieldAsString(row, OGR_F_GetFieldIndex(row, "Name")),
                      "Q7XAN <b>\"Sorrel\" & Bay \xEF\xBF\xBD");
  assert_string_equal(OGR_F_GetFieldAsString(row, OGR_F_GetFieldIndex(row, "description")),
                      "<pre>HN16\n&lt;script&gt;</pre>"); /* HTML that shows as text */
  assert_near(OGR_G_GetX(OGR_F_GetGeometryRef(row), 0), -36.0, 1e-6);
  OGR_F_Destroy(row);
  GDALClose(file);
  free(kml);
  free(path);
  free(again);
  island_free(&i);
}

/* --- KML as OGC 12-007r2 wants it; Debian ships no schema of it, so its structure is looked at here -------------------- */

static char *kml_of(const char *archive) {
  char *path = in_archive(archive, "doc.kml"), *text = calloc(1, 1 << 16);
  VSILFILE *file = VSIFOpenL(path, "rb");
  assert_non_null(file);
  assert_non_null(text);
  assert_true(VSIFReadL(text, 1, (1 << 16) - 1, file) > 0);
  VSIFCloseL(file);
  free(path);
  return text;
}

static double next_number(const char **at, const char *tag) {
  char open[32];
  snprintf(open, sizeof open, "<%s>", tag);
  const char *found = strstr(*at, open);
  assert_non_null(found);
  *at = found + strlen(open);
  return strtod(*at, NULL);
}

/* A picture of the archive and where it lies. */
typedef struct laid_picture {
  double north, south, east, west;
  GDALDatasetH picture;
} laid_picture;

/* Every ground overlay: its box in order and within the globe, its picture there, with transparency. */
static int overlays_of(const char *archive, laid_picture out[2]) {
  char *kml = kml_of(archive);
  int n = 0;
  for (const char *at = kml; (at = strstr(at, "<GroundOverlay>")) != NULL; n++) {
    char name[16];
    assert_true(n < 2);
    at = strstr(at, "<href>") + 6;
    snprintf(name, sizeof name, "%.*s", (int)strcspn(at, "<"), at);
    laid_picture *o = &out[n];
    o->north = next_number(&at, "north"); /* the order of the schema's LatLonBox */
    o->south = next_number(&at, "south");
    o->east = next_number(&at, "east");
    o->west = next_number(&at, "west");
    assert_true(o->south < o->north && o->north <= 90.0 && o->south >= -90.0);
    assert_true(o->west < o->east && o->east <= 180.0 && o->west >= -180.0);
    char *path = in_archive(archive, name);
    o->picture = GDALOpen(path, GA_ReadOnly);
    assert_non_null(o->picture);
    assert_int_equal(GDALGetRasterCount(o->picture), 4);
    free(path);
  }
  free(kml);
  return n;
}

/* Strength of the overlay at a place; -1 when no overlay lies there. */
static int alpha_at(const laid_picture *o, int n, es_lonlat at) {
  for (int k = 0; k < n; k++) {
    double lon = remainder(at.lon_deg, 360.0);
    if (lon < o[k].west || lon > o[k].east || at.lat_deg < o[k].south || at.lat_deg > o[k].north) continue;
    int cols = GDALGetRasterXSize(o[k].picture), rows = GDALGetRasterYSize(o[k].picture);
    int x = (int)((lon - o[k].west) / (o[k].east - o[k].west) * cols),
        y = (int)((o[k].north - at.lat_deg) / (o[k].north - o[k].south) * rows);
    unsigned char alpha = 0;
    assert_int_equal(GDALRasterIO(GDALGetRasterBand(o[k].picture, 4), GF_Read, x < cols ? x : cols - 1,
                                  y < rows ? y : rows - 1, 1, 1, &alpha, 1, 1, GDT_Byte, 0, 0),
                     CE_None);
    return alpha;
  }
  return -1;
}

/* Everything within the radius is loud: the overlay covers it on every side, and nothing outside. */
static void overlay_covers_the_radius(void **state) {
  for (int h = 0; h < HARD; h++) {
    char *path = scratch_path(state, "h.kmz");
    island i = island_make(HARD_PLACES[h], 30000, 121, ES_MAP_LEVEL, 0, 7);
    for (int k = 0; k < i.frame.cols * i.frame.rows; k++) i.values[k] = 25.0f;
    assert_int_equal(write_kmz(path, &i, HARD_PLACES[h]), 0);
    laid_picture o[2];
    int n = overlays_of(path, o);
    assert_int_equal(n, h < 2 ? 2 : 1); /* two that meet at 180 degrees */
    for (int azimuth = 0; azimuth < 360; azimuth += 15)
      for (int km = 2; km <= 36; km += 2) {
        int alpha = alpha_at(o, n, es_geodesic_ahead(HARD_PLACES[h], azimuth, 1000.0 * km));
        if (km <= 28) assert_int_equal(alpha, 200);
        if (km >= 32) assert_true(alpha <= 0);
      }
    for (int k = 0; k < n; k++) GDALClose(o[k].picture);
    island_free(&i);
    free(path);
  }
}

/* The classes carry the sheet's own colours, and nothing where nothing is known. */
static void classes_read_back(void **state) {
  char *path = scratch_path(state, "k.tif");
  island i = an_island();
  i.values[0] = NAN;
  i.values[1] = 25.0f; /* loud: the highest class */
  es_error err = {0};
  give_plane(&i);
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
  assert_string_equal(OSRGetName(GDALGetSpatialRef(file)), "Azimuthal equidistant about the beacon");
  GDALClose(file);
  free_plane(&i);
  island_free(&i);
  free(path);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(geojson_reads_back, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(lines_read_back, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(contours_hold_their_cells, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(cells_lie_in_their_polygons, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(contours_go_round_the_globe, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(overlay_covers_the_radius, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(classes_read_back, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(kmz_reads_back, scratch_make, scratch_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
