/* test_fading.c - inverting a distribution of fades by the search of ITU-R P.2001-6 attachment I. */
#include "near.h"

#include "model/fading.h"

enum { MOST = 64 };
static const double WITHIN_DB = 0.01; /* what attachment I promises */

/* Distributions whose inverse is known, one for each entry. */
typedef enum kind { LOGISTIC, STEP, RAIN_AND_STEP, STEEP } kind;
typedef struct mixture {
  kind kind[MOST];
  size_t n, asked;
  int32_t fails_at; /* the call that fails; 0: none */
} mixture;

static double exceeded_at(kind k, double fade) {
  switch (k) {
  case LOGISTIC: return 100.0 / (1.0 + pow(10.0, 0.1 * fade));
  case STEP: return fade < 0.0 ? 100.0 : 0.0;
  case RAIN_AND_STEP: /* 2 % of the year exponential with mean 5 dB, otherwise no fade */
    return 2.0 * (fade < 0.0 ? 1.0 : exp(-fade / 5.0)) + 98.0 * (fade < 0.0 ? 1.0 : 0.0);
  case STEEP: break;
  }
  return 100.0 / (1.0 + pow(10.0, 20.0 * (fade - 3.0)));
}

static int32_t ask(void *self, es_asked which, const double *fade_db, double *exceeded, es_error *err) {
  mixture *m = self;
  (void)which;
  if ((int32_t)++m->asked == m->fails_at) return es_fail(err, ES_E_MODEL, "broke");
  for (size_t i = 0; i < m->n; i++)
    if (!isnan(fade_db[i])) exceeded[i] = exceeded_at(m->kind[i], fade_db[i]);
  return 0;
}

static es_arena *arena;
static int start(void **state) { return (void)state, (arena = es_arena_create()) == NULL; }
static int stop(void **state) { return (void)state, es_arena_destroy(arena), 0; }

static double inverted(kind k, double wanted) {
  mixture m = {.kind = {k}, .n = 1};
  double fade = NAN;
  assert_int_equal(es_fading_invert(arena, ask, &m, &wanted, 1, &fade, NULL), 0);
  return fade;
}

static void known_distributions_are_inverted(void **state) {
  (void)state;
  for (double q = 0.001; q < 99.9999; q *= 1.3)
    assert_near(inverted(LOGISTIC, q), 10.0 * log10(100.0 / q - 1.0), WITHIN_DB);
  assert_near(inverted(LOGISTIC, 99.999), -49.99995657, WITHIN_DB);
  assert_near(inverted(LOGISTIC, 1e-9), 110.0, WITHIN_DB); /* far outside the first interval of -5 to 5 dB */
  for (double q = 1.0; q < 99.0; q += 7.0)
    assert_near(inverted(STEEP, q), 3.0 + 0.05 * log10(100.0 / q - 1.0), WITHIN_DB);
}

static void at_a_step_the_fade_is_nothing(void **state) {
  (void)state;
  for (double q = 0.01; q < 100.0; q *= 2.0) assert_near(inverted(STEP, q), 0.0, WITHIN_DB);
}

/* A leg of troposcatter: no fade while q exceeds the rainy share, rain's own distribution below. */
static void rain_beside_a_step(void **state) {
  (void)state;
  assert_near(inverted(RAIN_AND_STEP, 50.0), 0.0, WITHIN_DB);
  assert_near(inverted(RAIN_AND_STEP, 2.1), 0.0, WITHIN_DB);
  assert_near(inverted(RAIN_AND_STEP, 1.0), 5.0 * log(2.0), WITHIN_DB);
  assert_near(inverted(RAIN_AND_STEP, 0.002), 5.0 * log(1000.0), WITHIN_DB);
}

/* To the last digit: the number of halvings is part of the Recommendation. */
static void the_search_is_that_of_attachment_i(void **state) {
  (void)state;
  /* q = 50 %: the interval -5..5 holds it. ceil(3.32 log10(10/0.01)) + 1 = 11 questions, the first at 0 dB ("not below",
   * so the fade lies above), all others below: 5 dB are halved eleven times. */
  assert_near(inverted(LOGISTIC, 50.0), 5.0 * pow(0.5, 11), 1e-12);
}

