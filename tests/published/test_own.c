/* test_own.c - the project's own extracts of published results, through the door of `earshot profile`.
 *
 * tests/published/own/ holds them and says where they come from. The whole tables are for test_published.c. */
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "published.h"
#include "station/folder.h"
#include "tables.h"

#define OWN "tests/published/own"

static void extract(void **state) { pub_check(*state, OWN, false); }
static void own_table(void **state) { pub_check(*state, OWN, true); }

/* --- the profiles that are given by formula ----------------------------------------------------------------------- */

static double bell(double d, double at, double width) { return exp(-pow((d - at) / width, 2.0)); }
static double two_hills(double d) { return 50.0 + 200.0 * bell(d, 40.0, 6.0) + 150.0 * bell(d, 75.0, 4.0); }
static double open_sea(double d) { return 0.0 * d; }
static double across_a_valley(double d) {
  return 100.0 + 150.0 * bell(d, 0.0, 3.0) + 120.0 * bell(d, 30.0, 3.0) + 40.0 * pow(sin(ES_PI * d / 15.0), 2.0);
}
static double rolling_land(double d) {
  return 120.0 + 80.0 * sin(2.0 * ES_PI * d / 23.0) + 50.0 * sin(2.0 * ES_PI * d / 61.0 + 1.0);
}

static void profiles_follow_their_formulas(void **state) {
  static const struct {
    const char *file;
    double (*height_m)(double d_km);
    double step_km, length_km;
    uint8_t zone;
  } profiles[] = {{"examples/profile/two-hills.csv", two_hills, 0.5, 100.0, ES_ZONE_INLAND},
                  {OWN "/profiles/open-sea.csv", open_sea, 1.0, 200.0, ES_ZONE_SEA},
                  {OWN "/profiles/across-a-valley.csv", across_a_valley, 0.25, 30.0, ES_ZONE_INLAND},
                  {OWN "/profiles/rolling-land.csv", rolling_land, 1.0, 250.0, ES_ZONE_INLAND}};
  (void)state;
  for (size_t k = 0; k < sizeof profiles / sizeof *profiles; k++) {
    char *path = realpath(profiles[k].file, NULL);
    char *text = es_format("profile: %s\nfrequency_mhz: 10368\nbeacon: {antenna: {height_m: 10}}\n"
                           "listener: {antenna: {height_m: 10}}\n",
                           path);
    test_folder folder;
    es_faults faults = {0};
    folder_open(&folder);
    es_profile_job *job = es_profile_job_open(folder_write(&folder, "p.yaml", text), &faults);
    assert_non_null(job);
    assert_near((double)(job->n - 1) * profiles[k].step_km, profiles[k].length_km, 1e-12);
    for (size_t i = 0; i < job->n; i++) {
      assert_near(job->dist_km[i], (double)i * profiles[k].step_km, 1e-12);
      assert_near(job->ground_m[i], profiles[k].height_m(job->dist_km[i]), 6e-7); /* six decimals are kept */
      assert_int_equal(job->zone[i], profiles[k].zone);
    }
    es_profile_job_close(job);
    es_faults_free(&faults);
    folder_close(&folder);
    free(text);
    free(path);
  }
}

#define TABLE(how, variable) cmocka_unit_test_prestate(how, (void *)&(variable))

int main(void) {
  struct CMUnitTest tests[] = {TABLE(own_table, p2001_worked_table), TABLE(own_table, p452_worked_table),
                               TABLE(extract, p2001_4_table),        TABLE(extract, p452_18_table),
                               TABLE(extract, p526_published_table), cmocka_unit_test(profiles_follow_their_formulas)};
  for (size_t i = 0; i + 1 < sizeof tests / sizeof *tests; i++)
    tests[i].name = ((const pub_table *)tests[i].initial_state)->file;
  return cmocka_run_group_tests_name("published_own", tests, NULL, NULL);
}
