/* test_chain.c - how the host runs models over a radial and puts their answers together. Little models: tests/abi. */
#include "bench_chain.h"

enum { N = 11, RX = 3, PERCENTS = 2 };
static const double percent[PERCENTS] = {10.0, 50.0};

/* Flat ground, antennas of 30 m, receivers at 2, 5 and 10 km: all in line of sight. */
static es_radial flat_radial(es_arena *arena) {
  double *dist = ES_NEW(arena, double, N), *ground = ES_NEW(arena, double, N);
  assert_true(dist != NULL && ground != NULL);
  for (size_t i = 0; i < N; i++) dist[i] = 1e3 * (double)i, ground[i] = 0.0;
  es_samples samples = {.n = N, .step_m = 1e3, .dist_m = dist, .ground_m = ground};
  es_radial_setup setup = {{0, 52}, 0.0, 30.0, 10.0, 8500.0, 0.03, NULL};
  es_spot spots[RX] = {{2e3, 0, 30, 4, 0}, {5e3, 0, 30, 4, 0}, {10e3, 0, 30, 4, 0}};
  es_line line;
  es_radial radial;
  assert_int_equal(es_line_make(arena, &samples, 0.0, &line), 0);
  assert_int_equal(es_radial_place(arena, &setup, &line, spots, RX, &radial), 0);
  return radial;
}

typedef struct trial {
  bench_chain bench;
  es_radial radial;
  es_scene scene;
  es_chain_answer answer;
  es_error err;
} trial;

static int32_t run(trial *t, const char *ids, double freq_ghz) {
  bench_chain_open(&t->bench, ES_TEST_MODELS, ES_CHAIN_WHOLE_YEAR, ids);
  t->radial = flat_radial(t->bench.keep);
  t->scene = (es_scene){.radial = &t->radial,
                        .climate = t->bench.climate,
                        .freq_ghz = freq_ghz,
                        .percent = percent,
                        .n_percent = PERCENTS,
                        .keep = t->bench.keep,
                        .scratch = t->bench.scratch};
  t->err = (es_error){0};
  return es_chain_evaluate(&t->bench.chain, &t->scene, &t->answer, &t->err);
}

static void terms_add_on_the_surface_way(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "good older", 10.0), 0);
  assert_int_equal(t.answer.n_rx, RX);
  assert_int_equal(t.answer.n_terms, 2);
  assert_string_equal(t.answer.term[0].id, "good");
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.basic_db[j], 3.5, 1e-12); /* 1.5 and 2 dB */
    assert_near(t.answer.system_db[j], 3.5, 1e-12);
    assert_int_equal(t.answer.winner[j], ES_SURFACE);
    assert_int_equal(t.answer.status[j], ES_OK);
  }
  assert_true(t.answer.way[0].present && !t.answer.way[1].present && !t.answer.way[2].present);
  bench_chain_close(&t.bench);
}

/* Equal ways: surface (60 dB short of it by construction) leaves them alone; duct is correlated with it, scatter is not. */
static void ways_combine_by_their_correlation(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "way-duct way-scatter", 10.0), 0);
  assert_false(t.answer.way[0].present); /* no term touches the surface: it is no way */
  for (size_t j = 0; j < RX * PERCENTS; j++) assert_near(t.answer.basic_db[j], 100.0 - 1.5051499783, 1e-9);
  bench_chain_close(&t.bench);
  assert_int_equal(run(&t, "good way-duct", 10.0), 0); /* 1.5 dB against 101.5: nothing left of the second */
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.way[1].loss_db[j], 101.5, 1e-12); /* the term touches the duct too */
    assert_near(t.answer.basic_db[j], 1.5 - 10.0 * log10(1.0 + 1e-10), 1e-12);
  }
  bench_chain_close(&t.bench);
}

/* Ends are told the directions of the way in hand, and cost each way its own loss. */
static void ends_see_each_ways_own_directions(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "good way-duct way-scatter ends", 10.0), 0);
  double degrees = es_deg(0.3); /* 0.1 and 0.2 radians, from the ways */
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.way[0].loss_db[j], 1.5, 1e-12); /* it does not touch the surface */
    assert_near(t.answer.way[1].loss_db[j], 101.5 + degrees, 1e-9);
    assert_near(t.answer.way[2].loss_db[j], 100.0 + degrees,
                1e-9); /* terms join scatter only on legs that are asked for */
  }
  assert_near(t.answer.way[2].el_tx[0], 0.1, 0.0);
  bench_chain_close(&t.bench);
}

/* Each way's gains count before the ways are combined: a dish that looks at the horizon does not favour scatter. */
static void gains_count_way_by_way(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "good way-scatter", 10.0), 0);
  bench_chain_close(&t.bench);
  bench_chain_open(&t.bench, ES_TEST_MODELS, ES_CHAIN_WHOLE_YEAR, "good way-scatter");
  t.radial = flat_radial(t.bench.keep);
  es_antenna all_round = {.shape = ES_SHAPE_ALL_ROUND, .peak_dbi = 7.0};
  t.scene.keep = t.bench.keep, t.scene.scratch = t.bench.scratch, t.scene.climate = t.bench.climate;
  t.scene.beacon_antenna = t.scene.listener_antenna = &all_round;
  assert_int_equal(es_chain_evaluate(&t.bench.chain, &t.scene, &t.answer, &t.err), 0);
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.way[0].gain_db[j % RX], 14.0, 1e-12);
    assert_near(t.answer.basic_db[j] - t.answer.system_db[j], 14.0, 1e-9);
  }
  bench_chain_close(&t.bench);
}