static void many_at_once_are_as_each_alone(void **state) {
  (void)state;
  mixture m = {.n = MOST};
  double wanted[MOST], fade[MOST];
  for (size_t i = 0; i < MOST; i++) {
    m.kind[i] = (kind)(i % 4);
    wanted[i] = 100.0 * ((double)i + 0.5) / MOST * (i % 3 == 0 ? 1e-4 : 1.0);
  }
  assert_int_equal(es_fading_invert(arena, ask, &m, wanted, MOST, fade, NULL), 0);
  for (size_t i = 0; i < MOST; i++) assert_true(fade[i] == inverted(m.kind[i], wanted[i]));
}

static void a_fade_is_never_less_at_a_rarer_percentage(void **state) {
  (void)state;
  double before = -INFINITY;
  for (double q = 99.99; q > 0.001; q *= 0.9) {
    double fade = inverted(LOGISTIC, q);
    assert_true(fade >= before - WITHIN_DB);
    before = fade;
  }
}

static void a_failing_question_stops_the_search(void **state) {
  (void)state;
  for (int32_t call = 1; call <= 6; call++) {
    mixture m = {.n = 1, .fails_at = call};
    double wanted = 1.0, fade;
    es_error err = {0};
    assert_int_equal(es_fading_invert(arena, ask, &m, &wanted, 1, &fade, &err), ES_E_MODEL);
    assert_string_equal(err.detail, "broke");
    assert_int_equal(m.asked, call);
  }
}

/* --- the solver of maps --------------------------------------------------------------------------------------------------- */

static const double SOLVED_DB = 0.012; /* fading.h promises 0.01 dB of the true fade, the reference is as coarse */

/* One distribution a receiver; only what is asked is answered. */
typedef struct many {
  size_t n_rx, questions, answers;
  int32_t fails_at;
} many;

static int32_t ask_some(void *self, es_asked which, const double *fade_db, double *exceeded, es_error *err) {
  many *m = self;
  if ((int32_t)++m->questions == m->fails_at) return es_fail(err, ES_E_MODEL, "broke");
  for (size_t i = 0; i < which.n; i++, m->answers++) {
    uint32_t at = which.at[i];
    assert_true(i == 0 || which.at[i - 1] < at); /* rising */
    exceeded[at] = exceeded_at((kind)(at % m->n_rx), fade_db[at]);
  }
  return 0;
}

static const uint32_t four[] = {0, 1, 2, 3};

static void a_map_is_solved_like_a_listener(void **state) {
  (void)state;
  static const double wanted[] = {99.999, 99.0, 90.0, 63.0, 50.0, 37.0, 10.0, 1.9, 1.0, 0.1, 0.001, 1e-5};
  enum { KINDS = 4, N = sizeof wanted / sizeof *wanted };
  many m = {.n_rx = KINDS};
  double fade[N * KINDS];
  assert_int_equal(es_fading_solve(arena, ask_some, &m, wanted, N, KINDS, (es_asked){four, 4}, NULL, NULL, fade, NULL),
                   0);
  for (size_t i = 0; i < (size_t)N * KINDS; i++)
    assert_near(fade[i], inverted((kind)(i % KINDS), wanted[i / KINDS]), SOLVED_DB);
  assert_true(m.answers < 12u * N * KINDS); /* far fewer than the sixteen of attachment I */
}

/* Along a radial: a decade of the fade takes this many dB, and the rest of the time it does as much of the other sign. */
enum { ALONG = 200, ALONG_WANTED = 9 };
typedef double (*width_fn)(size_t r);
typedef struct radial {
  width_fn width;
  size_t answers;
} radial;

static double steady(size_t r) { return 6.0 + 4.0 * sin(0.02 * (double)r); }
static double broken(size_t r) { return r / 10 % 2 == 0 ? 3.0 : 15.0; } /* in sight and out of it, by turns */
static double wild(size_t r) { return 0.5 + (double)(r * 7919 % 101) / 4.0; }

