#include "made.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <ftw.h>
#include <ogr_srs_api.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "near.h"

enum { PATHS = 64 };
typedef struct made {
  char folder[64];
  char *paths[PATHS];
  int next;
} made;

int made_setup(void **state) {
  made *m = calloc(1, sizeof *m);
  if (m == NULL) return -1;
  GDALAllRegister();
  strcpy(m->folder, "/tmp/earshot-ground-XXXXXX");
  *state = m;
  return mkdtemp(m->folder) != NULL ? 0 : -1;
}

static int remove_one(const char *path, const struct stat *s, int type, struct FTW *where) {
  (void)s, (void)type, (void)where;
  return remove(path);
}

int made_teardown(void **state) {
  made *m = *state;
  nftw(m->folder, remove_one, 8, FTW_DEPTH | FTW_PHYS);
  for (int i = 0; i < m->next; i++) free(m->paths[i]);
  free(m);
  return 0;
}

const char *made_path(void **state, const char *name) {
  made *m = *state;
  assert_true(m->next < PATHS);
  char *path = es_format("%s/%s", m->folder, name);
  assert_non_null(path);
  return m->paths[m->next++] = path;
}

void made_folder(void **state, const char *name) { assert_int_equal(mkdir(made_path(state, name), 0700), 0); }

const char *made_text(void **state, const char *name, const char *text) {
  const char *path = made_path(state, name);
  FILE *file = fopen(path, "w");
  assert_non_null(file);
  fputs(text, file);
  fclose(file);
  return path;
}

static void set_crs(GDALDatasetH file, const char *crs) {
  char *wkt = NULL;
  OGRSpatialReferenceH srs = OSRNewSpatialReference(NULL);
  assert_int_equal(OSRSetFromUserInput(srs, crs), OGRERR_NONE);
  OSRExportToWkt(srs, &wkt);
  assert_int_equal(GDALSetProjection(file, wkt), CE_None);
  CPLFree(wkt);
  OSRDestroySpatialReference(srs);
}

static void fill(GDALDatasetH file, const made_raster *r) {
  float *row = malloc((size_t)r->cols * sizeof *row);
  assert_non_null(row);
  for (int j = 0; j < r->rows; j++) {
    for (int i = 0; i < r->cols; i++)
      row[i] = (float)r->value(r->gt[0] + (i + 0.5) * r->gt[1] + (j + 0.5) * r->gt[2],
                               r->gt[3] + (i + 0.5) * r->gt[4] + (j + 0.5) * r->gt[5]);
    assert_int_equal(
        GDALRasterIO(GDALGetRasterBand(file, 1), GF_Write, 0, j, r->cols, 1, row, r->cols, 1, GDT_Float32, 0, 0),
        CE_None);
  }
  free(row);
}

const char *made_write(void **state, made_raster r) {
  const char *path = made_path(state, r.name);
  GDALDriverH driver = GDALGetDriverByName(r.driver != NULL ? r.driver : "GTiff");
  GDALDatasetH file = GDALCreate(driver, path, r.cols, r.rows, 1, r.type != 0 ? r.type : GDT_Float32, NULL);
  assert_non_null(file);
  assert_int_equal(GDALSetGeoTransform(file, r.gt), CE_None);
  if (r.crs != NULL) set_crs(file, r.crs);
  if (!isnan(r.nodata)) GDALSetRasterNoDataValue(GDALGetRasterBand(file, 1), r.nodata);
  fill(file, &r);
  GDALClose(file);
  return path;
}

es_ground_plan made_plan(const char *const *elevation, size_t n) {
  return (es_ground_plan){.elevation = elevation,
                          .n_elevation = n,
                          .elevation_scale = 1.0,
                          .canopy_scale = 1.0,
                          .fill_gap_m = 200.0,
                          .zone_coast_m = 50e3,
                          .zone_coast_height_m = 100.0,
                          .job_file = "job.yaml",
                          .line = 7};
}

es_ground *made_open(const es_ground_plan *plan, es_lonlat centre, double reach_m) {
  es_faults faults = {0};
  es_ground_area area = {centre, reach_m};
  es_ground *ground = es_ground_open(plan, area, &faults, NULL);
  for (size_t i = 0; i < faults.n; i++)
    if (!faults.items[i].note) fail_msg("%s", faults.items[i].text);
  assert_non_null(ground);
  es_faults_free(&faults);
  assert_int_equal(es_ground_bytes(plan, area, &faults), es_ground_facts_get(ground).bytes);
  es_faults_free(&faults);
  return ground;
}

void made_refused(const es_ground_plan *plan, es_lonlat centre, double reach_m, const char *text, const char *other) {
  es_faults faults = {0};
  assert_null(es_ground_open(plan, (es_ground_area){centre, reach_m}, &faults, NULL));
  bool found = false;
  for (size_t i = 0; i < faults.n; i++) {
    const es_fault *f = &faults.items[i];
    assert_string_equal(f->file, "job.yaml");
    assert_int_equal(f->line, 7);
    if (!f->note) found = found || (strstr(f->text, text) != NULL && strstr(f->text, other) != NULL);
  }
  if (!found) fail_msg("no fault with \"%s\" and \"%s\"; the first: %s", text, other, faults.items[0].text);
  es_faults_free(&faults);
}

double made_height(const es_ground *ground, double lon_deg, double lat_deg) {
  double height_m;
  uint8_t known;
  es_lonlat at = {lon_deg, lat_deg};
  es_ground_samples out = {.ground_m = &height_m, .known = &known};
  es_ground_sample_places(ground, &at, 1, &out);
  if (known == 0) assert_near(height_m, 0.0, 0.0); /* the contract: 0 there, not to be used */
  return known != 0 ? height_m : NAN;
}
