/* test_services.c - what the host does for a model: climate by side and place, gains, tangents, memory, notes. */
#include "bench_chain.h"

#include "model/services.h"

enum { N = 41 };

typedef struct stand {
  es_arena *keep, *scratch;
  es_climate *climate;
  es_radial radial;
  es_scene scene;
  es_services services;
  es_host host;
} stand;

/* 40 km northward from 50 N with a hill in the middle; receivers at 20 and 40 km. */
static void stand_open(stand *s, const es_climate_plan *plan) {
  static double dist[N], ground[N];
  *s = (stand){.keep = es_arena_create(), .scratch = es_arena_create()};
  es_faults faults = {0};
  s->climate = es_climate_open(plan, "job.yaml", &faults);
  assert_true(s->keep != NULL && s->scratch != NULL && s->climate != NULL);
  for (size_t i = 0; i < N; i++) dist[i] = 1e3 * (double)i, ground[i] = 300.0 * exp(-pow(((double)i - 10.0) / 3.0, 2));
  es_samples samples = {.n = N, .step_m = 1e3, .dist_m = dist, .ground_m = ground};
  es_radial_setup setup = {{0, 50}, 0.0, 20.0, 10.0, 8500.0, 0.03, NULL};
  es_spot spots[2] = {{20e3, 0, 10, 4, 0}, {40e3, 0, 10, 4, 0}};
  es_line line;
  assert_int_equal(es_line_make(s->keep, &samples, 0.0, &line), 0);
  assert_int_equal(es_radial_place(s->keep, &setup, &line, spots, 2, &s->radial), 0);
  s->scene =
      (es_scene){.radial = &s->radial, .climate = s->climate, .freq_ghz = 10.0, .keep = s->keep, .scratch = s->scratch};
  s->services.scene = &s->scene;
  s->host = es_services_table(&s->scene);
}

static void stand_close(stand *s) {
  es_climate_close(s->climate);
  es_arena_destroy(s->keep);
  es_arena_destroy(s->scratch);
}

/* A value given for one side holds at that end and in the middle of its leg, the path's value everywhere else. */
static void climate_of_each_side(void **state) {
  (void)state;
  es_climate_plan plan = bench_climate_plan();
  plan.value[0][ES_VAPOUR_DENSITY] = 7.5;
  plan.value[1][ES_VAPOUR_DENSITY] = 5.0;
  plan.value[2][ES_VAPOUR_DENSITY] = 9.0;
  stand s;
  stand_open(&s, &plan);
  static const struct {
    es_climate_place place;
    double value;
  } rows[] = {{ES_AT_CENTRE, 7.5},     {ES_AT_COMMON_VOLUME, 7.5}, {ES_AT_BEACON, 5.0},
              {ES_AT_BEACON_LEG, 5.0}, {ES_AT_LISTENER, 9.0},      {ES_AT_LISTENER_LEG, 9.0}};
  for (size_t i = 0; i < 6; i++)
    for (size_t r = 0; r < 2; r++)
      assert_near(s.host.climate(&s.services, ES_VAPOUR_DENSITY, rows[i].place, r), rows[i].value, 0.0);
  stand_close(&s);
}

/* What falls back on the latitude is asked where the model asks: farther north the zero isotherm is lower. */
static void climate_is_asked_at_its_own_place(void **state) {
  (void)state;
  es_climate_plan plan = bench_climate_plan();
  plan.value[0][ES_ZERO_ISOTHERM] = NAN;
  stand s;
  stand_open(&s, &plan);
  double at[6];
  static const es_climate_place order[6] = {ES_AT_BEACON,       ES_AT_BEACON_LEG, ES_AT_COMMON_VOLUME,
                                            ES_AT_LISTENER_LEG, ES_AT_LISTENER,   ES_AT_CENTRE};
  for (int i = 0; i < 6; i++) at[i] = s.host.climate(&s.services, ES_ZERO_ISOTHERM, order[i], 1);
  for (int i = 1; i < 5; i++) assert_true(at[i] < at[i - 1]);
  assert_near(at[5], 0.5 * (at[0] + at[4]), 1e-6);
  assert_true(s.host.climate(&s.services, ES_ZERO_ISOTHERM, ES_AT_LISTENER, 0) > at[4]); /* the nearer receiver's own */
  stand_close(&s);
}

