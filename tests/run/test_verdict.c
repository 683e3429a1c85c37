/* test_verdict.c - what limits, what helps, and the words; over invented ground, so that only differences and words are
 * compared, never levels. */
#include "base/units.h"
#include "island_job.h"

static const char OMNI[] = "  antenna: {gain_dbi: 10, height_m: 18}\n  power: {at_amplifier_dbm: 20}";

static const es_help *help_named(const es_path_answer *a, const char *words) {
  for (size_t i = 0; i < a->verdict.n_help; i++)
    if (strstr(a->verdict.help[i].what, words) != NULL) return &a->verdict.help[i];
  return NULL;
}

/* Each change named is worth what a second evaluation with that change gives; the best stands first. */
static void helps_are_real(void **state) {
  (void)state;
  island_job j;
  island_open(&j, OMNI, "name,lon,lat,height_m,dish_m,mode\nfar,-34.30,46.40,10,0.6,cw\n", "");
  es_path_answer a = island_advice(&j, 0);
  assert_int_equal(a.status, ES_OK);
  assert_true(a.verdict.n_help >= 1 && a.verdict.n_help <= ES_HELPS);
  es_scenario scenario = j.job->scenarios[0];
  es_listener listener = j.job->listeners.items[0];
  size_t m = j.percents.median;
  const es_help *power = help_named(&a, "6 dB more power");
  assert_non_null(power);
  assert_near(power->db, 6.0, 1e-9); /* nothing else depends on power */
  scenario.power_dbm += 6.0;
  es_path_answer louder = island_path(&j, &scenario, &listener);
  assert_near(power->heard_percent, louder.heard_percent, 1e-9);
  const es_help *dish = help_named(&a, "a 0.75 m dish");
  if (dish != NULL) {
    es_listener larger = listener;
    larger.rx.antenna = es_antenna_dish(0.75, 0.55, j.job->beacon.freq_ghz);
    larger.rx.antenna.tracks = true;
    es_path_answer with = island_path(&j, &j.job->scenarios[0], &larger);
    assert_near(dish->db, with.snr_db[m] - a.snr_db[m], 1e-9);
  }
  for (size_t i = 1; i < a.verdict.n_help; i++)
    assert_true(a.verdict.help[i].heard_percent <= a.verdict.help[i - 1].heard_percent + 0.5);
  assert_non_null(strstr(a.verdict.helpful, "6 dB more power (+6.0 dB, to "));
  assert_true(a.doubt.heard_low_percent <= a.heard_percent && a.heard_percent <= a.doubt.heard_high_percent);
  assert_true(a.doubt.snr_db[0] > a.doubt.snr_db[1] && a.doubt.snr_db[1] > a.doubt.snr_db[2]);
  island_close(&j);
}

/* A vertical feed for a horizontal beacon: turning it gives back what crossed polarisation took. */
static void crossed_feed(void **state) {
  (void)state;
  island_job j;
  island_open(&j, OMNI, "name,lon,lat,height_m,dish_m,mode,polarisation\nfar,-34.30,46.40,10,0.6,cw,vertical\n", "");
  es_path_answer a = island_advice(&j, 0);
  assert_near(a.polarisation_db, 25.0, 1e-9);
  assert_int_equal(a.verdict.cause.kind, ES_CAUSE_POLARISATION);
  const es_help *turn = help_named(&a, "turn the feed");
  assert_non_null(turn);
  assert_near(turn->db, 25.0, 1e-9);
  assert_ptr_equal(turn, &a.verdict.help[0]); /* the best stands first */
  island_close(&j);
}

