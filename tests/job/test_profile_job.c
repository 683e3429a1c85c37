/* test_profile_job.c - profiles given as numbers: good ones, each fault, and every profile of the check values. */
#include "job/job.h"

#include "page.h"
#include "station/folder.h"

typedef struct fixture {
  test_folder folder;
  es_faults faults;
  es_profile_job *job;
} fixture;

static const char RIDGE[] = "# made up\nd_km,h_m,note\n0,10,a\n# half way\n5,250.5,b\n10,20,c\n";

static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  folder_open(&f->folder);
  folder_write(&f->folder, "ridge.csv", RIDGE);
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  es_profile_job_close(f->job);
  es_faults_free(&f->faults);
  folder_close(&f->folder);
  free(f);
  return 0;
}

static bool read_job(fixture *f, const char *text) {
  es_profile_job_close(f->job);
  es_faults_free(&f->faults);
  f->job = es_profile_job_open(folder_write(&f->folder, "p.yaml", text), &f->faults);
  return f->job != NULL;
}

static void expect_good(fixture *f, const char *text) {
  if (read_job(f, text)) return;
  faults_print(&f->faults);
  fail_msg("a good profile was refused");
}

static void of_the_page(void **state) {
  fixture *f = *state;
  char *example = page_example("docs/profile-file.md");
  expect_good(f, example);
  free(example);
  const es_profile_job *j = f->job;
  assert_int_equal(j->n, 3);
  assert_near(j->dist_km[1], 5.0, 0.0);
  assert_near(j->ground_m[1], 250.5, 0.0);
  assert_int_equal(j->zone[1], ES_ZONE_INLAND);
  assert_null(j->cover_m);
  assert_near(j->freq_ghz, 10.368, 1e-12);
  assert_int_equal(j->polarisation, ES_VERTICAL);
  assert_int_equal(j->chain, ES_CHAIN_WHOLE_YEAR);
  assert_int_equal(j->convention, 1);
  assert_true(isnan(j->earth_radius_km));
  assert_int_equal(j->n_time_percent, 3);
  assert_true(j->has_positions);
  assert_near(j->listener_at.lat_deg, 46.7, 1e-12);
  assert_near(j->beacon_height_m, 60.0, 0.0);
  assert_near(j->listener_height_m, 30.0, 0.0);
  /* in the order of the example */
  static const double climate[ES_CLIMATE_KEYS] = {40, 15.5, 9, -180, 7.5, 38, 700, 0.2, 2.4, 5, 40, 325, 1013.25, 15};
  for (int k = 0; k < ES_CLIMATE_KEYS; k++) assert_near(j->climate.value[0][k], climate[k], 0.0);
  assert_near(j->climate.value[1][ES_VAPOUR_DENSITY], 8.0, 0.0);
  assert_near(j->climate.value[2][ES_VAPOUR_DENSITY], 7.0, 0.0);
  assert_true(isnan(j->climate.value[1][ES_DELTA_N_MEDIAN]));
  assert_near(j->sea_distance_km[0], 500.0, 0.0);
  assert_int_equal(f->faults.n, 0);
}

static const char SHORT[] = "profile: ridge.csv\n"
                            "frequency_mhz: 10368\n"
                            "beacon: {antenna: {height_m: 20}}\n"
                            "listener: {antenna: {height_m: 10, gain_dbi: 33}}\n";

static void shortest(void **state) {
  fixture *f = *state;
  expect_good(f, SHORT);
  assert_false(f->job->has_positions);
  assert_near(f->job->beacon_gain_dbi, 0.0, 0.0);
  assert_near(f->job->listener_gain_dbi, 33.0, 0.0);
  assert_near(f->job->time_percent[0], 50.0, 0.0);
  assert_true(isnan(f->job->sea_distance_km[1]));
  char *text = es_format("%schain: openings\n", SHORT);
  expect_good(f, text);
  assert_int_equal(f->job->convention, 2); /* P.452 is the chain's own */
  free(text);
}

static void zones(void **state) {
  fixture *f = *state;
  folder_write(&f->folder, "ridge.csv", "zone,cover_m,d_km,h_m\nsea,0,0,0\ncoastal,3.5,1,2\ninland,0,2,3\n");
  expect_good(f, SHORT);
  assert_int_equal(f->job->zone[0], ES_ZONE_SEA);
  assert_int_equal(f->job->zone[1], ES_ZONE_COAST);
  assert_int_equal(f->job->zone[2], ES_ZONE_INLAND);
  assert_near(f->job->cover_m[1], 3.5, 0.0);
  folder_write(&f->folder, "ridge.csv", "zone_p2001,zone,d_km,h_m\n1,B,0,0\n3,A1,1,2\n4,A2,2,3\n");
  expect_good(f, SHORT); /* the numbers come before the words */
  assert_int_equal(f->job->zone[0], ES_ZONE_SEA);
  assert_int_equal(f->job->zone[1], ES_ZONE_COAST);
}

