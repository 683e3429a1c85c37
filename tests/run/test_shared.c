/* test_shared.c - what scenarios share changes nothing: every answer of a matrix equals that of a job of its own, bit by bit. */
#include "run/listeners.h"
#include "run/map_ahead.h"

#include "run/island_job.h"

static const char LIST[] = "name,lon,lat,height_m,dish_m,mode\n"
                           "Q1AAA Near,-36.10,46.57,5,0.3,ssb\n"
                           "Q1BBB Behind,-36.20,46.64,10,0.6,cw\n"
                           "Q1CCC Far,-35.95,46.70,12,,\n";
/* Trees join, at an end and on the way. */
static const char REST[] = "trees: {growth_m_per_year: 0.4, years: %g, trim_to_m: 6}\n"
                           "obstacles:\n"
                           "  - {station: \"Q1BBB Behind\", azimuth_from_deg: 0, azimuth_to_deg: 359, distance_m: 30,"
                           " depth_m: 12, top_m: 14, base_m: 2, kind: tree, leaf: broadleaf}\n"
                           "season: %s\ntime_percent: [1, 50, 90]\nclimate: {delta_n_median: 40}\n"
                           "map: {radius_km: 6, cell_m: 500, receiver: {height_m: 8}}\n";

static int32_t evaluate(island_job *j, es_listener_answers *answers) {
  es_error err = {0};
  int32_t status = es_listeners_evaluate(&j->setup, &j->percents, 1, j->worker, NULL, answers, &err);
  if (status != 0) fail_msg("%s", err.detail);
  return status;
}

static void same_numbers(const double *a, const double *b, size_t n, const char *what, const char *scenario) {
  if (memcmp(a, b, n * sizeof *a) != 0) fail_msg("%s differs in %s: %.17g and %.17g", what, scenario, a[0], b[0]);
}

static void same_texts(const char *a, const char *b) {
  assert_non_null(a);
  assert_non_null(b);
  assert_string_equal(a, b);
}

static void same_answer(const es_path_answer *a, const es_path_answer *b, const char *scenario) {
  assert_int_equal(a->status, b->status);
  assert_int_equal(a->n, b->n);
  same_numbers(a->basic_db, b->basic_db, a->n, "basic_db", scenario);
  same_numbers(a->system_db, b->system_db, a->n, "system_db", scenario);
  same_numbers(a->level_dbm, b->level_dbm, a->n, "level_dbm", scenario);
  same_numbers(a->snr_db, b->snr_db, a->n, "snr_db", scenario);
  same_numbers(a->doubt.sigma_db, b->doubt.sigma_db, a->n, "sigma_db", scenario);
  same_numbers(&a->heard_percent, &b->heard_percent, 1, "heard_percent", scenario);
  same_numbers(&a->clearance_m, &b->clearance_m, 1, "clearance_m", scenario);
  same_numbers(a->trees.end_db, b->trees.end_db, sizeof a->trees.end_db / sizeof(double), "end_db", scenario);
  same_numbers(&a->trees.trimmed_loss_db, &b->trees.trimmed_loss_db, 1, "trimmed_loss_db", scenario);
  same_texts(a->verdict.verdict, b->verdict.verdict);
  same_texts(a->verdict.limit, b->verdict.limit);
  same_texts(a->verdict.helpful, b->verdict.helpful); /* what helps has been tried among what is shared */
}

static void same_layer(const float *a, const float *b, size_t n, const char *what, const char *scenario) {
  assert_true((a == NULL) == (b == NULL));
  if (a != NULL && memcmp(a, b, n * sizeof *a) != 0) fail_msg("the map's %s differs in %s", what, scenario);
}

static es_map_layers map_of(island_job *j, size_t scenario, es_map_cells *cells) {
  const es_setup *setup = es_setup_in(&j->setup, scenario);
  es_error err = {0};
  es_map_layers layers = {0};
  if (es_map_cells_make(setup, 1, cells, &err) != 0 ||
      es_map_compute(setup, &j->job->scenarios[scenario], cells, &j->percents, 1, j->worker, NULL, &layers, &err) != 0)
    fail_msg("%s", err.detail);
  return layers;
}

static void same_map(island_job *all, size_t scenario, island_job *one) {
  const char *name = all->job->scenarios[scenario].name;
  es_map_cells cells[2];
  es_map_layers a = map_of(all, scenario, &cells[0]), b = map_of(one, 0, &cells[1]);
  assert_int_equal(a.n_cells, b.n_cells);
  same_layer(cells[0].ground_m, cells[1].ground_m, a.n_cells, "ground", name);
  for (size_t k = 0; k < a.n_percent; k++) same_layer(a.snr_db[k], b.snr_db[k], a.n_cells, "SNR", name);
  same_layer(a.heard_percent, b.heard_percent, a.n_cells, "share heard", name);
  es_map_layers_free(&a);
  es_map_layers_free(&b);
  es_map_cells_free(&cells[0]);
  es_map_cells_free(&cells[1]);
}