/* Trials leave no trace: the answer with and without them is the same, and so it is the second time. */
static void the_same_again(void **state) {
  (void)state;
  island_job with, without;
  const char *list = "name,lon,lat,height_m,dish_m,mode\nfar,-34.30,46.40,10,0.6,cw\n";
  island_open(&with, OMNI, list, "");
  island_open(&without, OMNI, list, "help: no");
  es_path_answer a = island_advice(&with, 0), b = island_advice(&without, 0), again = island_advice(&with, 0);
  for (size_t k = 0; k < a.n; k++) assert_true(a.snr_db[k] == b.snr_db[k] && a.snr_db[k] == again.snr_db[k]);
  assert_string_equal(a.verdict.helpful, again.verdict.helpful);
  assert_string_equal(a.verdict.limit, b.verdict.limit);
  assert_int_equal(b.verdict.n_help, 0);
  assert_string_equal(b.verdict.helpful, "");
  island_close(&with);
  island_close(&without);
}

/* A chain that knows the better half of the year never says more than that half, and always wants to be sure of it. */
static void better_half(void **state) {
  (void)state;
  island_job j;
  island_open(&j, OMNI, "name,lon,lat,height_m,dish_m,mode\nnear,-36.20,46.54,10,0.6,cw\n",
              "chain: openings\nhelp: no");
  es_path_answer a = island_advice(&j, 0);
  assert_int_equal(a.status, ES_OK);
  assert_non_null(strstr(a.verdict.verdict, "50 % or more of the year"));
  assert_null(strstr(a.verdict.verdict, "99 %"));
  assert_true(isnan(a.doubt.snr_db[2])); /* nothing is known of the worse half */
  assert_null(a.verdict.best[2]);
  island_close(&j);
}

/* A four-leaf pattern of 10, 6 and 0 dBi: the level swings by 10 dB as the antenna is turned, all else equal. On the
 * surface way: scatter's coupling loss gives some of it back (P.617). */
static void four_leaves(void **state) {
  (void)state;
  island_job j;
  double low = INFINITY, high = -INFINITY;
  island_open(&j, OMNI, "name,lon,lat,height_m,dish_m,mode\nnear,-36.20,46.54,10,0.6,cw\n", "help: no");
  double angle[16], rel[16];
  for (int i = 0; i < 16; i++) {
    angle[i] = es_rad(22.5 * i);
    rel[i] = i % 2 == 1 ? -10.0 : i % 4 == 0 ? 0.0 : -4.0;
  }
  j.job->beacon.antenna = (es_antenna){.shape = ES_SHAPE_TABLE, .peak_dbi = 10.0, .az = {16, angle, rel}};
  double bearing = es_rad(island_path(&j, &j.job->scenarios[0], &j.job->listeners.items[0]).course.azimuth_deg);
  for (int i = 0; i < 16; i++) {
    j.job->beacon.antenna.azimuth = bearing - es_rad(22.5 * i);
    es_path_answer a = island_path(&j, &j.job->scenarios[0], &j.job->listeners.items[0]);
    double level = a.level_dbm[j.percents.median];
    low = fmin(low, level);
    high = fmax(high, level);
    if (i == 1) {
      assert_near(a.doubt.short_tx_db, 10.0, 0.01);
      assert_near(a.doubt.spread.db[ES_SIGMA_PATTERN], 5.0, 0.0); /* in a null of the pattern: common practice */
    }
  }
  assert_near(high - low, 10.0, 0.05);
  j.job->beacon.antenna = es_antenna_all_round(10.0); /* the arrays are the test's own */
  island_close(&j);
}

/* Trees that take 30 dB of every way but when they are gone. */
static int32_t thirty_db(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)self;
  (void)err;
  for (size_t j = 0; j < task->n_percent * task->rx->n; j++) out->value[j] = task->season == ES_NO_TREES ? 0.0 : 30.0;
  return 0;
}

/* They are named, trimming them gives the 30 dB back, and they bring their doubt: 8 dB, common practice. */
static void trees(void **state) {
  (void)state;
  island_job j;
  es_loaded_model model = {.is = {.id = "foliage",
                                  .role = ES_END,
                                  .touches = ES_ALL_WAYS,
                                  .max_ghz = 100.0,
                                  .max_km = 1000.0,
                                  .evaluate = thirty_db}};
  island_open(&j, OMNI, "name,lon,lat,height_m,dish_m,mode\nfar,-34.30,46.40,10,0.6,cw\n", "season: [in-leaf]");
  j.setup.chain.models[j.setup.chain.n++] = &model;
  es_path_answer a = island_advice(&j, 0);
  assert_near(a.doubt.foliage_db, 30.0, 1e-9);
  assert_near(a.doubt.spread.db[ES_SIGMA_FOLIAGE], 8.0, 0.0);
  assert_int_equal(a.verdict.cause.kind, ES_CAUSE_TREES);
  const es_help *trim = help_named(&a, "trim the trees");
  assert_non_null(trim);
  assert_near(trim->db, 30.0, 1e-6);
  assert_ptr_equal(trim, &a.verdict.help[0]);
  island_close(&j);
}

