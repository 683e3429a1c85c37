/* test_laws.c - what must hold on any profile, and what `earshot profile` does at the edges of its range.
 *
 * Profiles: the project's own, and those of EARSHOT_CHECK_VALUES when it is set. 10.368 GHz unless a test says
 * otherwise. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "published.h"
#include "station/folder.h"

#define OWN "tests/published/own/profiles"

static const char REST[] = "beacon: {antenna: {height_m: 20, gain_dbi: 10}}\n"
                           "listener: {antenna: {height_m: 10, gain_dbi: 33}}\n";

/* --- a profile file in the hand ----------------------------------------------------------------------------------- */

static es_profile_job *open_job(const char *profile, const char *keys) {
  test_folder folder;
  es_faults faults = {0};
  folder_open(&folder);
  char *path = realpath(profile, NULL);
  char *text = es_format("profile: %s\n%s%s", path, keys, REST);
  es_profile_job *job = es_profile_job_open(folder_write(&folder, "p.yaml", text), &faults);
  faults_print(&faults);
  assert_non_null(job);
  es_faults_free(&faults);
  folder_close(&folder);
  free(text);
  free(path);
  return job;
}

static double loss_at(const json_t *answer, size_t k) {
  return json_number_value(json_object_get(json_array_get(json_object_get(answer, "results"), k), "basic_loss_db"));
}

static const char *status_at(const json_t *answer, size_t k) {
  return json_string_value(json_object_get(json_array_get(json_object_get(answer, "results"), k), "status"));
}

/* --- every profile there is --------------------------------------------------------------------------------------- */

typedef void (*profile_law)(const char *profile);

static size_t each_in(const char *folder, profile_law law) {
  DIR *dir = opendir(folder);
  if (dir == NULL) fail_msg("%s cannot be read", folder);
  size_t n = 0;
  for (struct dirent *e; (e = readdir(dir)) != NULL;) {
    if (strstr(e->d_name, ".csv") == NULL) continue;
    char *path = es_format("%s/%s", folder, e->d_name);
    law(path);
    free(path);
    n++;
  }
  closedir(dir);
  return n;
}

static void each_profile(profile_law law) {
  const char *values = getenv("EARSHOT_CHECK_VALUES");
  size_t n = each_in("examples/profile", law) + each_in(OWN, law);
  char *folder = es_format("%s/profiles", values != NULL ? values : "");
  if (values != NULL) n += each_in(folder, law);
  free(folder);
  print_message("%zu profiles\n", n);
  assert_true(n >= 7);
}

/* --- the loss not exceeded for a longer time is no smaller -------------------------------------------------------- */

static void expect_rising(const char *profile, const char *chain) {
  bool year = strcmp(chain, "whole-year") == 0;
  char *text = es_format("frequency_mhz: 10368\nchain: %s\ntime_percent: [0.001, 0.01, 0.1, 0.5, 1, 2, 5, 10, 15, 20, "
                         "30, 40, 45, 49, 50%s]\n",
                         chain, year ? ", 51, 60, 70, 80, 90, 95, 98, 99, 99.5, 99.9, 99.99, 99.999" : "");
  es_profile_job *job = open_job(profile, text);
  json_t *answer = published_answer(job);
  assert_non_null(answer);
  for (size_t k = 0; k < job->n_time_percent; k++) {
    if (k > 0 && !(loss_at(answer, k) >= loss_at(answer, k - 1)))
      fail_msg("%s, %s: %g %% has %.6f dB, %g %% has %.6f dB", profile, chain, job->time_percent[k - 1],
               loss_at(answer, k - 1), job->time_percent[k], loss_at(answer, k));
    assert_true(isfinite(loss_at(answer, k)));
    assert_string_equal(status_at(answer, k), "ok");
  }
  json_decref(answer);
  es_profile_job_close(job);
  free(text);
}

static void rises(const char *profile) {
  expect_rising(profile, "whole-year");
  expect_rising(profile, "openings");
}

static void loss_never_falls(void **state) {
  (void)state;
  each_profile(rises);
}

/* --- a path reversed ---------------------------------------------------------------------------------------------- */

static void swap(double *a, double *b) {
  double kept = *a;
  *a = *b;
  *b = kept;
}

