/* test_listeners.c - lists in each format, and each fault of a row. Files are made here, in a folder of their own. */
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include "folder.h"
#include "station/station.h"

static const double FREQ_GHZ = 10.368;

typedef struct fixture {
  test_folder folder;
  es_modes modes;
  es_faults faults;
  es_receiver defaults;
  es_listeners list;
} fixture;

static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  folder_open(&f->folder);
  assert_true(es_modes_builtin(&f->modes, &f->faults));
  f->defaults = (es_receiver){.height_m = 10.0,
                              .antenna = es_antenna_dish(0.6, 0.55, FREQ_GHZ),
                              .noise_figure_db = 1.0,
                              .feeder_db = 0.3,
                              .antenna_k = NAN,
                              .mode = "cw"};
  f->defaults.antenna.tracks = true;
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  es_listeners_free(&f->list);
  es_modes_free(&f->modes);
  es_faults_free(&f->faults);
  folder_close(&f->folder);
  free(f);
  return 0;
}

static bool read_list(fixture *f, const char *path, const char *layer) {
  es_listeners_free(&f->list);
  es_faults_free(&f->faults);
  return es_listeners_read(path, layer, &f->defaults, FREQ_GHZ, &f->modes, &f->list, &f->faults);
}

static void expect_good(fixture *f, bool ok, size_t n) {
  if (!ok) faults_print(&f->faults);
  assert_true(ok);
  assert_int_equal(f->list.n, n);
}

static void csv(void **state) {
  fixture *f = *state;
  const char *path =
      folder_write(&f->folder, "l.csv",
                   "Name,LON,Lat,locator,height_m,dish_m,gain_dbi,noise_figure_db,feeder_db,mode,azimuth_deg\n"
                   "\xC3\x85sgard,-36.25,46.5,,12.5,1.2,,0.8,0.1,ssb,90\n"
                   "\"Two,\nlines\",,,HN16wn,,,,,,,\n"
                   "\n"
                   "Two,-36,46,,,,20,,,,\n"
                   "Two,-36,46,,,0.9,36.5,,,,\n"
                   "Fine,,,HN16wn12ab,,,,,,,\n");
  expect_good(f, read_list(f, path, NULL), 5);
  const es_listener *l = f->list.items;
  assert_string_equal(l[0].name, "\xC3\x85sgard");
  assert_near(l[0].at.lon_deg, -36.25, 0.0);
  assert_near(l[0].at.lat_deg, 46.5, 0.0);
  assert_near(l[0].rx.height_m, 12.5, 0.0);
  assert_near(l[0].rx.antenna.peak_dbi, 39.708, 5e-4); /* 1.2 m, efficiency 0.55 */
  assert_near(l[0].rx.antenna.azimuth, 1.5707963267948966, 1e-12);
  assert_false(l[0].rx.antenna.tracks);
  assert_string_equal(l[0].rx.mode, "ssb");
  assert_int_equal(l[0].flags, 0);
  assert_int_equal(l[0].line, 2);
  assert_string_equal(l[1].name, "Two,\nlines");
  assert_int_equal(l[1].flags,
                   ES_PLACE_BY_LOCATOR6 | ES_HEIGHT_DEFAULT | ES_ANTENNA_DEFAULT | ES_NOISE_DEFAULT | ES_MODE_DEFAULT);
  assert_near(l[1].at.lon_deg, -36.125, 1e-9); /* centre of HN16wn: -38 + 22 x 5' + 2.5', 46 + 13 x 2.5' + 1.25' */
  assert_near(l[1].at.lat_deg, 46.5625, 1e-9);
  assert_true(l[1].rx.antenna.tracks);
  assert_int_equal(l[2].line, 6); /* after the broken name and the empty line */
  assert_int_equal(l[2].rx.antenna.shape, ES_SHAPE_ALL_ROUND);
  assert_near(l[2].rx.antenna.peak_dbi, 20.0, 0.0);
  assert_int_equal(l[3].rx.antenna.shape, ES_SHAPE_DISH);
  assert_near(l[3].rx.antenna.peak_dbi, 36.5, 0.0);
  assert_int_equal(l[4].flags & ES_PLACE_BY_LOCATOR6, 0); /* ten characters are a position */
}

