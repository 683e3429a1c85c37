/* test_trial.c - what a run will do is counted as the run counts: losses that maps share once, cells once a site, the list's
 * few for its many; and a trial leaves nothing behind. */
#include <dirent.h>
#include <stdlib.h>

#include "run/few.h"
#include "run/trial.h"

#include "run/island_job.h"

static const char LIST[] = "name,lon,lat,height_m,dish_m,mode\n"
                           "Q1AAA One,-36.10,46.57,5,0.3,ssb\n"
                           "Q1BBB Two,-36.20,46.64,10,0.6,cw\n"
                           "Q1CCC Three,-35.95,46.70,12,,\n"
                           "Q1DDD Four,-36.05,46.60,12,,\n";
static const char BEACON[] = "  antenna: {gain_dbi: 7, height_m: 12}\n  power: {at_amplifier_dbm: 27}";

static void open_job(island_job *j, const char *chain, const char *vary) {
  char *rest = es_format("chain: %s\nclimate: {delta_n_median: 40}\n"
                         "map: {radius_km: 6, cell_m: 200, receiver: {height_m: 8}}\n%s\n",
                         chain, vary);
  island_open(j, BEACON, LIST, rest);
  free(rest);
}

static es_trial trial_of(const char *chain, const char *vary, size_t n_scenarios) {
  island_job j;
  es_trial t;
  es_error err = {0};
  open_job(&j, chain, vary);
  assert_int_equal(j.job->n_scenarios, n_scenarios);
  if (es_trial_make(&j.setup, &j.percents, 2, &t, &err) != 0) fail_msg("%s", err.detail);
  island_close(&j);
  assert_true(t.inputs_s > 0.0 && t.listeners_s > 0.0 && t.maps_s > 0.0 && t.files_s > 0.0);
  return t;
}

/* Powers share every loss; a height, a season, a site has its own, and a site has its own cells. */
static void passes_are_those_of_the_run(void **state) {
  (void)state;
  static const struct {
    const char *vary;
    size_t n_scenarios, passes, sites;
  } of[] = {{"", 1, 1, 1},
            {"vary: {power_dbm: [20, 30]}", 2, 1, 1},
            {"vary: {power_dbm: [20, 30], height_m: [6, 12, 18]}", 6, 3, 1},
            {"season: [no-trees, in-leaf]", 2, 2, 1},
            {"vary: {site: [{name: a, position: [-36.1234, 46.5678]}, {name: b, position: [-36.10, 46.58]}]}", 2, 2, 2},
            {"vary: {site: [{name: a, position: [-36.1234, 46.5678]}, {name: b, position: [-36.10, 46.58]}], "
             "power_dbm: [20, 30]}",
             4, 2, 2}};
  for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
    es_trial t = trial_of("diffraction", of[i].vary, of[i].n_scenarios);
    if (t.passes != of[i].passes || t.sites != of[i].sites)
      fail_msg("%s: %zu passes of %zu sites, want %zu of %zu", of[i].vary, t.passes, t.sites, of[i].passes,
               of[i].sites);
  }
}

/* More powers than maps that are made together: another pass. */
static void nine_powers_are_two_passes(void **state) {
  (void)state;
  es_trial t = trial_of("whole-year", "vary: {power_dbm: [20, 21, 22, 23, 24, 25, 26, 27, 28]}", 9);
  assert_int_equal(t.passes, 2);
}

/* Every variant's list gets short, in one order, and belongs to the variant that the whole job has there. */
static void few_are_taken_evenly(void **state) {
  (void)state;
  island_job j;
  es_few few;
  open_job(&j, "diffraction", "aim: {first: [\"Q1DDD Four\"]}\nvary: {polarisation: [horizontal, vertical]}");
  assert_int_equal(j.job->aim.n_first, 1);
  assert_true(es_few_init(&few, &j.setup, 2));
  assert_int_equal(few.job.aim.n_first, 0);
  for (size_t s = 0; s < 2; s++) {
    const es_setup *setup = es_setup_in(&few.setup, s);
    const es_job *job = setup->job;
    assert_ptr_equal(es_job_in(&few.job, s), job);
    assert_int_equal(job->beacon.polarisation, es_job_in(j.job, s)->beacon.polarisation);
    assert_int_equal(job->listeners.n, 2);
    assert_string_equal(job->listeners.items[0].name, "Q1AAA One");
    assert_string_equal(job->listeners.items[1].name, "Q1CCC Three");
  }
  es_few_fini(&few);
  island_close(&j);
}

static size_t names_in(const char *folder) {
  DIR *d = opendir(folder);
  size_t n = 0;
  assert_non_null(d);
  for (const struct dirent *e; (e = readdir(d)) != NULL;) n += e->d_name[0] != '.' || strlen(e->d_name) > 2;
  closedir(d);
  return n;
}

/* What is tried lies under TMPDIR and goes; where there is no such folder the files are not counted, the rest is. */
static void leaves_nothing_behind(void **state) {
  (void)state;
  test_folder f;
  folder_open(&f);
  setenv("TMPDIR", f.path, 1);
  trial_of("diffraction", "", 1);
  assert_int_equal(names_in(f.path), 0);
  folder_close(&f);
  island_job j;
  es_trial t;
  es_error err = {0};
  open_job(&j, "diffraction", "");
  assert_int_equal(es_trial_make(&j.setup, &j.percents, 1, &t, &err), ES_E_FILE);
  assert_non_null(strstr(err.detail, f.path));
  assert_true(isnan(t.files_s) && t.maps_s > 0.0 && t.listeners_s > 0.0);
  island_close(&j);
  unsetenv("TMPDIR");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(passes_are_those_of_the_run),
      cmocka_unit_test(nine_powers_are_two_passes),
      cmocka_unit_test(few_are_taken_evenly),
      cmocka_unit_test(leaves_nothing_behind),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
