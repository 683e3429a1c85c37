/* test_trees.c - what stands on a path, which of it blocks, both seasons in one year, and whole paths over the made island. */
#include "run/canopy.h"
#include "run/map.h"
#include "run/path.h"
#include "run/year.h"
#include "station/folder.h"

/* --- on the samples ---------------------------------------------------------------------------------------------------------- */

enum { N = 31 }; /* 3 km in steps of 100 m */

typedef struct bench {
  double dist[N], ground[N], canopy[N];
  uint8_t cover[N], zone[N], known[N];
  es_obstacle obstacle[4];
  es_job job;
  es_setup setup;
  es_listener listener;
  es_course course;
  es_samples samples;
  es_arena *arena;
} bench;

static char ness[] = "Ness", beacon[] = "beacon", nothing[] = "";

/* Ground rising 10 m a kilometre, a raster of trees of 12 m from 500 m on. */
static int set_up(void **state) {
  bench *b = calloc(1, sizeof *b);
  assert_non_null(b);
  for (int i = 0; i < N; i++) {
    b->dist[i] = 100.0 * i;
    b->ground[i] = 1.0 * i;
    b->canopy[i] = i >= 5 ? 12.0 : 0.0;
    b->cover[i] = i == 20 ? 7 : 1;
    b->zone[i] = ES_ZONE_INLAND;
    b->known[i] = 1;
  }
  b->job.beacon.name = b->job.beacon.call = nothing;
  b->job.ground.n_canopy = 1;
  b->job.trees = (es_trees_plan){1.0, 0.0, ES_CONIFER, NAN, NAN, NAN};
  b->job.obstacles.items = b->obstacle;
  b->setup.job = &b->job;
  b->setup.facts.has_canopy = true;
  b->listener.name = ness;
  b->course = (es_course){.dist_m = 3000.0, .azimuth_deg = 90.0, .back_azimuth_deg = 270.0};
  b->samples = (es_samples){.n = N,
                            .step_m = 100.0,
                            .dist_m = b->dist,
                            .ground_m = b->ground,
                            .canopy_m = b->canopy,
                            .cover = b->cover,
                            .zone = b->zone,
                            .known = b->known};
  b->arena = es_arena_create();
  *state = b;
  return 0;
}

static int tear_down(void **state) {
  bench *b = *state;
  es_arena_destroy(b->arena);
  free(b);
  return 0;
}

static void put(bench *b, char *station, double distance, double depth, double top, uint8_t leaf) {
  b->obstacle[b->job.obstacles.n++] = (es_obstacle){station, 0, 360, distance, depth, top, 0, 1, leaf, 1};
}

static void stand(bench *b, int32_t season, double trim_m, bool map) {
  es_canopy_view view = {season, trim_m};
  assert_int_equal(es_canopy_stand(&b->setup, &view, map ? NULL : &b->listener, &b->course, b->arena, &b->samples), 0);
}

static size_t sample_at(const es_samples *s, double x) {
  for (size_t i = 0; i < s->n; i++)
    if (fabs(s->dist_m[i] - x) < 1e-9) return i;
  fail_msg("no sample at %g m", x);
  return 0;
}

static void rasters_grow_and_are_cut(void **state) {
  bench *b = *state;
  b->job.trees.height_factor = 0.5, b->job.trees.growth_m = 1.5;
  stand(b, ES_IN_LEAF, NAN, false);
  assert_int_equal(b->samples.n, N);
  assert_near(b->samples.canopy_m[5], 7.5, 1e-12);
  assert_near(b->samples.canopy_m[4], 0.0, 0.0);
  assert_near(b->samples.density[4], 0.0, 0.0);
  assert_int_equal(b->samples.leaf[5], ES_CONIFER);
  b->samples.canopy_m = b->canopy;
  stand(b, ES_IN_LEAF, 6.0, false);
  assert_near(b->samples.canopy_m[5], 6.0, 0.0);
}