/* A scenario of the matrix and the only one of `one`. */
static void compare(island_job *all, const es_listener_answers *answers, size_t scenario, island_job *one) {
  es_listener_answers alone;
  assert_int_equal(one->job->n_scenarios, 1);
  evaluate(one, &alone);
  for (size_t l = 0; l < alone.n_listeners; l++)
    same_answer(es_listener_answer(answers, scenario, l), es_listener_answer(&alone, 0, l),
                all->job->scenarios[scenario].name);
  es_listener_answers_free(&alone);
  same_map(all, scenario, one);
}

/* Another site than the first: places on the ground are charted about the first one, to a hundredth of a pixel. So a job of
 * its own samples some decimetres beside. */
static void near_alone(const es_listener_answers *answers, size_t scenario, island_job *one) {
  es_listener_answers alone;
  evaluate(one, &alone);
  for (size_t l = 0; l < alone.n_listeners; l++) {
    const es_path_answer *a = es_listener_answer(answers, scenario, l), *b = es_listener_answer(&alone, 0, l);
    assert_int_equal(a->status, ES_OK);
    for (size_t k = 0; k < a->n; k++) assert_near(a->snr_db[k], b->snr_db[k], 0.1);
  }
  es_listener_answers_free(&alone);
}

/* The map about another site: the same ground, and the same levels but for roundings. */
static void map_near_alone(island_job *all, size_t scenario, island_job *one) {
  es_map_cells cells[2];
  es_map_layers a = map_of(all, scenario, &cells[0]), b = map_of(one, 0, &cells[1]);
  size_t answered = 0;
  assert_int_equal(a.n_cells, b.n_cells);
  for (size_t i = 0; i < a.n_cells; i++) {
    assert_int_equal(isnan(a.snr_db[1][i]), isnan(b.snr_db[1][i]));
    if (isnan(a.snr_db[1][i])) continue;
    assert_near(cells[0].ground_m[i], cells[1].ground_m[i], 0.1);
    assert_near(a.snr_db[1][i], b.snr_db[1][i], 1e-3);
    answered++;
  }
  assert_true(answered > 100);
  es_map_layers_free(&a);
  es_map_layers_free(&b);
  es_map_cells_free(&cells[0]);
  es_map_cells_free(&cells[1]);
}

/* Height, power, antenna, azimuth, feeder and amplifier, season. */
static void antennas_and_lines(void **state) {
  (void)state;
  static const char *const antennas[] = {"gain_dbi: 7", "dish_m: 0.3, azimuth_deg: 0"};
  static const char *const amplifiers[] = {"foot", "antenna"}, *const seasons[] = {"in-leaf", "out-of-leaf"};
  static const double heights[] = {6, 30}, powers[] = {20, 30}, azimuths[] = {50, -20};
  char *rest = es_format(REST, 3.0, "[in-leaf, out-of-leaf]");
  char *vary = es_format("%svary:\n  antenna: [{name: a, %s}, {name: b, %s}]\n  azimuth_deg: [50, -20]\n"
                         "  amplifier: [foot, antenna]\n  height_m: [6, 30]\n  power_dbm: [20, 30]\n",
                         rest, antennas[0], antennas[1]);
  free(rest);
  static const char feeder[] = "feeder: {line: foam-coax-10mm, length_m: 9}";
  char *beacon = es_format("  antenna: {gain_dbi: 0, height_m: 12}\n  power: {at_amplifier_dbm: 1, %s}", feeder);
  island_job all, one;
  es_listener_answers answers;
  island_open(&all, beacon, LIST, vary);
  free(beacon);
  free(vary);
  evaluate(&all, &answers);
  assert_int_equal(answers.n_scenarios, 64);
  for (size_t s = 0; s < 64; s += 7) {
    size_t season = s % 2, power = s / 2 % 2, height = s / 4 % 2, amplifier = s / 8 % 2, azimuth = s / 16 % 2;
    /* The line is 9 m long at 12 m: so long it would be at this height. */
    char *alone = es_format("  antenna: {%s, height_m: %g, azimuth_deg: %g}\n  power: {at_amplifier_dbm: %g, feeder: "
                            "{line: foam-coax-10mm, length_m: %g, amplifier: %s}}",
                            s / 32 ? "dish_m: 0.3" : "gain_dbi: 7", heights[height], azimuths[azimuth], powers[power],
                            heights[height] - 3.0, amplifiers[amplifier]);
    rest = es_format(REST, 3.0, seasons[season]);
    island_open(&one, alone, LIST, rest);
    compare(&all, &answers, s, &one);
    island_close(&one);
    free(rest);
    free(alone);
  }
  es_listener_answers_free(&answers);
  island_close(&all);
}