static void csv_faults(void **state) {
  fixture *f = *state;
  const char *path = folder_write(&f->folder, "l.csv",
                                  "name,lon,lat,locator,height_m,noise_figure_db,mode\n"
                                  "a,12a,46,,10,1,cw\n"
                                  "b,-36,95,,1x,-1,cx\n"
                                  "c,,,,10,1,cw\n"
                                  "d,-36,,,10,1,cw\n"
                                  "e,,,ZZ99,10,1,cw\n"
                                  "f,nan,46,,10,1,cw\n"
                                  "good,-36,46,,10,1,cw\n"
                                  "g,-36,46,,inf,1,smoke-signal\n");
  assert_false(read_list(f, path, NULL));
  assert_fault(&f->faults, 2, "lon=12a: want a number from -180 to 180 degrees");
  assert_fault(&f->faults, 3, "lat=95");
  assert_fault(&f->faults, 3, "height_m=1x");
  assert_fault(&f->faults, 3, "noise_figure_db=-1: want a number from 0 to 30 dB");
  assert_fault(&f->faults, 3, "mode=cx: unknown mode, did you mean cw?");
  assert_fault(&f->faults, 4, "no position");
  assert_fault(&f->faults, 5, "lat is empty");
  assert_fault(&f->faults, 6, "locator=ZZ99");
  assert_fault(&f->faults, 7, "lon=nan");
  assert_fault(&f->faults, 9, "height_m=inf");
  assert_fault(&f->faults, 9, "mode=smoke-signal: unknown mode, want");
  assert_int_equal(f->faults.n_faults, 11);
  assert_int_equal(f->list.n, 1);
  assert_string_equal(f->list.items[0].name, "good");
}

static void csv_misspelt_column(void **state) {
  fixture *f = *state;
  const char *path = folder_write(&f->folder, "l.csv", "name,lon,lat,hieght_m,remark\na,-36,46,30,hello\n");
  expect_good(f, read_list(f, path, NULL), 1);
  assert_int_equal(f->faults.n, 1);
  assert_fault(&f->faults, 1, "column hieght_m is not read: did you mean height_m?");
}

static void geojson(void **state) {
  fixture *f = *state;
  const char *good = "{\"type\":\"FeatureCollection\",\"features\":["
                     "{\"type\":\"Feature\",\"properties\":{\"call\":\"Q0ABC\",\"height_m\":25,\"mode\":\"ft8\"},"
                     "\"geometry\":{\"type\":\"Point\",\"coordinates\":[-36.5,46.25,120]}}]}";
  expect_good(f, read_list(f, folder_write(&f->folder, "l.geojson", good), NULL), 1);
  assert_string_equal(f->list.items[0].name, "Q0ABC");
  assert_near(f->list.items[0].at.lon_deg, -36.5, 1e-9);
  assert_near(f->list.items[0].at.lat_deg, 46.25, 1e-9);
  assert_near(f->list.items[0].rx.height_m, 25.0, 1e-9);
  const char *bad = "{\"type\":\"FeatureCollection\",\"features\":["
                    "{\"type\":\"Feature\",\"properties\":{\"name\":\"a\"},"
                    "\"geometry\":{\"type\":\"LineString\",\"coordinates\":[[-36,46],[-35,46]]}},"
                    "{\"type\":\"Feature\",\"properties\":{\"name\":\"b\"},"
                    "\"geometry\":{\"type\":\"Point\",\"coordinates\":[-36,98]}},"
                    "{\"type\":\"Feature\",\"properties\":{\"name\":\"c\"},\"geometry\":null}]}";
  assert_false(read_list(f, folder_write(&f->folder, "l.geojson", bad), NULL));
  assert_fault(&f->faults, 0, "feature 1: geometry=LINESTRING: want one point");
  assert_fault(&f->faults, 0, "feature 2: geometry=(-36, 98)");
  assert_fault(&f->faults, 0, "feature 3: no position");
  assert_int_equal(f->faults.n_faults, 3);
}

static void add_point(OGRLayerH layer, const char *name, double x, double y) {
  OGRFeatureH feature = OGR_F_Create(OGR_L_GetLayerDefn(layer));
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, x, y);
  OGR_F_SetFieldString(feature, 0, name);
  OGR_F_SetGeometryDirectly(feature, point);
  assert_int_equal(OGR_L_CreateFeature(layer, feature), OGRERR_NONE);
  OGR_F_Destroy(feature);
}

/* A layer of points with a name in the reference system `epsg`. */
static void make_layer(GDALDatasetH set, const char *layer_name, int epsg, double x, double y) {
  OGRSpatialReferenceH srs = OSRNewSpatialReference(NULL);
  assert_int_equal(OSRImportFromEPSG(srs, epsg), OGRERR_NONE);
  OSRSetAxisMappingStrategy(srs, OAMS_TRADITIONAL_GIS_ORDER);
  OGRLayerH layer = GDALDatasetCreateLayer(set, layer_name, srs, wkbPoint, NULL);
  assert_non_null(layer);
  OGRFieldDefnH field = OGR_Fld_Create("name", OFTString);
  OGR_L_CreateField(layer, field, FALSE);
  OGR_Fld_Destroy(field);
  add_point(layer, layer_name, x, y);
  OSRDestroySpatialReference(srs);
}

