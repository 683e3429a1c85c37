/* test_heights.c - what height buys: the excess loss of the smooth earth, the price of coax, stop points and knees. */
#include "run/heights.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "run/island_job.h"
#include "run/listeners.h"
#include "run/ranking.h"
#include "run/report.h"
#include "station/beacon_chain.h"
#include "station/feeder.h"

/* --- the smooth earth ------------------------------------------------------------------------------------------------- */

/* A worked example after ITU-R P.526-16, 4.2: 10.368 GHz, 8500 km, 50 km, far end 10 m; given to 0.1 dB, good to 0.5. */
static void excess_of_the_smooth_earth(void **state) {
  (void)state;
  static const double heights[] = {10, 20, 30, 40}, wanted[] = {61.3, 50.1, 41.9, 35.0};
  enum { N = 1001 };
  static double dist_m[N], ground_m[N];
  static const char *const folder = ES_MODELS;
  static char *const ids[] = {"free-space", "diffraction"};
  es_climate_plan plan = {.maps = NULL};
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) plan.value[side][key] = NAN;
  es_faults faults = {0};
  es_model_set set = {0};
  es_chain chain;
  es_error err = {0};
  assert_true(es_models_open(&folder, 1, true, &set, &faults));
  assert_true(es_chain_make(ES_CHAIN_DIFFRACTION, ids, 2, &set, NULL, 0, "p526", "test", &faults, &chain));
  es_climate *climate = es_climate_open(&plan, "test", &faults);
  es_arena *keep = es_arena_create(), *scratch = es_arena_create();
  for (int i = 0; i < N; i++) dist_m[i] = 50.0 * i;
  es_samples samples = {.n = N, .step_m = 50.0, .dist_m = dist_m, .ground_m = ground_m};
  for (int i = 0; i < 4; i++) {
    es_line line;
    es_radial radial;
    es_chain_answer answer;
    es_spot spot = {.dist_m = 50e3, .antenna_agl_m = 10.0, .zone = ES_ZONE_INLAND};
    es_radial_setup setup = {{-36.0, 46.0}, 0.7, heights[i], 10.368, 8500.0, ES_LIGHT_M_S / 10.368e9, NULL};
    double percent = 50.0;
    assert_int_equal(es_line_make(keep, &samples, 200.0, &line), 0);
    assert_int_equal(es_radial_place(keep, &setup, &line, &spot, 1, &radial), 0);
    es_scene scene = {.radial = &radial,
                      .climate = climate,
                      .freq_ghz = 10.368,
                      .polarisation = ES_HORIZONTAL,
                      .percent = &percent,
                      .n_percent = 1,
                      .keep = keep,
                      .scratch = scratch};
    if (es_chain_evaluate(&chain, &scene, &answer, &err) != 0) fail_msg("%s", err.detail);
    double free_space = 92.44778322188337 + 20.0 * log10(10.368 * 50.0); /* ITU-R P.525-4 */
    assert_near(answer.basic_db[0] - free_space, wanted[i], 0.5);
  }
  es_arena_destroy(keep);
  es_arena_destroy(scratch);
  es_climate_close(climate);
  es_models_close(&set);
  es_faults_free(&faults);
}

/* --- the price of the way up ------------------------------------------------------------------------------------------ */

static const char LIST[] = "name,lon,lat,mode\nQ1AAA,-36.10,46.57,ssb\nQ1BBB,-36.20,46.64,cw\nQ1CCC,-35.95,46.70,ssb\n";

static void answers_of(island_job *j, es_listener_answers *answers) {
  es_error err = {0};
  if (es_listeners_evaluate(&j->setup, &j->percents, 1, j->worker, NULL, answers, &err) != 0)
    fail_msg("%s", err.detail);
}