/* Site, frequency, polarisation, tilt, years of growth. */
static void sites_and_frequencies(void **state) {
  (void)state;
  static const double lon[] = {-36.1234, -36.19}, lat[] = {46.5678, 46.59}, mhz[] = {10368.875, 5760.1};
  static const double tilts[] = {0, -2}, years[] = {0, 20};
  static const char *const polars[] = {"horizontal", "vertical"};
  char *rest = es_format(REST, 3.0, "in-leaf");
  char *vary = es_format("%svary:\n  site: [{name: A, position: [%.4f, %.4f]}, {name: B, position: [%.4f, %.4f]}]\n"
                         "  frequency_mhz: [10368.875, 5760.1]\n  polarisation: [horizontal, vertical]\n"
                         "  tilt_deg: [0, -2]\n  years: [0, 20]\n",
                         rest, lon[0], lat[0], lon[1], lat[1]);
  free(rest);
  static const char form[] = "  antenna: {sector_deg: [120, 10], height_m: 15, azimuth_deg: 10, tilt_deg: %g}\n"
                             "  power: {at_amplifier_dbm: 27}\n  polarisation: %s";
  char *beacon = es_format(form, 5.0, "vertical");
  island_job all, one;
  es_listener_answers answers;
  island_open(&all, beacon, LIST, vary);
  free(beacon);
  free(vary);
  evaluate(&all, &answers);
  assert_int_equal(answers.n_scenarios, 32);
  for (size_t s = 0; s < 32; s += 5) {
    size_t growth = s % 2, tilt = s / 2 % 2, polar = s / 4 % 2, freq = s / 8 % 2, site = s / 16;
    char *alone = es_format(form, tilts[tilt], polars[polar]);
    rest = es_format(REST, years[growth], "in-leaf");
    island_open_at(&one, lon[site], lat[site], mhz[freq], alone, LIST, rest);
    if (site == 0)
      compare(&all, &answers, s, &one);
    else {
      near_alone(&answers, s, &one);
      map_near_alone(&all, s, &one);
    }
    island_close(&one);
    free(rest);
    free(alone);
  }
  es_listener_answers_free(&answers);
  island_close(&all);
}

/* Maps of scenarios that differ in power, feeder or amplifier alone come out of one pass; with or without room to hold
 * them, they are those of a map by itself. */
static void maps_share_losses(void **state) {
  (void)state;
  island_job j;
  es_error err = {0};
  es_map_cells cells;
  char *rest = es_format(REST, 3.0, "[in-leaf, out-of-leaf]");
  char *vary = es_format("%svary: {power_dbm: [20, 27, 33], amplifier: [foot, antenna], height_m: [8, 20]}\n", rest);
  island_open(&j,
              "  antenna: {gain_dbi: 7, height_m: 12}\n"
              "  power: {at_amplifier_dbm: 1, feeder: {line: foam-coax-10mm, length_m: 9}}",
              LIST, vary);
  assert_int_equal(j.job->n_scenarios, 24);
  assert_true(es_losses_are_shared(j.job, 0, 2));  /* power */
  assert_true(es_losses_are_shared(j.job, 0, 12)); /* amplifier */
  assert_false(es_losses_are_shared(j.job, 0, 1)); /* season */
  assert_false(es_losses_are_shared(j.job, 0, 6)); /* height */
  assert_int_equal(es_map_cells_make(&j.setup, 1, &cells, &err), 0);
  for (int limited = 0; limited < 2; limited++) {
    es_setup setup = j.setup;
    setup.memory_bytes = limited ? 1 : 0;
    es_map_ahead *ahead = es_map_ahead_create(&setup);
    for (size_t s = 0; s < j.job->n_scenarios; s++) {
      es_map_layers a, b;
      const char *name = j.job->scenarios[s].name;
      if (es_map_ahead_take(ahead, s, &cells, &j.percents, 1, j.worker, NULL, &a, &err) != 0 ||
          es_map_compute(es_setup_in(&j.setup, s), &j.job->scenarios[s], &cells, &j.percents, 1, j.worker, NULL, &b,
                         &err) != 0)
        fail_msg("%s", err.detail);
      for (size_t k = 0; k < a.n_percent; k++) {
        same_layer(a.snr_db[k], b.snr_db[k], a.n_cells, "SNR", name);
        same_layer(a.loss_db[k], b.loss_db[k], a.n_cells, "loss", name);
      }
      same_layer(a.heard_percent, b.heard_percent, a.n_cells, "share heard", name);
      same_layer(a.way_median, b.way_median, a.n_cells, "way", name);
      assert_int_equal(a.missing, b.missing);
      assert_near(a.noise_2500_dbm, b.noise_2500_dbm, 0.0);
      es_map_layers_free(&a);
      es_map_layers_free(&b);
    }
    es_map_ahead_destroy(ahead);
  }
  es_map_cells_free(&cells);
  island_close(&j);
  free(vary);
  free(rest);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(antennas_and_lines), cmocka_unit_test(sites_and_frequencies),
                                     cmocka_unit_test(maps_share_losses)};
  return cmocka_run_group_tests_name("shared", tests, NULL, NULL);
}