static void reverse(es_profile_job *job) {
  double length = job->dist_km[job->n - 1];
  for (size_t i = 0, j = job->n - 1; i < j; i++, j--) {
    swap(&job->dist_km[i], &job->dist_km[j]);
    swap(&job->ground_m[i], &job->ground_m[j]);
    if (job->cover_m != NULL) swap(&job->cover_m[i], &job->cover_m[j]);
    uint8_t zone = job->zone[i];
    job->zone[i] = job->zone[j];
    job->zone[j] = zone;
  }
  for (size_t i = 0; i < job->n; i++) job->dist_km[i] = length - job->dist_km[i];
  swap(&job->beacon_height_m, &job->listener_height_m);
  swap(&job->beacon_gain_dbi, &job->listener_gain_dbi);
}

/* At the median and with one climate for both sides nothing in the three chains tells the ends apart. */
static void expect_same_back(const char *profile, const char *chain) {
  char *text = es_format("frequency_mhz: 10368\nchain: %s\n", chain);
  es_profile_job *job = open_job(profile, text);
  json_t *there = published_answer(job);
  reverse(job);
  json_t *back = published_answer(job);
  assert_non_null(there);
  assert_non_null(back);
  assert_near(loss_at(back, 0), loss_at(there, 0), 0.01);
  json_decref(there);
  json_decref(back);
  es_profile_job_close(job);
  free(text);
}

static void goes_both_ways(const char *profile) {
  expect_same_back(profile, "diffraction");
  expect_same_back(profile, "whole-year");
  expect_same_back(profile, "openings");
}

static void reversed_paths_agree(void **state) {
  (void)state;
  each_profile(goes_both_ways);
}

/* --- the edges of the range --------------------------------------------------------------------------------------- */

#define HILLS "examples/profile/two-hills.csv"

/* P.452 ends at 50 % of the time: beyond, its value of 50 % stands, flagged. Below 0.001 % the equations go on,
 * flagged. */
static void openings_end_at_half_the_time(void **state) {
  (void)state;
  es_profile_job *job =
      open_job(HILLS, "frequency_mhz: 10368\nchain: openings\ntime_percent: [0.0005, 0.001, 50, 50.5, 99]\n");
  json_t *answer = published_answer(job);
  static const char *const status[] = {"outside range", "ok", "ok", "outside range", "outside range"};
  for (size_t k = 0; k < 5; k++) assert_string_equal(status_at(answer, k), status[k]);
  assert_true(loss_at(answer, 0) < loss_at(answer, 1));
  assert_near(loss_at(answer, 3), loss_at(answer, 2), 0.0);
  assert_near(loss_at(answer, 4), loss_at(answer, 2), 0.0);
  json_decref(answer);
  es_profile_job_close(job);
}

/* A frequency outside a model's own range: the value is kept, and flagged. */
static void frequencies_outside_are_flagged(void **state) {
  (void)state;
  static const struct {
    const char *chain, *mhz, *status;
  } cases[] = {{"whole-year", "50000", "ok"}, {"whole-year", "50001", "outside range"},
               {"openings", "100", "ok"},     {"openings", "99", "outside range"},
               {"openings", "50000", "ok"},   {"openings", "50001", "outside range"},
               {"diffraction", "1000", "ok"}, {"diffraction", "50001", "outside range"},
               {"whole-year", "30", "ok"}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    char *keys = es_format("frequency_mhz: %s\nchain: %s\n", cases[i].mhz, cases[i].chain);
    es_profile_job *job = open_job(HILLS, keys);
    json_t *answer = published_answer(job);
    if (strcmp(status_at(answer, 0), cases[i].status) != 0)
      fail_msg("%s at %s MHz is '%s', want '%s'", cases[i].chain, cases[i].mhz, status_at(answer, 0), cases[i].status);
    assert_true(loss_at(answer, 0) > 100.0);
    json_decref(answer);
    es_profile_job_close(job);
    free(keys);
  }
}

static const json_t *symbols_of(const json_t *answer) {
  return json_object_get(json_array_get(json_object_get(answer, "results"), 0), "symbols");
}