/* 15 m of 10.3 mm foam coax: a maker's formula, 0.122290 sqrt(MHz) + 0.000260 MHz dB per 100 ft. */
static void coax_against_an_amplifier_at_the_antenna(void **state) {
  (void)state;
  double maker_db = 15.0 / 30.48 * (0.122290 * sqrt(10368.0) + 0.000260 * 10368.0);
  island_job j;
  es_listener_answers answers;
  es_ranking r;
  es_error err = {0};
  island_open(&j,
              "  antenna: {gain_dbi: 10, height_m: 15}\n  power: {at_amplifier_dbm: -25, feeder: {line: "
              "foam-coax-10mm, length_m: 15}}",
              LIST, "vary: {amplifier: [foot, antenna]}\nclimate: {delta_n_median: 40}\n");
  answers_of(&j, &answers);
  assert_near(es_beacon_feeder_db(&es_job_in(j.job, 0)->beacon, 15.0), maker_db, 0.05);
  assert_near(es_beacon_feeder_db(&es_job_in(j.job, 0)->beacon, 15.0), 7.5, 0.1);
  assert_near(es_beacon_feeder_db(&es_job_in(j.job, 1)->beacon, 15.0), 0.0, 1e-12);
  for (size_t l = 0; l < 3; l++)
    assert_near(es_listener_answer(&answers, 1, l)->snr_db[j.percents.median] -
                    es_listener_answer(&answers, 0, l)->snr_db[j.percents.median],
                7.5, 0.1);
  assert_int_equal(es_ranking_make(&j.setup, &j.percents, &answers, NULL, &r, &err), 0);
  assert_int_equal(r.order[0], 1); /* the amplifier at the antenna */
  es_ranking_free(&r);
  es_listener_answers_free(&answers);
  island_close(&j);
}

/* The digest's own sheet is that of the way to build that it proposes. */
static void digest_has_the_feeder_of(const island_job *j, const es_listener_answers *answers, const es_heights *heights,
                                     const char *feeder) {
  es_error err = {0};
  static char text[32768];
  json_t *inputs = json_object();
  es_report_book *book = es_report_open(&j->setup, &j->percents, answers);
  assert_non_null(book);
  if (es_report_finish(book, heights, "", inputs, j->folder.path, "ABCD1234", &err) != 0) fail_msg("%s", err.detail);
  es_report_close(book);
  json_decref(inputs);
  char *path = es_format("%s/digest.txt", j->folder.path);
  FILE *file = fopen(path, "rb");
  free(path);
  assert_non_null(file);
  text[fread(text, 1, sizeof text - 1, file)] = '\0';
  fclose(file);
  if (strstr(text, feeder) == NULL) fail_msg("'%s' is not in\n%s", feeder, text);
}

/* The pages propose a height of the better way to build, not of the one that stands first. */
static void proposes_the_better_group(void **state) {
  (void)state;
  island_job j;
  es_listener_answers answers;
  es_heights heights;
  es_error err = {0};
  island_open(&j,
              "  antenna: {gain_dbi: 10, height_m: 15}\n  power: {at_amplifier_dbm: -25, feeder: {line: "
              "foam-coax-10mm, length_m: 15}}",
              LIST, "vary: {amplifier: [foot, antenna], height_m: [10, 15]}\nclimate: {delta_n_median: 40}\n");
  answers_of(&j, &answers);
  assert_int_equal(es_heights_make(&j.setup, &j.percents, &answers, NULL, &heights, &err), 0);
  assert_int_equal(heights.n_groups, 2);
  const es_height_group *g = &heights.groups[heights.proposed];
  assert_near(es_height_feeder_db(&j.setup, g, 1), 0.0, 1e-12); /* the amplifier at the antenna */
  assert_int_equal(es_recommended_scenario(&heights), g->scenarios[g->best]);
  digest_has_the_feeder_of(&j, &answers, &heights, "  Feeder loss               0.00 dB: amplifier at the antenna");
  es_heights_free(&heights);
  es_listener_answers_free(&answers);
  island_close(&j);
}