static void table_faults(void **state) {
  fixture *f = *state;
  static const struct {
    const char *text, *words;
    long line;
  } cases[] = {
      {"d_km,height\n0,1\n1,2\n", "want the columns d_km and h_m", 1},
      {"d_km,h_m\n0,1\n", "1 rows: want at least 2 points", 1},
      {"d_km,h_m\n0.5,1\n1,2\n", "d_km=0.5: want 0 in the first row", 2},
      {"d_km,h_m\n0,1\n1,2\n1,3\n", "d_km=1: want more than 1", 4},
      {"d_km,h_m\n0,1\n2,2\n1,3\n", "d_km=1: want more than 2", 4},
      {"d_km,h_m\n0,1\n1,12a\n2,3\n", "h_m=12a", 3},
      {"d_km,h_m\n0,1\n1,nan\n2,3\n", "h_m=nan", 3},
      {"d_km,h_m\n0,1\n1,\n2,3\n", "h_m is empty", 3},
      {"d_km,h_m\n0,1\n1e9,2\n", "d_km=1e9", 3},
      {"d_km,h_m,zone\n0,1,sea\n1,2,lake\n", "zone=lake: want sea, coastal or inland", 3},
      {"d_km,h_m,zone_p2001\n0,1,1\n1,2,2\n", "zone_p2001=2: want 1 (sea), 3 (coastal) or 4 (inland)", 3},
      {"d_km,h_m,cover_m\n0,1,0\n1,2,-1\n", "cover_m=-1", 3},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    folder_write(&f->folder, "ridge.csv", cases[i].text);
    assert_false(read_job(f, SHORT));
    assert_fault(&f->faults, cases[i].line, cases[i].words);
    assert_int_equal(f->faults.n_faults, 1);
  }
}

/* A table of nothing but faults does not bury the others. */
static void many_faults(void **state) {
  fixture *f = *state;
  char text[4096] = "d_km,h_m\n";
  for (int i = 0; i < 200; i++) snprintf(text + strlen(text), sizeof text - strlen(text), "%d,x\n", i);
  folder_write(&f->folder, "ridge.csv", text);
  assert_false(read_job(f, SHORT));
  assert_fault(&f->faults, 0, "20 faulty rows so far");
  assert_int_equal(f->faults.n_faults, 21);
}

static void key_faults(void **state) {
  fixture *f = *state;
  static const struct {
    const char *text, *words;
    long line;
  } cases[] = {
      {"frequency_mhz: 10368\n", "the file: profile is missing: want file", 1},
      {"profile: ridge.csv\nfrequency_mhz: 29\n", "frequency_mhz=29: want a number from 30 to 100000 MHz", 2},
      {"profile: flat.csv\n", "profile=flat.csv: want a file", 1},
      {"beacon: {antenna: {}}\n", "antenna: height_m is missing: want 0 to 20000 m", 1},
      {"beacon: {}\n", "antenna is missing: want section", 1},
      {"profile: ridge.csv\nlistner: {}\n", "listner={...}: unknown key, did you mean listener?", 2},
      {"beacon: {position: [1, 2], antenna: {height_m: 1}}\nlistener: {antenna: {height_m: 1}}\n",
       "position: want it at both ends or at neither", 1},
      {"time_percent: [50, 0]\n", "time_percent=0: want numbers above 0", 1},
      {"sea_distance_km: {beacon: -1}\n", "beacon=-1: want a number from 0 to 20000 km", 1},
      {"sea_distance_km: {tx: 1}\n", "tx=1: unknown key of sea_distance_km", 1},
      {"settings: {a: {b: c}}\nsettings: {a: {b: c}}\n", "settings={...}: repeated key", 2},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    assert_false(read_job(f, cases[i].text));
    assert_fault(&f->faults, cases[i].line, cases[i].words);
  }
}

/* Every profile of the folder of check values is read whole. */
static void check_values(void **state) {
  fixture *f = *state;
  const char *folder = getenv("EARSHOT_CHECK_VALUES");
  if (folder == NULL) {
    print_message("EARSHOT_CHECK_VALUES is not set: only profiles made here were read\n");
    skip();
  }
  char *path = es_format("%s/profiles", folder);
  DIR *dir = opendir(path);
  assert_non_null(dir);
  size_t files = 0, points = 0;
  for (struct dirent *e; (e = readdir(dir)) != NULL;) {
    if (strstr(e->d_name, ".csv") == NULL) continue;
    char *text = es_format("profile: %s/%s\n%s", path, e->d_name, strchr(SHORT, '\n') + 1);
    expect_good(f, text);
    free(text);
    assert_true(f->job->n >= 2 && f->job->dist_km[0] == 0.0 && f->job->dist_km[f->job->n - 1] > 1.0);
    assert_non_null(f->job->cover_m);
    files++;
    points += f->job->n;
  }
  closedir(dir);
  free(path);
  print_message("%zu profiles, %zu points\n", files, points);
  assert_true(files > 0);
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(of_the_page), EACH(shortest),   EACH(zones),       EACH(table_faults),
                                     EACH(many_faults), EACH(key_faults), EACH(check_values)};
  return cmocka_run_group_tests_name("profile_job", tests, NULL, NULL);
}