/* --- causes, by answers made up for them --------------------------------------------------------------------------- */

static double losses[1];

static es_path_answer made_up(void) {
  return (es_path_answer){.status = ES_OK,
                          .course = {.dist_m = 50e3},
                          .los = true,
                          .clearance_m = 20.0,
                          .worst_m = 49.7e3,
                          .trees_m = NAN,
                          .smooth_horizon_m = 60e3,
                          .noise = {.antenna_k = 180.0, .system_k = 250.0},
                          .n = 1,
                          .term_id = {"diffraction"},
                          .term_db = {losses},
                          .n_terms = 1,
                          .heard_percent = 40.0};
}

static es_cause cause_of(const es_path_answer *a) {
  es_setup setup = {.timed = true, .highest_percent = 100.0};
  es_percentages p = {.value = {50.0}, .n = 1};
  return es_verdict_cause(&setup, NULL, &p, a);
}

static void causes(void **state) {
  (void)state;
  uint8_t surface = ES_SURFACE, scatter = ES_SCATTER;
  es_path_answer a = made_up();
  a.winner = &surface;
  losses[0] = 0.0;
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_DISTANCE); /* nothing in the way */
  a.heard_percent = 99.5;
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_NOTHING);
  a.heard_percent = 40.0;
  a.los = false;
  a.clearance_m = -15.0;
  losses[0] = 24.0;
  es_cause c = cause_of(&a);
  assert_int_equal(c.kind, ES_CAUSE_RIDGE);
  assert_near(c.db, 24.0, 0.0);
  assert_near(c.from_m, 300.0, 1e-6);
  assert_true(c.listener);
  assert_near(c.above_m, 15.0, 0.0);
  a.doubt.foliage_db = 30.0;
  a.trees_m = 49.7e3;
  a.trees_above_m = 4.0;
  c = cause_of(&a);
  assert_int_equal(c.kind, ES_CAUSE_TREES);
  assert_near(c.from_m, 300.0, 1e-6);
  a.doubt.foliage_db = 0.0;
  a.doubt.short_tx_db = 28.0;
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_NULL);
  assert_false(cause_of(&a).listener);
  a.doubt.short_tx_db = 0.0;
  a.noise.system_k = 290.0 * es_ratio(40.0);
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_NOISE);
  a.noise.system_k = 250.0;
  a.winner = &scatter;
  a.course.dist_m = 155e3;
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_DISTANCE); /* beyond the smooth earth's horizon, no hill */
  a.el_rx = es_rad(1.0);
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_RIDGE); /* the horizon is raised */
  a.status = ES_MISSING;
  assert_int_equal(cause_of(&a).kind, ES_CAUSE_NO_GROUND);
}

static void shares(void **state) {
  (void)state;
  char text[24];
  es_share_text(0.3, text, sizeof text);
  assert_string_equal(text, "under 1 %");
  es_share_text(67.6, text, sizeof text);
  assert_string_equal(text, "68 %");
  es_share_text(99.6, text, sizeof text);
  assert_string_equal(text, "over 99 %");
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(helps_are_real), cmocka_unit_test(crossed_feed),
                                     cmocka_unit_test(the_same_again), cmocka_unit_test(better_half),
                                     cmocka_unit_test(four_leaves),    cmocka_unit_test(trees),
                                     cmocka_unit_test(causes),         cmocka_unit_test(shares)};
  return cmocka_run_group_tests_name("verdict", tests, NULL, NULL);
}