static int32_t ask_radial(void *self, es_asked which, const double *fade_db, double *exceeded, es_error *err) {
  radial *m = self;
  (void)err;
  for (size_t i = 0; i < which.n; i++, m->answers++) {
    uint32_t at = which.at[i];
    exceeded[at] = 100.0 / (1.0 + pow(10.0, fade_db[at] / m->width(at % ALONG)));
  }
  return 0;
}

/* Guides lead where neighbours fade alike, and mislead nobody where they do not. */
static void neighbours_lead_to_the_same_fades(void **state) {
  (void)state;
  static const double wanted[ALONG_WANTED] = {99.99, 99.0, 90.0, 60.0, 50.0, 20.0, 1.0, 0.1, 0.001};
  static const struct {
    width_fn width;
    double most_answers; /* for each fade */
  } cases[] = {{steady, 1.8}, {broken, 3.0}, {wild, 3.0}};
  uint32_t all[ALONG];
  for (uint32_t r = 0; r < ALONG; r++) all[r] = r;
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    radial m = {cases[c].width, 0};
    double fade[ALONG_WANTED * ALONG];
    assert_int_equal(es_fading_solve(arena, ask_radial, &m, wanted, ALONG_WANTED, ALONG, (es_asked){all, ALONG}, NULL,
                                     NULL, fade, NULL),
                     0);
    for (size_t i = 0; i < (size_t)ALONG_WANTED * ALONG; i++)
      assert_near(fade[i], m.width(i % ALONG) * log10(100.0 / wanted[i / ALONG] - 1.0), WITHIN_DB);
    print_message("%.2f questions for each fade\n", (double)m.answers / (ALONG_WANTED * ALONG));
    assert_true((double)m.answers < cases[c].most_answers * ALONG_WANTED * ALONG);
  }
}

static bool first_percentage(const void *of, size_t i) { return i < ((const many *)of)->n_rx; }

/* What counts for nothing is not looked for, nor are receivers that are not listed. */
static void negligible_fades_are_passed_over(void **state) {
  (void)state;
  const double wanted[] = {1.0, 0.5};
  many m = {.n_rx = 4};
  double fade[8];
  assert_int_equal(
      es_fading_solve(arena, ask_some, &m, wanted, 2, 4, (es_asked){four, 3}, first_percentage, &m, fade, NULL), 0);
  for (size_t r = 0; r < 4; r++) assert_near(fade[r], 0.0, 0.0);
  assert_near(fade[4 + LOGISTIC], inverted(LOGISTIC, 0.5), SOLVED_DB);
  assert_near(fade[4 + RAIN_AND_STEP], 5.0 * log(4.0), SOLVED_DB);
  assert_near(fade[4 + STEEP], 0.0, 0.0);
}

static void a_failing_question_stops_the_solver(void **state) {
  (void)state;
  for (int32_t call = 1; call <= 4; call++) {
    many m = {.n_rx = 1, .fails_at = call};
    double wanted = 1.0, fade;
    es_error err = {0};
    assert_int_equal(es_fading_solve(arena, ask_some, &m, &wanted, 1, 1, (es_asked){four, 1}, NULL, NULL, &fade, &err),
                     ES_E_MODEL);
    assert_int_equal(m.questions, call);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(known_distributions_are_inverted, start, stop),
      cmocka_unit_test_setup_teardown(at_a_step_the_fade_is_nothing, start, stop),
      cmocka_unit_test_setup_teardown(rain_beside_a_step, start, stop),
      cmocka_unit_test_setup_teardown(the_search_is_that_of_attachment_i, start, stop),
      cmocka_unit_test_setup_teardown(many_at_once_are_as_each_alone, start, stop),
      cmocka_unit_test_setup_teardown(a_fade_is_never_less_at_a_rarer_percentage, start, stop),
      cmocka_unit_test_setup_teardown(a_failing_question_stops_the_search, start, stop),
      cmocka_unit_test_setup_teardown(a_map_is_solved_like_a_listener, start, stop),
      cmocka_unit_test_setup_teardown(neighbours_lead_to_the_same_fades, start, stop),
      cmocka_unit_test_setup_teardown(negligible_fades_are_passed_over, start, stop),
      cmocka_unit_test_setup_teardown(a_failing_question_stops_the_solver, start, stop),
  };
  return cmocka_run_group_tests_name("fading", tests, NULL, NULL);
}
