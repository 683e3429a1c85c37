/* test_ranking.c - chances, scores, ties and pairs, on answers made by hand and over the island. */
#include "run/compare.h"
#include "run/ranking.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "near.h"

enum { LISTENERS = 4, SCENARIOS = 3 };

/* Answers of a chain without time: the median alone, sigma 6 dB, what is needed 0 dB. */
typedef struct bench {
  es_job job;
  es_setup setup;
  es_percentages percents;
  es_scenario scenario[SCENARIOS];
  es_listener listener[LISTENERS];
  es_path_answer answer[SCENARIOS * LISTENERS];
  double snr_db[SCENARIOS * LISTENERS], sigma_db[SCENARIOS * LISTENERS];
  es_listener_answers answers;
} bench;

static int set_up(void **state) {
  bench *b = calloc(1, sizeof *b);
  assert_non_null(b);
  b->job.scenarios = b->scenario;
  b->job.n_scenarios = SCENARIOS;
  b->job.listeners = (es_listeners){b->listener, LISTENERS, false};
  b->job.aim.time_percent = 50.0;
  b->job.spread.ear_db = NAN;
  b->setup.job = &b->job;
  b->percents = (es_percentages){.value = {50.0}, .n = 1};
  b->answers = (es_listener_answers){SCENARIOS, LISTENERS, b->answer, NULL, 0};
  static char names[LISTENERS][4] = {"Q1A", "Q1B", "Q1C", "Q1D"}, scenarios[SCENARIOS][2] = {"a", "b", "c"};
  for (size_t l = 0; l < LISTENERS; l++) b->listener[l] = (es_listener){.name = names[l], .weight = 1.0};
  for (size_t s = 0; s < SCENARIOS; s++) b->scenario[s].name = scenarios[s];
  for (size_t i = 0; i < SCENARIOS * LISTENERS; i++) {
    b->sigma_db[i] = 6.0;
    b->answer[i] = (es_path_answer){.n = 1, .snr_db = &b->snr_db[i], .needed_db = 0.0, .heard_percent = NAN};
    b->answer[i].doubt.sigma_db = &b->sigma_db[i];
  }
  *state = b;
  return 0;
}

static int tear_down(void **state) {
  free(*state);
  return 0;
}

static void margins(bench *b, size_t scenario, double a, double b_, double c, double d) {
  const double all[LISTENERS] = {a, b_, c, d};
  memcpy(&b->snr_db[scenario * LISTENERS], all, sizeof all);
}

static es_ranking rank(bench *b, const es_area *area) {
  es_ranking r;
  es_error err = {0};
  if (es_ranking_make(&b->setup, &b->percents, &b->answers, area, &r, &err) != 0) fail_msg("%s", err.detail);
  return r;
}

/* The normal distribution: 50 % at the median, 84.13 % one sigma above it (any table of it). */
static void expected_listeners(void **state) {
  bench *b = *state;
  margins(b, 0, 0.0, 6.0, -6.0, 60.0);
  b->listener[1].weight = 3.0;
  es_ranking r = rank(b, NULL);
  assert_near(r.chance[0], 0.5, 1e-9);
  assert_near(r.chance[1], 0.841344746, 1e-6);
  assert_near(r.chance[2], 0.158655254, 1e-6);
  assert_near(r.scores[0].listeners, 0.5 + 3.0 * 0.841344746 + 0.158655254 + 1.0, 1e-5);
  assert_int_equal(r.scores[0].heard, 3);
  assert_near(r.weight, 6.0, 1e-12);
  es_ranking_free(&r);
}

/* No answer is not a listener, and not a missing number. */
static void no_answer(void **state) {
  bench *b = *state;
  b->answer[3].status = ES_MISSING;
  es_ranking r = rank(b, NULL);
  assert_true(isnan(r.chance[3]));
  assert_near(r.scores[0].listeners, 1.5, 1e-9);
  es_ranking_free(&r);
}