/* Two points over 100 km: the bulge of the earth stands between them all the same, and a note says what was done. */
static void two_points_are_filled(void **state) {
  (void)state;
  static const char *const tables[] = {"d_km,h_m,zone\n0,0,sea\n100,0,inland\n",
                                       "d_km,h_m,zone\n0,0,sea\n20,0,sea\n40,0,sea\n60,0,inland\n80,0,inland\n"
                                       "100,0,inland\n"};
  json_t *answers[2];
  for (int i = 0; i < 2; i++) {
    test_folder folder;
    es_faults faults = {0};
    folder_open(&folder);
    char *path = strdup(folder_write(&folder, "t.csv", tables[i]));
    es_profile_job *job = open_job(path, "frequency_mhz: 10368\n");
    const es_model_folders models = {.installed = ES_BUILT_MODELS};
    answers[i] = es_profile_evaluate(job, &models, &faults);
    assert_non_null(answers[i]);
    assert_int_equal(faults.n, i == 0);
    if (i == 0) assert_fault(&faults, 0, "only the ends are given");
    es_profile_job_close(job);
    es_faults_free(&faults);
    folder_close(&folder);
    free(path);
  }
  assert_near(json_number_value(json_object_get(symbols_of(answers[0]), "FlagLos50")), 0.0, 0.0);
  assert_near(json_number_value(json_object_get(symbols_of(answers[0]), "Fsea")), 0.5, 1e-12);
  assert_near(loss_at(answers[0], 0), loss_at(answers[1], 0), 1.0); /* as the same flat ground in more points */
  json_decref(answers[0]);
  json_decref(answers[1]);
}

/* The profile's own length rules; positions that lie elsewhere are told, and give latitude and bearing only. */
static void a_mismatch_of_positions_is_told(void **state) {
  (void)state;
  static const struct {
    double lat_deg;
    size_t notes;
  } cases[] = {{51.8975, 0}, {51.90, 0}, {51.95, 1}};
  double loss[3];
  for (int i = 0; i < 3; i++) {
    es_faults faults = {0};
    es_profile_job *job = open_job(HILLS, "frequency_mhz: 10368\n");
    const es_model_folders models = {.installed = ES_BUILT_MODELS};
    job->has_positions = true;
    job->beacon_at = (es_lonlat){0.0, 51.0};
    job->listener_at = (es_lonlat){0.0, cases[i].lat_deg}; /* 111.26 km a degree here: 100 km are 0.8988 degrees */
    json_t *answer = es_profile_evaluate(job, &models, &faults);
    assert_non_null(answer);
    assert_int_equal(faults.n, cases[i].notes);
    if (cases[i].notes == 1) assert_fault(&faults, 0, "the profile is 100.000 km long; the profile rules");
    loss[i] = loss_at(answer, 0);
    json_decref(answer);
    es_profile_job_close(job);
    es_faults_free(&faults);
  }
  assert_near(loss[1], loss[0], 1e-9);
  assert_near(loss[2], loss[0], 1e-9);
}

/* As many percentages as anybody likes. */
static void many_percentages(void **state) {
  (void)state;
  char keys[4096] = "frequency_mhz: 10368\ntime_percent: [1";
  for (int i = 2; i <= 150; i++) snprintf(keys + strlen(keys), sizeof keys - strlen(keys), ", %g", 0.5 * i + 1.0);
  strcat(keys, "]\n");
  es_profile_job *job = open_job(HILLS, keys);
  json_t *answer = published_answer(job);
  assert_int_equal(json_array_size(json_object_get(answer, "results")), 150);
  assert_string_equal(status_at(answer, 149), "ok");
  json_decref(answer);
  es_profile_job_close(job);
}

/* --- the example -------------------------------------------------------------------------------------------------- */

/* examples/profile as it stands, against the figures of tests/published/own/p2001_worked.csv (P.2001-4 software). */
static void example(void **state) {
  (void)state;
  static const double loss_db[] = {190.6025, 203.4613, 210.2983, 219.3920, 228.4844, 237.6138};
  json_t *answer = published_evaluate("examples/profile/two-hills.yaml");
  assert_non_null(answer);
  assert_int_equal(json_array_size(json_object_get(answer, "results")), 6);
  for (size_t k = 0; k < 6; k++) assert_near(loss_at(answer, k), loss_db[k], 1e-4);
  json_decref(answer);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(loss_never_falls),
      cmocka_unit_test(reversed_paths_agree),
      cmocka_unit_test(openings_end_at_half_the_time),
      cmocka_unit_test(frequencies_outside_are_flagged),
      cmocka_unit_test(two_points_are_filled),
      cmocka_unit_test(a_mismatch_of_positions_is_told),
      cmocka_unit_test(many_percentages),
      cmocka_unit_test(example),
  };
  return cmocka_run_group_tests_name("laws", tests, NULL, NULL);
}