static void classes_tell_base_and_leaf(void **state) {
  bench *b = *state;
  b->job.cover_table.given = true;
  b->job.cover_table.of[1] = (es_cover_class){20.0, 3.0, 0.7, ES_BROADLEAF};
  stand(b, ES_IN_LEAF, NAN, false);
  assert_near(b->samples.canopy_m[6], 12.0, 0.0); /* the raster's height */
  assert_near(b->samples.base_m[6], 3.0, 0.0);
  assert_near(b->samples.density[6], 0.7, 0.0);
  assert_int_equal(b->samples.leaf[6], ES_BROADLEAF);
  assert_int_equal(b->samples.leaf[20], ES_CONIFER); /* class 7 is not in the table: the job's own kind */
  b->setup.facts.has_canopy = false;
  stand(b, ES_IN_LEAF, NAN, false);
  assert_near(b->samples.canopy_m[6], 20.0, 0.0); /* classes alone */
  assert_int_equal(b->samples.leaf[20], ES_NO_LEAF);
}

static void without_trees_only_walls_stand(void **state) {
  bench *b = *state;
  stand(b, ES_NO_TREES, NAN, false);
  assert_null(b->samples.canopy_m);
  put(b, ness, 40, 10, 8, ES_OPAQUE);
  put(b, ness, 70, 10, 8, ES_MIXED_LEAF);
  b->samples.canopy_m = b->canopy;
  stand(b, ES_NO_TREES, NAN, false);
  assert_near(b->samples.canopy_m[sample_at(&b->samples, 2955.0 + 5.0)], 8.0, 0.0);
  assert_near(b->samples.canopy_m[sample_at(&b->samples, 2930.0)], 0.0, 0.0);
}

/* The list of a station, from it to the last obstacle within a kilometre, is all that stands there. */
static void lists_outrank_rasters(void **state) {
  bench *b = *state;
  put(b, ness, 640, 20, 5, ES_BROADLEAF);
  put(b, ness, 28, 9, 17, ES_BROADLEAF);
  stand(b, ES_IN_LEAF, NAN, false);
  const es_samples *s = &b->samples;
  assert_int_equal(s->n, N + 8);
  size_t near = sample_at(s, 2972.0), far = sample_at(s, 2340.0);
  assert_near(s->canopy_m[near], 17.0, 0.0);
  assert_near(s->canopy_m[near + 1], 0.0, 0.0); /* an upright edge a millimetre wide */
  assert_near(s->dist_m[near + 1] - s->dist_m[near], 1e-3, 1e-9);
  assert_near(s->ground_m[near], 29.72, 1e-9); /* the ground in between is not changed */
  assert_near(s->canopy_m[far], 5.0, 0.0);
  assert_near(s->canopy_m[sample_at(s, 2600.0)], 0.0, 0.0);  /* surveyed: nothing */
  assert_near(s->canopy_m[sample_at(s, 2300.0)], 12.0, 0.0); /* beyond: the raster */
  assert_near(s->canopy_m[sample_at(s, 600.0)], 12.0, 0.0);  /* the other end has no list */
  for (size_t i = 1; i < s->n; i++) assert_true(s->dist_m[i] > s->dist_m[i - 1]);
}

static void beyond_a_kilometre_the_higher_stands(void **state) {
  bench *b = *state;
  put(b, beacon, 1500, 50, 9, ES_BROADLEAF);
  put(b, beacon, 1700, 50, 30, ES_BROADLEAF);
  stand(b, ES_IN_LEAF, NAN, false);
  assert_near(b->samples.canopy_m[sample_at(&b->samples, 1500.0)], 12.0, 0.0);
  assert_near(b->samples.canopy_m[sample_at(&b->samples, 1700.0)], 30.0, 0.0);
}

static void maps_take_the_nearest_samples(void **state) {
  bench *b = *state;
  put(b, beacon, 230, 10, 30, ES_OPAQUE);
  put(b, ness, 230, 10, 30, ES_OPAQUE); /* no listener's list on a map */
  stand(b, ES_IN_LEAF, NAN, true);
  assert_int_equal(b->samples.n, N);
  assert_near(b->samples.canopy_m[2], 30.0, 0.0);
  assert_near(b->samples.canopy_m[28], 12.0, 0.0);
}