static void tangents_are_kept_and_stay_the_same(void **state) {
  (void)state;
  es_climate_plan plan = bench_climate_plan();
  stand s;
  stand_open(&s, &plan);
  es_hull direct[2];
  const es_hull *first, *again;
  for (int i = 0; i < ES_HULL_CACHE + 10; i++) { /* more curvatures than are kept */
    double curvature = -2e-5 + 4e-6 * i;
    assert_int_equal(es_tangents(s.keep, &s.radial, curvature, 0, 0.0, direct), 0);
    assert_int_equal(s.host.hulls(&s.services, &curvature, 1, 0, 0.0, INFINITY, &first), 0);
    assert_int_equal(s.host.hulls(&s.services, &curvature, 1, 0, 0.0, INFINITY, &again), 0);
    assert_memory_equal(first, direct, sizeof direct);
    assert_memory_equal(again, direct, sizeof direct);
  }
  assert_true(s.services.n_cached <= ES_HULL_CACHE);
  stand_close(&s);
}

static void gains_follow_the_path(void **state) {
  (void)state;
  es_climate_plan plan = bench_climate_plan();
  stand s;
  stand_open(&s, &plan);
  assert_near(s.host.gain_dbi(&s.services, ES_BEACON, 0, NAN, 0.0, 0), 0.0, 0.0); /* no antenna: isotropic */
  es_antenna south = {.shape = ES_SHAPE_DISH, .peak_dbi = 34.0, .dish_m = 0.6, .azimuth = ES_PI};
  s.scene.beacon_antenna = s.scene.listener_antenna =
      &south; /* the path runs north: only the listener's looks along it */
  assert_near(s.host.gain_dbi(&s.services, ES_LISTENER, 0, NAN, 0.0, 0), 34.0, 1e-9);
  assert_true(s.host.gain_dbi(&s.services, ES_BEACON, 0, NAN, 0.0, 0) < 0.0);
  assert_near(s.host.gain_dbi(&s.services, ES_BEACON, 0, ES_PI, 0.0, 0), 34.0,
              1e-9); /* towards an azimuth of its own */
  south.tracks = true;
  south.azimuth = 0.0;                   /* relative to the path */
  double horizon = s.radial.rx.el_tx[0]; /* without a tilt it is peaked on what it can see */
  assert_near(s.host.gain_dbi(&s.services, ES_BEACON, 0, NAN, horizon, 0), 34.0, 1e-9);
  assert_true(s.host.gain_dbi(&s.services, ES_BEACON, 0, NAN, horizon + 0.02, 0) < 33.0);
  south.tilt = 0.03; /* with one it stays there */
  assert_near(s.host.gain_dbi(&s.services, ES_BEACON, 0, NAN, 0.03, 0), 34.0, 1e-9);
  stand_close(&s);
}

static void told(void *to, size_t k, size_t r, const char *symbol, double value) {
  assert_string_equal(symbol, "Ld");
  *(double *)to = value + 10.0 * (double)k + 100.0 * (double)r;
}

static void notes_and_memory(void **state) {
  (void)state;
  es_climate_plan plan = bench_climate_plan();
  stand s;
  stand_open(&s, &plan);
  assert_null(s.host.note); /* maps want none */
  double heard = 0.0;
  s.scene.note = told;
  s.scene.note_to = &heard;
  s.host = es_services_table(&s.scene);
  s.host.note(&s.services, 2, 1, "Ld", 3.0);
  assert_near(heard, 123.0, 0.0);
  assert_int_equal(s.host.size, sizeof(es_host));
  char *bytes = s.host.scratch(&s.services, 1000);
  assert_non_null(bytes);
  memset(bytes, 1, 1000);
  assert_true(es_arena_bytes(s.scratch) >= 1000);
  stand_close(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(climate_of_each_side),
      cmocka_unit_test(climate_is_asked_at_its_own_place),
      cmocka_unit_test(tangents_are_kept_and_stay_the_same),
      cmocka_unit_test(gains_follow_the_path),
      cmocka_unit_test(notes_and_memory),
  };
  return cmocka_run_group_tests_name("services", tests, NULL, NULL);
}