/* Every metre of mast costs a metre of coax, and the advice tells the price. */
static void price_in_feeder_loss(void **state) {
  (void)state;
  island_job j;
  es_listener_answers answers;
  es_heights heights;
  es_error err = {0};
  char advice[512], price[96];
  island_open(&j,
              "  antenna: {gain_dbi: 10, height_m: 10}\n  power: {at_amplifier_dbm: 27, feeder: {line: "
              "waveguide-wr90-copper, length_m: 12}}",
              LIST, "vary: {height_m: [4, 10, 20, 30, 40]}\nclimate: {delta_n_median: 40}\n");
  answers_of(&j, &answers);
  assert_int_equal(es_heights_make(&j.setup, &j.percents, &answers, NULL, &heights, &err), 0);
  assert_int_equal(heights.n_groups, 1);
  const es_height_group *g = &heights.groups[0];
  double per_m = j.job->beacon.feeder.db_per_m;
  assert_true(per_m > 0.05);
  for (size_t i = 0; i < 5; i++)
    assert_near(es_height_feeder_db(&j.setup, g, i), per_m * (12.0 + j.job->scenarios[i].height_m - 10.0), 1e-9);
  assert_near(g->price_db, per_m * (j.job->scenarios[g->scenarios[g->best]].height_m - 4.0), 1e-9);
  es_height_group top = *g, foot = *g; /* whatever this island recommends: the words for either end */
  top.stop = foot.stop = g->n;
  top.best = g->n - 1;
  top.price_db = es_height_feeder_db(&j.setup, g, top.best) - es_height_feeder_db(&j.setup, g, 0);
  es_height_advice(&j.setup, &j.percents, &answers, &top, advice, sizeof advice);
  snprintf(price, sizeof price, "Its price is %.1f dB of feeder loss more than at 4 m", top.price_db);
  assert_non_null(strstr(advice, price));
  assert_non_null(strstr(advice, "40 m, the highest asked for, is the best"));
  foot.best = 0;
  foot.price_db = 0.0;
  es_height_advice(&j.setup, &j.percents, &answers, &foot, advice, sizeof advice);
  assert_non_null(strstr(advice, "4 m does it"));
  assert_null(strstr(advice, "price"));
  es_heights_free(&heights);
  es_listener_answers_free(&answers);
  island_close(&j);
}

/* --- stop points ------------------------------------------------------------------------------------------------------ */

enum { HEIGHTS = 9, WHO = 5, TRIALS = 400 };

typedef struct bench {
  es_job job;
  es_setup setup;
  es_percentages percents;
  es_scenario scenario[HEIGHTS];
  es_listener listener[WHO];
  es_path_answer answer[HEIGHTS * WHO];
  double snr_db[HEIGHTS * WHO], sigma_db;
  es_listener_answers answers;
} bench;

static void bench_make(bench *b) {
  *b = (bench){.sigma_db = 6.0, .percents = {.value = {50.0}, .n = 1}};
  b->job = (es_job){.scenarios = b->scenario,
                    .n_scenarios = HEIGHTS,
                    .listeners = {b->listener, WHO, false},
                    .aim = {.time_percent = 50.0}};
  b->setup.job = &b->job;
  b->answers = (es_listener_answers){HEIGHTS, WHO, b->answer, NULL, 0};
  for (size_t i = 0; i < HEIGHTS; i++) b->scenario[i].height_m = 5.0 * (double)(i + 1);
  for (size_t i = 0; i < HEIGHTS * WHO; i++) {
    b->answer[i] = (es_path_answer){.n = 1, .snr_db = &b->snr_db[i], .needed_db = 0.0, .heard_percent = NAN};
    b->answer[i].doubt.sigma_db = &b->sigma_db;
  }
}

/* Curves that rise and settle, with some noise of less or more than what counts. */
static void invent(bench *b, unsigned *seed) {
  for (size_t l = 0; l < WHO; l++) {
    double knee = 5.0 + 40.0 * rand_r(seed) / RAND_MAX, rise = 20.0 * rand_r(seed) / RAND_MAX;
    double noise = 1.2 * rand_r(seed) / RAND_MAX;
    for (size_t i = 0; i < HEIGHTS; i++)
      b->snr_db[i * WHO + l] =
          rise * fmin(1.0, b->scenario[i].height_m / knee) + noise * (rand_r(seed) / (double)RAND_MAX - 0.5);
  }
}

/* The definition, by itself: the lowest height from which every greater one is within 1 dB for everybody. */
static size_t stop_by_force(const bench *b) {
  for (size_t i = 0; i + 1 < HEIGHTS; i++) {
    size_t changes = 0;
    for (size_t j = i; j < HEIGHTS; j++)
      for (size_t l = 0; l < WHO; l++) changes += fabs(b->snr_db[j * WHO + l] - b->snr_db[i * WHO + l]) > 1.0;
    if (changes == 0) return i;
  }
  return HEIGHTS;
}

static size_t knee_by_force(const bench *b, size_t l) {
  for (size_t i = 0; i < HEIGHTS; i++) {
    bool best = true;
    for (size_t j = 0; j < HEIGHTS; j++) best = best && b->snr_db[j * WHO + l] - 1.0 <= b->snr_db[i * WHO + l];
    if (best) return i;
  }
  return HEIGHTS;
}