/* --- blocking ---------------------------------------------------------------------------------------------------------------- */

/* 20 km over water, both antennas 20 m up, a hedge 200 m from the listener, 5 m above the ray. */
static void a_hedge_in_the_way(void **state) {
  bench *b = *state;
  enum { POINTS = 205 };
  double dist[POINTS], ground[POINTS] = {0}, canopy[POINTS] = {0};
  for (int i = 0; i < 200; i++) dist[i] = 100.0 * i;
  double wavelength = 0.02891, path = 20000.0;
  dist[199] = 19794.999, dist[200] = 19795.0, dist[201] = 19805.0, dist[202] = 19805.001, dist[203] = 19900.0;
  dist[198] = 19700.0, dist[204] = path;
  es_samples s = {.n = POINTS, .dist_m = dist, .ground_m = ground, .canopy_m = canopy};
  double ray = 20.0 - 200.0 * 19800.0 / (2.0 * 8.5e6);
  canopy[200] = canopy[201] = ray + 5.0;
  es_line line;
  assert_int_equal(es_line_make(b->arena, &s, 0.0, &line), 0);
  es_radial_setup place = {{0, 50}, 0.0, 20.0, 10.368, 8500.0, wavelength, NULL};
  es_spot spot = {path, 0.0, 20.0, ES_ZONE_INLAND, 0.0};
  es_radial radial;
  assert_int_equal(es_radial_place(b->arena, &place, &line, &spot, 1, &radial), 0);
  es_blocking near, far;
  es_blocking_find(&radial, 0, ES_LISTENER, wavelength, &near);
  es_blocking_find(&radial, 0, ES_BEACON, wavelength, &far);
  assert_true(near.any);
  assert_false(far.any);
  assert_near(near.from_m, 195.0, 0.01);
  assert_near(near.depth_m, 10.0, 0.01);
  assert_near(near.below_m, 5.0, 0.01);
  double zone = sqrt(wavelength * 200.0 * 19800.0 / path);
  assert_near(near.below_f1, 5.0 / zone, 0.1);
  assert_near(near.extra_m, (5.0 + 0.6 * zone) / (1.0 - 200.0 / path), 0.05);
  assert_near(es_under_canopy_m(&radial, 0, ES_LISTENER), 0.0, 0.0);
}

/* --- the year ------------------------------------------------------------------------------------------------------------------ */

static void seasons_are_weighed_by_shares(void **state) {
  (void)state;
  es_percentages p = {.value = {1, 10, 50, 90, 99}, .n = 5};
  const double in[5] = {20, 10, 0, -10, -20}, out[5] = {40, 30, 20, 10, 0};
  es_year_figure all_in = es_year_weigh(&p, in, out, 12.0, 0.0), none = es_year_weigh(&p, in, out, 0.0, 0.0);
  assert_near(all_in.snr_db[1], 0.0, 1e-6);
  assert_near(all_in.heard_percent, 50.0, 1e-9);
  assert_near(none.snr_db[1], 20.0, 1e-6);
  assert_near(none.heard_percent, 100.0, 1e-9);
  es_year_figure half = es_year_weigh(&p, in, out, 6.0, 0.0);
  assert_near(half.heard_percent, 0.5 * (50.0 + 100.0), 1e-9); /* shares, not dB */
  assert_near(half.snr_db[1], 10.0, 0.01);                     /* both distributions are alike, so the middle */
  assert_true(half.snr_db[0] > 0.5 * (10.0 + 30.0)); /* the best tenth comes from the bare months: no mean of dB */
  p.n = 3;                                           /* nothing is known beyond half of the time */
  assert_true(isnan(es_year_weigh(&p, in, out, 6.0, 0.0).snr_db[2]));
  assert_true(half.snr_db[0] < 30.0 && half.snr_db[2] > -10.0 && half.snr_db[2] < 10.0);
}