static void a_total_answers_alone(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "total", 10.0), 0);
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.basic_db[j], 150.0, 0.0);
    assert_int_equal(t.answer.winner[j], ES_SCATTER);
  }
  bench_chain_close(&t.bench);
}

/* --- what goes wrong ------------------------------------------------------------------------------------------------------ */

static void a_failing_model_is_named_with_its_file_and_reason(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "good errs", 10.0), ES_E_MODEL);
  assert_non_null(strstr(t.err.detail, "model errs"));
  assert_non_null(strstr(t.err.detail, "errs.so"));
  assert_non_null(strstr(t.err.detail, "no tables for this planet"));
  assert_null(strchr(t.err.detail, '\n'));
  bench_chain_close(&t.bench);
}

static void a_second_model_of_one_way_is_refused(void **state) {
  (void)state;
  trial t;
  bench_chain_open(&t.bench, ES_TEST_MODELS, ES_CHAIN_WHOLE_YEAR, "way-duct");
  t.bench.chain.models[t.bench.chain.n++] = t.bench.chain.models[0];
  t.radial = flat_radial(t.bench.keep);
  t.scene = (es_scene){.radial = &t.radial,
                       .climate = t.bench.climate,
                       .freq_ghz = 10.0,
                       .percent = percent,
                       .n_percent = PERCENTS,
                       .keep = t.bench.keep,
                       .scratch = t.bench.scratch};
  assert_int_equal(es_chain_evaluate(&t.bench.chain, &t.scene, &t.answer, &t.err), ES_E_MODEL);
  assert_non_null(strstr(t.err.detail, "way-duct"));
  bench_chain_close(&t.bench);
}

/* One receiver without a number: that answer is marked as failed, all others stand. */
static void a_number_that_is_missing_marks_its_own_answer_only(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "good nans", 10.0), 0);
  for (size_t k = 0; k < PERCENTS; k++) {
    assert_true(isnan(t.answer.basic_db[k * RX]));
    assert_int_equal(t.answer.status[k * RX], ES_FAILED);
    for (size_t r = 1; r < RX; r++) {
      assert_near(t.answer.basic_db[k * RX + r], 4.5, 1e-12);
      assert_int_equal(t.answer.status[k * RX + r], ES_OK);
    }
  }
  bench_chain_close(&t.bench);
}

/* A model that forgets to fill what it was asked for: NaN on entry, so nothing is taken for 0 dB. */
static void too_few_values_are_missing_ones(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "good few", 10.0), 0);
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    bool filled = j < RX;
    assert_int_equal(t.answer.status[j], filled ? ES_OK : ES_FAILED);
    assert_true(filled ? fabs(t.answer.basic_db[j] - 5.5) < 1e-12 : isnan(t.answer.basic_db[j]));
  }
  bench_chain_close(&t.bench);
}

/* The same with another way beside it: that way's loss is kept, and the answer says that something is missing from it. */
static void a_failed_way_never_passes_in_silence(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "nans way-scatter", 10.0), 0);
  for (size_t k = 0; k < PERCENTS; k++) {
    assert_near(t.answer.basic_db[k * RX], 100.0, 1e-9);
    assert_int_equal(t.answer.winner[k * RX], ES_SCATTER);
    assert_int_equal(t.answer.status[k * RX], ES_FAILED);
    assert_int_equal(t.answer.status[k * RX + 1], ES_OK);
  }
  bench_chain_close(&t.bench);
}

static void outside_its_range_the_value_is_kept_and_flagged(void **state) {
  (void)state;
  trial t;
  assert_int_equal(run(&t, "outside good", 10.0), 0);
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.basic_db[j], 5.5, 1e-12);
    assert_int_equal(t.answer.status[j], j % RX == 0 ? ES_OUTSIDE : ES_OK);
  }
  bench_chain_close(&t.bench);
  assert_int_equal(run(&t, "good", 31.0), 0); /* its range ends at 30 GHz: the host itself flags it */
  for (size_t j = 0; j < RX * PERCENTS; j++) {
    assert_near(t.answer.basic_db[j], 1.5, 1e-12);
    assert_int_equal(t.answer.status[j], ES_OUTSIDE);
  }
  bench_chain_close(&t.bench);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(terms_add_on_the_surface_way),
      cmocka_unit_test(ways_combine_by_their_correlation),
      cmocka_unit_test(ends_see_each_ways_own_directions),
      cmocka_unit_test(gains_count_way_by_way),
      cmocka_unit_test(a_total_answers_alone),
      cmocka_unit_test(a_failing_model_is_named_with_its_file_and_reason),
      cmocka_unit_test(a_second_model_of_one_way_is_refused),
      cmocka_unit_test(a_number_that_is_missing_marks_its_own_answer_only),
      cmocka_unit_test(too_few_values_are_missing_ones),
      cmocka_unit_test(a_failed_way_never_passes_in_silence),
      cmocka_unit_test(outside_its_range_the_value_is_kept_and_flagged),
  };
  return cmocka_run_group_tests_name("chain", tests, NULL, NULL);
}