static void stop_point_and_knees(void **state) {
  (void)state;
  static bench b;
  unsigned seed = 7;
  size_t found = 0, open = 0;
  bench_make(&b);
  for (int trial = 0; trial < TRIALS; trial++) {
    es_heights heights;
    es_error err = {0};
    invent(&b, &seed);
    assert_int_equal(es_heights_make(&b.setup, &b.percents, &b.answers, NULL, &heights, &err), 0);
    assert_int_equal(heights.groups[0].stop, stop_by_force(&b));
    for (size_t l = 0; l < WHO; l++)
      assert_int_equal(es_height_knee(&heights.groups[0], &b.percents, &b.answers, l), knee_by_force(&b, l));
    found += heights.groups[0].stop < HEIGHTS;
    open += heights.groups[0].stop == HEIGHTS;
    es_heights_free(&heights);
  }
  assert_true(found > 20 && open > 20); /* both kinds were tried */
}

/* Without a stop point: the lowest height that cannot be told from the one with most listeners. By mode, and by weight. */
static void most_listeners(void **state) {
  (void)state;
  static bench b;
  es_heights heights;
  es_error err = {0};
  bench_make(&b);
  for (size_t i = 0; i < HEIGHTS; i++)
    for (size_t l = 0; l < WHO; l++) b.snr_db[i * WHO + l] = 30.0 * (double)i - 60.0 * (double)l; /* never settles */
  for (size_t l = 0; l < WHO; l++) b.listener[l].weight = 1.0;
  assert_int_equal(es_heights_make(&b.setup, &b.percents, &b.answers, NULL, &heights, &err), 0);
  assert_int_equal(heights.groups[0].stop, HEIGHTS);
  /* Height 8 has four and a half listeners to be expected, 7 has four: half a listener is as much as its own spread. 6 has
   * three and a half. */
  assert_int_equal(heights.groups[0].best, 7);
  for (size_t l = 0; l < WHO; l++) b.listener[l].weight = (double)(1u << l);
  assert_near(es_listeners_by_mode(&b.setup, &b.percents, &b.answers, 5, NULL, false), 3.0, 0.0);
  assert_near(es_listeners_by_mode(&b.setup, &b.percents, &b.answers, 5, NULL, true), 1.0 + 2.0 + 4.0, 0.0);
  es_mode hard = {.snr_2500_db = 10.0};
  assert_near(es_listeners_by_mode(&b.setup, &b.percents, &b.answers, 8, &hard, false), 4.0,
              0.0); /* the fifth has 0 dB */
  es_heights_free(&heights);
}

/* A job that aims at area: nobody among the listeners changes, but the land covered grows up to 25 m. */
static void most_area(void **state) {
  (void)state;
  static bench b;
  es_heights heights;
  es_error err = {0};
  es_area area[HEIGHTS];
  char advice[512];
  bench_make(&b);
  b.job.aim.by = ES_AIM_AREA;
  for (size_t i = 0; i < HEIGHTS; i++) {
    double km2 = 100.0 * fmin((double)i + 1.0, 5.0);
    area[i] = (es_area){km2, 0.9 * km2, 1.1 * km2};
  }
  assert_int_equal(es_heights_make(&b.setup, &b.percents, &b.answers, area, &heights, &err), 0);
  assert_int_equal(heights.groups[0].stop, 0);
  assert_int_equal(heights.groups[0].best, 4);
  es_height_advice(&b.setup, &b.percents, &b.answers, &heights.groups[0], advice, sizeof advice);
  assert_non_null(strstr(advice, "25 m does it: no height up to 45 m clearly covers more."));
  es_heights_free(&heights);
  assert_int_equal(es_heights_make(&b.setup, &b.percents, &b.answers, NULL, &heights, &err), 0);
  assert_int_equal(heights.groups[0].best, 0); /* without maps: as for any other job */
  es_heights_free(&heights);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(excess_of_the_smooth_earth),
                                     cmocka_unit_test(coax_against_an_amplifier_at_the_antenna),
                                     cmocka_unit_test(proposes_the_better_group),
                                     cmocka_unit_test(price_in_feeder_loss),
                                     cmocka_unit_test(stop_point_and_knees),
                                     cmocka_unit_test(most_listeners),
                                     cmocka_unit_test(most_area)};
  return cmocka_run_group_tests_name("heights", tests, NULL, NULL);
}