static void wind(void **state) {
  (void)state;
  double db, hz;
  es_flutter(4.0, &db, &hz);
  assert_near(db, 1.0, 1e-12);
  es_flutter(0.0, &db, &hz);
  assert_near(hz, 0.1, 1e-12);
  es_flutter(40.0, &db, &hz);
  assert_near(db, 6.0, 0.0);
  assert_near(hz, 10.0, 1e-9);
}

/* --- whole paths over the island ------------------------------------------------------------------------------------------------- */

static const char JOB[] = "beacon: {name: Skarn Head, position: [-36.1234, 46.5678], frequency_mhz: 10368.875,\n"
                          "  antenna: {gain_dbi: 10, height_m: 18}, power: {at_amplifier_dbm: 27}}\n"
                          "listeners: l.csv\n"
                          "ground: {elevation: " ES_TERRAIN "/elevation, canopy_height: " ES_TERRAIN "/canopy.tif,\n"
                          "  mask: " ES_TERRAIN "/land.geojson, vertical_datum: invented}\n"
                          "climate: {delta_n_median: 40}\n"
                          "chain: whole-year\n"
                          "season: [in-leaf, out-of-leaf, no-trees]\n"
                          "trees: {leaf: broadleaf, leaf_months: 6, trim_to_m: 3}\n"
                          "obstacles:\n"
                          "  - {station: Sorrel, azimuth_from_deg: 120, azimuth_to_deg: 140, distance_m: 28, depth_m: "
                          "9, top_m: 17, base_m: 3}\n";
static const char LIST[] =
    "name,lon,lat,height_m,dish_m\nSorrel,-36.3737,46.7198,12,0.9\nWood,-36.1674,46.5683,8,0.6\n";

typedef struct island {
  test_folder folder;
  es_faults faults;
  es_job *job;
  es_setup setup;
  es_percentages percents;
  es_worker *worker;
  es_arena *results;
} island;

static void island_open(island *at) {
  static const char *const folders[] = {ES_MODELS};
  es_model_folders models = {folders, 1, NULL};
  folder_open(&at->folder);
  folder_write(&at->folder, "l.csv", LIST);
  at->job = es_job_open(folder_write(&at->folder, "job.yaml", JOB), &at->faults);
  if (at->job == NULL) faults_print(&at->faults);
  assert_non_null(at->job);
  bool ok = es_setup_plan(at->job, &models, &at->setup, &at->faults) && es_setup_ground(&at->setup, &at->faults, NULL);
  if (!ok) faults_print(&at->faults);
  assert_true(ok);
  at->percents = es_percentages_of(at->job, at->setup.timed, at->setup.highest_percent);
  at->worker = es_workers_create(1);
  at->results = es_arena_create();
}

static void island_close(island *at) {
  es_arena_destroy(at->results);
  es_workers_destroy(at->worker, 1);
  es_setup_close(&at->setup);
  es_job_close(at->job);
  es_faults_free(&at->faults);
  folder_close(&at->folder);
}

static es_path_answer path_of(island *at, size_t scenario, size_t listener) {
  es_path_answer a;
  es_error err = {0};
  assert_int_equal(es_path_evaluate(&at->setup, &at->job->scenarios[scenario], &at->job->listeners.items[listener],
                                    &at->percents, at->worker, at->results, NULL, NULL, &a, NULL, &err),
                   0);
  assert_int_equal(a.status, ES_OK);
  return a;
}

static void seasons_over_the_island(void **state) {
  (void)state;
  island at = {0};
  island_open(&at);
  for (size_t l = 0; l < 2; l++) {
    es_path_answer in = path_of(&at, 0, l), out = path_of(&at, 1, l), none = path_of(&at, 2, l);
    size_t m = at.percents.median;
    assert_true(in.trees.stands && out.trees.stands && !none.trees.stands);
    assert_true(in.basic_db[m] >= out.basic_db[m] && out.basic_db[m] >= none.basic_db[m] - 1e-9);
    assert_near(in.trees.no_trees_loss_db, none.basic_db[m],
                0.02); /* samples at the hedge's edges move the rest a little */
    for (size_t w = 0; w < ES_WAYS; w++) assert_true(in.trees.end_db[w] >= 0.0); /* every way pays */
    assert_true(in.trees.low_db <= in.trees.middle_db && in.trees.middle_db <= in.trees.high_db);
    assert_true(in.trees.trimmed_loss_db < in.basic_db[m]);
    for (size_t method = 0; method < ES_THROUGH_METHODS; method++) assert_true(isfinite(in.trees.method_db[0][method]));
  }
  island_close(&at);
}

