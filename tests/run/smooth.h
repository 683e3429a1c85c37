/* smooth.h - a chain over smooth inland earth with many listeners on one line, for tests of range. */
#ifndef EARSHOT_TESTS_RUN_SMOOTH_H
#define EARSHOT_TESTS_RUN_SMOOTH_H

#include <stdlib.h>

#include "base/units.h"
#include "model/chain.h"
#include "near.h"
#include "run/setup.h"

enum { SMOOTH_FIRST_KM = 20, SMOOTH_LAST_KM = 560, SMOOTH_N = SMOOTH_LAST_KM - SMOOTH_FIRST_KM + 1 };

typedef struct smooth {
  es_model_set models;
  es_chain chain;
  es_climate *climate;
  es_arena *keep, *scratch;
  es_chain_answer answer; /* one receiver a kilometre, the median */
} smooth;

/* delta_n 39.2 N/km at every place (ae 8491 km), sea-level refractivity 325: the smooth-earth table's climate. */
static inline es_climate_plan smooth_climate(void) {
  es_climate_plan plan;
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) plan.value[side][key] = NAN;
  plan.maps = NULL;
  plan.value[0][ES_DELTA_N] = plan.value[0][ES_DELTA_N_MEDIAN] = 39.2;
  plan.value[0][ES_N0] = 325.0;
  return plan;
}

/* Beacon 30 m with `tx`, listeners 10 m with `rx`, sea level, half a kilometre between points, 10.368 GHz horizontal. */
static inline void smooth_open(smooth *s, es_chain_kind kind, const es_antenna *tx, const es_antenna *rx) {
  static const double half = 50.0;
  const char *folder = ES_MODELS;
  es_faults faults = {0};
  es_error err = {0};
  es_climate_plan plan = smooth_climate();
  *s = (smooth){.keep = es_arena_create(), .scratch = es_arena_create()};
  assert_true(es_models_open(&folder, 1, true, &s->models, &faults));
  s->climate = es_climate_open(&plan, "test", &faults);
  assert_true(es_chain_make(kind, NULL, 0, &s->models, NULL, 0, NULL, "test", &faults, &s->chain));
  enum { POINTS = 2 * SMOOTH_LAST_KM + 1 };
  double *dist = ES_NEW(s->keep, double, POINTS), *ground = es_arena_zeroed(s->keep, POINTS * sizeof(double));
  uint8_t *zone = es_arena_get(s->keep, POINTS);
  es_spot *spots = ES_NEW(s->keep, es_spot, SMOOTH_N);
  for (int i = 0; i < POINTS; i++) {
    dist[i] = 500.0 * i;
    zone[i] = ES_ZONE_INLAND;
  }
  for (int i = 0; i < SMOOTH_N; i++)
    spots[i] = (es_spot){.dist_m = 1e3 * (SMOOTH_FIRST_KM + i), .antenna_agl_m = 10.0, .zone = ES_ZONE_INLAND};
  es_samples samples = {.n = POINTS, .step_m = 500.0, .dist_m = dist, .ground_m = ground, .zone = zone};
  es_line line;
  assert_int_equal(es_line_make(s->keep, &samples, 0.0, &line), 0);
  es_lonlat from = {0.0, 50.0};
  es_radial_setup setup = {
      from, 0.5 * ES_PI, 30.0, 10.368, es_median_radius_km(kind, NAN, s->climate, from), ES_LIGHT_M_S / 10.368e9, NULL};
  es_radial *radial = ES_NEW(s->keep, es_radial, 1);
  assert_int_equal(es_radial_place(s->keep, &setup, &line, spots, SMOOTH_N, radial), 0);
  es_scene scene = {.radial = radial,
                    .climate = s->climate,
                    .beacon_antenna = tx,
                    .listener_antenna = rx,
                    .freq_ghz = 10.368,
                    .polarisation = ES_HORIZONTAL,
                    .percent = &half,
                    .n_percent = 1,
                    .keep = s->keep,
                    .scratch = s->scratch};
  if (es_chain_evaluate(&s->chain, &scene, &s->answer, &err) != 0) fail_msg("%s", err.detail);
  es_faults_free(&faults);
}

static inline void smooth_close(smooth *s) {
  es_climate_close(s->climate);
  es_models_close(&s->models);
  es_arena_destroy(s->keep);
  es_arena_destroy(s->scratch);
}

static inline double smooth_loss_db(const smooth *s, double km) {
  int i = (int)floor(km) - SMOOTH_FIRST_KM;
  double share = km - floor(km), near_db = s->answer.basic_db[i];
  return share > 0.0 ? near_db + share * (s->answer.basic_db[i + 1] - near_db) : near_db;
}

/* Farthest distance at which the median loss is at most that, km. */
static inline double smooth_range_km(const smooth *s, double loss_db) {
  for (int i = SMOOTH_N - 1; i > 0; i--) {
    double far_db = s->answer.basic_db[i], near_db = s->answer.basic_db[i - 1];
    if (near_db <= loss_db) return SMOOTH_FIRST_KM + i - 1 + fmin(1.0, (loss_db - near_db) / (far_db - near_db));
  }
  return NAN;
}

#endif
