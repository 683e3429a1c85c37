/* test_table.c - CSV after RFC 4180 (its section 2), GeoPackage read back by OGR. */
#include "output/table.h"

#include <gdal.h>
#include <ogr_api.h>

#include "scratch.h"

static const es_field FIELDS[] = {
    {"name", ES_FIELD_TEXT, 0}, {"loss_db", ES_FIELD_NUMBER, 1}, {"n", ES_FIELD_WHOLE, 0}};
static const char RIGHT_TO_LEFT[] = "ק\"ו1א";
static const es_cell CELLS[] = {
    {"plain", 0},       {NULL, 132.449}, {NULL, 3},   /* */
    {"a,b", 0},         {NULL, -0.04},   {NULL, NAN}, /* no "-0.0" */
    {"two\nlines", 0},  {NULL, -12.25},  {NULL, -7},  /* */
    {RIGHT_TO_LEFT, 0}, {NULL, NAN},     {NULL, 1e9}, /* */
    {NULL, 0},          {NULL, 0.05},    {NULL, 0},   /* */
};
static const es_lonlat AT[] = {{-36.5, 46.25}, {1, 2}, {3, 4}, {179.5, -89}, {0, 0}};

static void csv_quotes_what_must_be(void **state) {
  char *path = scratch_path(state, "t.csv");
  size_t n;
  assert_int_equal(es_csv_write(path, FIELDS, 3, CELLS, 5, NULL), ES_OK);
  char *bytes = scratch_read(path, &n);
  assert_string_equal(bytes, "name,loss_db,n\r\n"
                             "plain,132.4,3\r\n"
                             "\"a,b\",0.0,\r\n"
                             "\"two\nlines\",-12.2,-7\r\n"
                             "\"ק\"\"ו1א\",,1000000000\r\n"
                             ",0.1,0\r\n");
  free(bytes);
  free(path);
}

/* Our own reader sees what was written. */
static void csv_reads_back(void **state) {
  char *path = scratch_path(state, "t.csv");
  assert_int_equal(es_csv_write(path, FIELDS, 3, CELLS, 5, NULL), ES_OK);
  es_text_table *table = es_text_table_open(path, NULL);
  assert_non_null(table);
  assert_int_equal(es_text_table_rows(table), 5);
  assert_string_equal(es_text_table_cell(table, 1, 0), "a,b");
  assert_string_equal(es_text_table_cell(table, 2, 0), "two\nlines");
  assert_string_equal(es_text_table_cell(table, 3, 0), RIGHT_TO_LEFT);
  es_text_table_close(table);
  free(path);
}

static void gpkg_reads_back(void **state) {
  char *path = scratch_path(state, "t.gpkg");
  assert_int_equal(es_gpkg_write(path, "listeners", FIELDS, 3, CELLS, AT, 5, NULL), ES_OK);
  GDALDatasetH file = GDALOpenEx(path, GDAL_OF_VECTOR, NULL, NULL, NULL);
  assert_non_null(file);
  OGRLayerH layer = GDALDatasetGetLayerByName(file, "listeners");
  assert_int_equal(OGR_L_GetFeatureCount(layer, 1), 5);
  OGRFeatureH row = OGR_L_GetFeature(layer, 4);
  assert_string_equal(OGR_F_GetFieldAsString(row, 0), RIGHT_TO_LEFT);
  assert_false(OGR_F_IsFieldSetAndNotNull(row, 1));
  assert_near(OGR_G_GetX(OGR_F_GetGeometryRef(row), 0), 179.5, 0.0);
  assert_near(OGR_G_GetY(OGR_F_GetGeometryRef(row), 0), -89.0, 0.0);
  OGR_F_Destroy(row);
  row = OGR_L_GetFeature(layer, 1);
  assert_near(OGR_F_GetFieldAsDouble(row, 1), 132.4, 1e-12);
  assert_int_equal(OGR_F_GetFieldAsInteger64(row, 2), 3);
  OGR_F_Destroy(row);
  GDALClose(file);
  free(path);
}

static void gpkg_repeats_its_bytes(void **state) {
  char *one = scratch_path(state, "one.gpkg"), *two = scratch_path(state, "two.gpkg");
  assert_int_equal(es_gpkg_write(one, "listeners", FIELDS, 3, CELLS, AT, 5, NULL), ES_OK);
  sleep(1); /* a clock time would differ */
  assert_int_equal(es_gpkg_write(two, "listeners", FIELDS, 3, CELLS, AT, 5, NULL), ES_OK);
  assert_same_files(one, two);
  assert_int_equal(scratch_count(*state), 2);
  free(one);
  free(two);
}

static void failing_writes_leave_nothing(void **state) {
  char *path = scratch_path(state, "none/t");
  es_error err = {0};
  assert_int_equal(es_csv_write(path, FIELDS, 3, CELLS, 5, &err), ES_E_FILE);
  assert_int_equal(es_gpkg_write(path, "l", FIELDS, 3, CELLS, AT, 5, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, "none/t"));
  assert_int_equal(scratch_count(*state), 0);
  free(path);
}

#define IN_SCRATCH(test) cmocka_unit_test_setup_teardown(test, scratch_make, scratch_remove)
int main(void) {
  const struct CMUnitTest tests[] = {IN_SCRATCH(csv_quotes_what_must_be), IN_SCRATCH(csv_reads_back),
                                     IN_SCRATCH(gpkg_reads_back), IN_SCRATCH(gpkg_repeats_its_bytes),
                                     IN_SCRATCH(failing_writes_leave_nothing)};
  return cmocka_run_group_tests_name("table", tests, NULL, NULL);
}