static void the_year_of_a_path(void **state) {
  (void)state;
  island at = {0};
  island_open(&at);
  es_error err = {0};
  es_path_answer in = path_of(&at, 0, 1), out = path_of(&at, 1, 1);
  es_year_figure want = es_year_weigh(&at.percents, in.snr_db, out.snr_db, 6.0, in.needed_db), got;
  for (size_t scenario = 0; scenario < 3; scenario++) { /* whichever is asked for, the year is the same */
    assert_int_equal(es_year_of_path(&at.setup, &at.percents, scenario, &at.job->listeners.items[1], at.worker,
                                     at.results, &got, &err),
                     0);
    assert_true(got.known);
    for (int i = 0; i < 3; i++) assert_near(got.snr_db[i], want.snr_db[i], 0.0);
  }
  assert_true(in.snr_db[at.percents.median] < got.snr_db[1] && got.snr_db[1] < out.snr_db[at.percents.median]);
  at.job->trees.leaf_months = NAN;
  assert_int_equal(
      es_year_of_path(&at.setup, &at.percents, 0, &at.job->listeners.items[1], at.worker, at.results, &got, &err), 0);
  assert_false(got.known); /* nobody asked */
  island_close(&at);
}

/* 1 dB of trees makes a class of its own, of the way along the ground only. */
static void ways_through_trees(void **state) {
  (void)state;
  assert_int_equal(es_map_way(ES_SURFACE, 1.01), 9);
  assert_int_equal(es_map_way(ES_SURFACE, 1.0), ES_SURFACE);
  assert_int_equal(es_map_way(ES_DUCT, 20.0), ES_DUCT);
  assert_int_equal(es_map_way(ES_SCATTER, 20.0), ES_SCATTER);
  assert_int_equal(es_map_way(0, 20.0), 0);
}

static void the_tree_that_does_it(void **state) {
  (void)state;
  island at = {0};
  island_open(&at);
  es_path_answer sorrel = path_of(&at, 0, 0), wood = path_of(&at, 0, 1);
  const es_blocking *b = &sorrel.trees.block[ES_LISTENER];
  assert_true(b->any);
  assert_near(b->from_m, 28.0, 0.01);
  assert_near(b->depth_m, 9.0, 0.01);
  assert_true(b->below_m > 4.0 && b->below_m < 5.0); /* 5 m over the antenna, the ray rises 0.68 degrees */
  assert_near(sorrel.trees.under_m[ES_LISTENER], 0.0, 0.0);
  assert_true(wood.trees.under_m[ES_LISTENER] > 0.0); /* a listener in the wood is no error, but is told */
  assert_true(isfinite(wood.snr_db[at.percents.median]));
  island_close(&at);
}

int main(void) {
#define BENCH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)
  const struct CMUnitTest tests[] = {BENCH(rasters_grow_and_are_cut),
                                     BENCH(classes_tell_base_and_leaf),
                                     BENCH(without_trees_only_walls_stand),
                                     BENCH(lists_outrank_rasters),
                                     BENCH(beyond_a_kilometre_the_higher_stands),
                                     BENCH(maps_take_the_nearest_samples),
                                     BENCH(a_hedge_in_the_way),
                                     cmocka_unit_test(seasons_are_weighed_by_shares),
                                     cmocka_unit_test(wind),
                                     cmocka_unit_test(seasons_over_the_island),
                                     cmocka_unit_test(the_year_of_a_path),
                                     cmocka_unit_test(ways_through_trees),
                                     cmocka_unit_test(the_tree_that_does_it)};
  return cmocka_run_group_tests_name("trees", tests, NULL, NULL);
}