/* At one site errors are shared: p and q of one listener decide apart with |p - q|. At two they are independent. */
static void variances(void **state) {
  (void)state;
  assert_near(es_chance_variance(0.9, 0.9, true), 0.0, 1e-12);
  assert_near(es_chance_variance(0.9, 0.9, false), 0.18, 1e-12);
  assert_near(es_chance_variance(0.2, 0.8, true), 0.24, 1e-12);
  assert_near(es_chance_variance(0.0, 1.0, false), 0.0, 1e-12);
}

static void clear_and_tied(void **state) {
  bench *b = *state;
  margins(b, 0, -60.0, -60.0, -60.0, -60.0);
  margins(b, 1, 60.0, 60.0, 1.0, -60.0); /* two for sure, one likely */
  margins(b, 2, 60.0, 60.0, 3.0, -60.0); /* a little likelier: within the spread */
  es_ranking r = rank(b, NULL);
  assert_int_equal(es_ranking_compare(&r, 1, 0), 1);
  assert_int_equal(es_ranking_compare(&r, 0, 1), -1);
  assert_int_equal(es_ranking_compare(&r, 1, 2), 0);
  assert_int_equal(r.order[0], 2);
  assert_int_equal(r.scores[1].rank, 1);
  assert_int_equal(r.scores[2].rank, 1);
  assert_int_equal(r.scores[0].rank, 3);
  assert_true(r.scores[1].tied_with_best);
  assert_false(r.scores[2].tied_with_best);
  assert_false(r.scores[0].tied_with_best);
  char text[256];
  es_ranking_sentence(&r, text, sizeof text);
  assert_string_equal(text,
                      "Best of 3 scenarios: c, 2.7 of 4 listeners to be expected; 1 more cannot be told from it.");
  es_ranking_free(&r);
}

/* A listener named first outweighs all others; then area when the job says so. */
static void first_and_area(void **state) {
  bench *b = *state;
  size_t first[] = {3};
  margins(b, 0, 60.0, 60.0, 60.0, -60.0);
  margins(b, 1, -60.0, -60.0, -60.0, 60.0);
  margins(b, 2, 60.0, 60.0, 60.0, -60.0);
  es_ranking r = rank(b, NULL);
  assert_int_equal(r.order[0], 0);
  es_ranking_free(&r);
  b->job.aim.first = first;
  b->job.aim.n_first = 1;
  r = rank(b, NULL);
  assert_int_equal(r.order[0], 1);
  assert_near(r.scores[1].first, 1.0, 1e-9);
  es_ranking_free(&r);
  b->job.aim.n_first = 0;
  b->job.aim.by = ES_AIM_AREA;
  const es_area area[SCENARIOS] = {{100.0, 90.0, 110.0}, {150.0, 140.0, 160.0}, {101.0, 90.0, 115.0}};
  r = rank(b, area);
  assert_int_equal(r.order[0], 1);
  assert_int_equal(es_ranking_compare(&r, 0, 2), 0); /* 1 km2 apart, but 2.5 when everything is a sigma better */
  es_ranking_free(&r);
}

/* Seasons are no choice: each is ranked by itself. */
static void seasons_apart(void **state) {
  bench *b = *state;
  margins(b, 1, 60.0, 60.0, 60.0, 60.0);
  b->scenario[1].season = ES_OUT_OF_LEAF;
  margins(b, 2, 60.0, 60.0, -60.0, -60.0);
  margins(b, 0, 60.0, -60.0, -60.0, -60.0);
  es_ranking r = rank(b, NULL);
  assert_false(es_ranking_rivals(&r, 0, 1));
  assert_int_equal(r.scores[1].rank, 1);
  assert_int_equal(r.scores[2].rank, 1);
  assert_int_equal(r.scores[0].rank, 2);
  const size_t order[] = {2, 0, 1};
  assert_memory_equal(r.order, order, sizeof order);
  es_ranking_free(&r);
}

