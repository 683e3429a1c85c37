/* test_laws.c - what must hold on any profile, and what `earshot profile` does at the edges of its range.
 *
 * Profiles: the project's own, and those of EARSHOT_CHECK_VALUES when it is set. 10.368 GHz unless a test says otherwise. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "published.h"
#include "station/folder.h"

#define OWN "tests/published/own/profiles"

static const char REST[] = "beacon: {antenna: {height_m: 20, gain_dbi: 10}}\n"
                           "listener: {antenna: {height_m: 10, gain_dbi: 33}}\n";

/* --- a profile file in the hand ----------------------------------------------------------------------------------------- */

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

/* --- every profile there is --------------------------------------------------------------------------------------------- */

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

/* --- the loss not exceeded for a longer time is no smaller ------------------------------------------------------------ */

/* P.2001 finds a fade by halving to 0.01 dB: two neighbours may come out in the wrong order by that much, no more. */
static void expect_rising(const char *profile, const char *chain, double slack_db) {
  static const char keys[] = "frequency_mhz: 10368\nchain: %s\ntime_percent: [0.001, 0.01, 0.1, 0.5, 1, 2, 5, 10, 15, "
                             "20, 30, 40, 45, 49, 50%s]\n";
  bool year = strcmp(chain, "whole-year") == 0;
  char *text = es_format("frequency_mhz: 10368\nchain: %s\ntime_percent: [0.001, 0.01, 0.1, 0.5, 1, 2, 5, 10, 15, 20, "
                         "30, 40, 45, 49, 50%s]\n",
                         chain, year ? ", 51, 60, 70, 80, 90, 95, 98, 99, 99.5, 99.9, 99.99, 99.999" : "");
  (void)keys;
  es_profile_job *job = open_job(profile, text);
  json_t *answer = published_answer(job);
  assert_non_null(answer);
  for (size_t k = 0; k < job->n_time_percent; k++) {
    if (k > 0 && !(loss_at(answer, k) >= loss_at(answer, k - 1) - slack_db))
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
  expect_rising(profile, "whole-year", 0.0);
  expect_rising(profile, "openings", 0.0);
}

static void loss_never_falls(void **state) {
  (void)state;
  each_profile(rises);
}

/* --- a path reversed ------------------------------------------------------------------------------------------------------ */

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

static void expect_same_back(const char *profile, const char *chain) {
  char *text = es_format("frequency_mhz: 10368\nchain: %s\n", chain);
  es_profile_job *job = open_job(profile, text);
  json_t *there = published_answer(job);
  reverse(job);
  json_t *back = published_answer(job);
  assert_non_null(there);
  assert_non_null(back);
  print_message("%s %s: %.6f dB there, %+.2g dB back\n", chain, profile, loss_at(there, 0),
                loss_at(back, 0) - loss_at(there, 0));
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

static const struct CMUnitTest tests[] = {cmocka_unit_test(loss_never_falls), cmocka_unit_test(reversed_paths_agree)};

int main(void) { return cmocka_run_group_tests_name("laws", tests, NULL, NULL); }