static GDALDatasetH make_set(fixture *f, const char *driver, const char *name) {
  GDALAllRegister();
  GDALDriverH d = GDALGetDriverByName(driver);
  assert_non_null(d);
  GDALDatasetH set = GDALCreate(d, folder_file(&f->folder, name), 0, 0, 0, GDT_Unknown, NULL);
  assert_non_null(set);
  return set;
}

/* EPSG 32632, zone 32 north: central meridian 9 E at 500000 m, so that point lies on it exactly; the northing of
 * 45 N is 0.9996 times the meridian arc (4984944.378 m on WGS 84). EPSG 4326 counts latitude first: the points
 * must not come out turned. */
static void geopackage(void **state) {
  fixture *f = *state;
  GDALDatasetH set = make_set(f, "GPKG", "l.gpkg");
  make_layer(set, "plane", 32632, 500000.0, 0.9996 * 4984944.378);
  make_layer(set, "degrees", 4326, -36.5, 46.25);
  GDALClose(set);
  char path[256];
  snprintf(path, sizeof path, "%s/l.gpkg", f->folder.path);
  expect_good(f, read_list(f, path, NULL), 1); /* the first layer */
  assert_string_equal(f->list.items[0].name, "plane");
  assert_near(f->list.items[0].at.lon_deg, 9.0, 1e-9);
  assert_near(f->list.items[0].at.lat_deg, 45.0, 1e-7);
  expect_good(f, read_list(f, path, "degrees"), 1);
  assert_near(f->list.items[0].at.lon_deg, -36.5, 1e-9);
  assert_near(f->list.items[0].at.lat_deg, 46.25, 1e-9);
  assert_false(read_list(f, path, "nowhere"));
  assert_fault(&f->faults, 0, "listener_layer=nowhere: no such layer");
}

static void kml(void **state) {
  fixture *f = *state;
  const char *path = folder_write(&f->folder, "l.kml",
                                  "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                                  "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Folder><name>all</name>\n"
                                  "<Placemark><name>Far Ness</name><ExtendedData><Data name=\"height_m\"><value>7.5"
                                  "</value></Data></ExtendedData>\n"
                                  "<Point><coordinates>-36.5,46.25,0</coordinates></Point></Placemark>\n"
                                  "</Folder></Document></kml>\n");
  expect_good(f, read_list(f, path, NULL), 1);
  assert_string_equal(f->list.items[0].name, "Far Ness");
  assert_near(f->list.items[0].at.lon_deg, -36.5, 1e-9);
  assert_near(f->list.items[0].rx.height_m, 7.5, 1e-9);
}

static void gpx(void **state) {
  fixture *f = *state;
  const char *path = folder_write(&f->folder, "l.gpx",
                                  "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" creator=\"test\" "
                                  "xmlns=\"http://www.topografix.com/GPX/1/1\">\n"
                                  "<wpt lat=\"46.25\" lon=\"-36.5\"><ele>12</ele><name>Cairn</name></wpt>\n"
                                  "<wpt lat=\"46.50\" lon=\"-36.0\"><name>Ness</name></wpt>\n</gpx>\n");
  expect_good(f, read_list(f, path, NULL), 2);
  assert_string_equal(f->list.items[0].name, "Cairn");
  assert_near(f->list.items[0].at.lat_deg, 46.25, 1e-9);
  assert_near(f->list.items[1].at.lon_deg, -36.0, 1e-9);
}

/* Cut in the middle of a tag: what stands before is no whole list. */
static void broken_off(void **state) {
  fixture *f = *state;
  const char *path = folder_write(&f->folder, "l.gpx",
                                  "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" creator=\"test\" "
                                  "xmlns=\"http://www.topografix.com/GPX/1/1\">\n"
                                  "<wpt lat=\"46.25\" lon=\"-36.5\"><name>Cairn</name></wpt>\n<wpt lat=\"46.5\" lo");
  assert_false(read_list(f, path, NULL));
  assert_int_equal(f->faults.n_faults, 1);
}

static void not_a_list(void **state) {
  fixture *f = *state;
  assert_false(read_list(f, folder_write(&f->folder, "l.txt", "hello\n"), NULL));
  assert_fault(&f->faults, 0, "want CSV, GeoJSON, GeoPackage, KML or GPX");
  assert_false(read_list(f, folder_write(&f->folder, "l.csv", "name,lon,lat\n"), NULL));
  assert_fault(&f->faults, 0, "the list is empty");
  assert_false(read_list(f, folder_write(&f->folder, "l.csv", "name,lon,lat\n\xE5,1,2\n"), NULL));
  assert_fault(&f->faults, 2, "want text in UTF-8");
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(csv),     EACH(csv_faults), EACH(csv_misspelt_column),
                                     EACH(geojson), EACH(geopackage), EACH(kml),
                                     EACH(gpx),     EACH(broken_off), EACH(not_a_list)};
  return cmocka_run_group_tests_name("listeners", tests, NULL, NULL);
}