static void pairs(void **state) {
  bench *b = *state;
  margins(b, 0, -60.0, 60.0, -1.0, 60.0);
  margins(b, 1, 60.0, -60.0, 1.0, 60.0);
  es_ranking r = rank(b, NULL);
  es_pair there = {0, 1}, back = {1, 0};
  static const es_change wanted[LISTENERS] = {ES_GAINED, ES_LOST, ES_GAINED, ES_STAYS_HEARD};
  static const es_change mirrored[LISTENERS] = {ES_LOST, ES_GAINED, ES_LOST, ES_STAYS_HEARD};
  static const bool sure[LISTENERS] = {true, true, false, false};
  for (size_t l = 0; l < LISTENERS; l++) {
    assert_int_equal(es_compare_listener(&r, there, l), wanted[l]);
    assert_int_equal(es_compare_listener(&r, back, l), mirrored[l]);
    assert_int_equal(es_compare_is_sure(&r, there, l), sure[l]);
    assert_int_equal(es_compare_is_sure(&r, back, l), sure[l]);
  }
  r.chance[1] = NAN; /* no answer is no loss */
  assert_int_equal(es_compare_listener(&r, there, 1), ES_NOT_COMPARED);
  assert_int_equal(es_compare_listener(&r, back, 1), ES_NOT_COMPARED);
  es_ranking_free(&r);
}

/* --- maps ------------------------------------------------------------------------------------------------------------ */

static es_frame frame_at(double lon, double lat) {
  es_frame f;
  es_error err = {0};
  if (es_frame_about_beacon((es_lonlat){lon, lat}, 20e3, 500.0, &f, &err) != 0) fail_msg("%s", err.detail);
  return f;
}

/* A layer that tells where its cells are: kilometres north of 46 N, exactly the same slope in every plane. */
static float *northings(const es_frame *f, float more) {
  float *layer = malloc((size_t)f->cols * (size_t)f->rows * sizeof *layer);
  assert_non_null(layer);
  for (int row = 0, i = 0; row < f->rows; row++)
    for (int col = 0; col < f->cols; col++, i++) {
      double dx, dy;
      es_frame_cell(f, col, row, &dx, &dy);
      layer[i] = (float)(111.0 * (es_frame_place(f, dx, dy).lat_deg - 46.0)) + more;
      if (hypot(dx, dy) > f->radius_m) layer[i] = NAN;
    }
  return layer;
}

static void compare_planes(es_frame *a, es_frame *b, double tolerance) {
  size_t n = (size_t)b->cols * (size_t)b->rows, both = 0;
  float *from = northings(a, 0.0F), *to = northings(b, 3.0F);
  float *there = malloc(n * sizeof *there), *back = malloc(n * sizeof *back);
  es_compare_layers(b, a, from, b, to, there);
  es_compare_layers(b, b, to, a, from, back);
  for (size_t i = 0; i < n; i++) {
    assert_int_equal(isnan(there[i]), isnan(back[i]));
    if (isnan(there[i])) continue;
    both++;
    assert_true(there[i] == -back[i]);     /* antisymmetric, to the last bit */
    assert_near(there[i], 3.0, tolerance); /* the same place, not the same index */
  }
  assert_true(both > n / 4);
  free(from);
  free(to);
  free(there);
  free(back);
}

static void maps_of_one_site(void **state) {
  (void)state;
  es_frame a = frame_at(-36.1, 46.5);
  compare_planes(&a, &a, 1e-5);
  es_frame_fini(&a);
}

/* The nearest cell's centre is at most half a cell's diagonal away: 0.354 km. */
static void maps_of_two_sites(void **state) {
  (void)state;
  es_frame a = frame_at(-36.1, 46.5), b = frame_at(-36.2, 46.58);
  compare_planes(&a, &b, 0.36);
  compare_planes(&b, &a, 0.36);
  es_frame_fini(&a);
  es_frame_fini(&b);
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(expected_listeners),
                                     EACH(no_answer),
                                     cmocka_unit_test(variances),
                                     EACH(clear_and_tied),
                                     EACH(first_and_area),
                                     EACH(seasons_apart),
                                     EACH(pairs),
                                     cmocka_unit_test(maps_of_one_site),
                                     cmocka_unit_test(maps_of_two_sites)};
  return cmocka_run_group_tests_name("ranking", tests, NULL, NULL);
}
