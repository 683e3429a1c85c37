/* test_map_accuracy.c - what a map may cost in accuracy: all receivers of a radial at once, as maps are computed, against each
 * of them alone, as a listener is computed by the letter of the Recommendation. Every model, invented ground. */
#include "bench_chain.h"

#include <stdlib.h>

#include "radial/families.h"

enum { RADIALS = 24, N = 1201, RECEIVERS = 40, PERCENTS = 9, ANSWERS = RADIALS * RECEIVERS * PERCENTS };
static const double percent[PERCENTS] = {0.01, 0.1, 1, 10, 30, 50, 90, 99, 99.9};
static const double STEP_M = 250.0, MOST_DB = 0.05, MEAN_DB = 0.005;

typedef struct trial {
  double dist_m[N], ground_m[N];
  uint8_t zone[N];
  es_line line;
  es_spot spots[RECEIVERS];
  es_radial_setup setup;
} trial;

/* Rough, middling and rolling ground, and islands; receivers off the samples, from 2 to 295 km. */
static void invent(trial *t, es_arena *arena, size_t number) {
  dice d = {number * 104729 + 17};
  family_fill(number % 4, &d, N, t->ground_m);
  for (size_t i = 0; i < N; i++) {
    t->dist_m[i] = STEP_M * (double)i;
    t->zone[i] = t->ground_m[i] <= 0.0 ? ES_ZONE_SEA : t->ground_m[i] < 100.0 ? ES_ZONE_COAST : ES_ZONE_INLAND;
  }
  es_samples samples = {.n = N, .step_m = STEP_M, .dist_m = t->dist_m, .ground_m = t->ground_m, .zone = t->zone};
  assert_int_equal(es_line_make(arena, &samples, 0.0, &t->line), 0);
  for (size_t r = 0; r < RECEIVERS; r++) {
    size_t i = 8 + r * 29;
    t->spots[r] = (es_spot){STEP_M * ((double)i + 0.3), t->ground_m[i], 10.0, t->zone[i], 0.0};
  }
  t->setup = (es_radial_setup){{-36.0, 46.0}, 0.7, dice_between(&d, 5.0, 60.0), 10.368, 8549.0, 0.0289, NULL};
}

static es_scene scene_of(const bench_chain *b, const es_radial *radial) {
  return (es_scene){.radial = radial,
                    .climate = b->climate,
                    .freq_ghz = 10.368,
                    .percent = percent,
                    .n_percent = PERCENTS,
                    .keep = b->keep,
                    .scratch = b->scratch};
}

static void evaluate(const bench_chain *b, const es_radial *radial, es_chain_answer *answer) {
  es_scene scene = scene_of(b, radial);
  es_error err = {0};
  if (es_chain_evaluate(&b->chain, &scene, answer, &err) != 0) fail_msg("%s", err.detail);
}

static int rising(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* One radial both ways; differences of the loss of all ways together, dB. */
static size_t compare(const bench_chain *b, const trial *t, double *off) {
  es_radial all, alone;
  es_chain_answer map, listener;
  es_placing placing = {t->setup, &t->line, t->spots, RECEIVERS, &all};
  assert_int_equal(es_radials_place(b->keep, es_chain_unread(&b->chain), &placing, 1), 0);
  evaluate(b, &all, &map);
  size_t n = 0;
  for (size_t r = 0; r < RECEIVERS; r++) {
    es_arena_mark mark = es_arena_now(b->keep);
    assert_int_equal(es_radial_place(b->keep, &t->setup, &t->line, &t->spots[r], 1, &alone), 0);
    evaluate(b, &alone, &listener);
    for (size_t k = 0; k < PERCENTS; k++) off[n++] = fabs(map.basic_db[k * RECEIVERS + r] - listener.basic_db[k]);
    es_arena_back_to(b->keep, mark);
  }
  return n;
}

static void a_map_stays_near_its_listeners(void **state) {
  (void)state;
  static double off[ANSWERS];
  bench_chain b;
  trial *t = malloc(sizeof *t);
  assert_non_null(t);
  bench_chain_open(&b, ES_MODELS, ES_CHAIN_WHOLE_YEAR,
                   "free-space diffraction gases clear-air rain ducting troposcatter");
  size_t n = 0;
  double sum = 0.0;
  for (size_t i = 0; i < RADIALS; i++) {
    es_arena_back_to(b.keep, (es_arena_mark){0});
    invent(t, b.keep, i);
    n += compare(&b, t, off + n);
  }
  qsort(off, n, sizeof *off, rising);
  for (size_t i = 0; i < n; i++) sum += off[i];
  print_message("%zu answers: mean %.4f, 95 %% %.4f, largest %.4f dB\n", n, sum / (double)n, off[n * 95 / 100],
                off[n - 1]);
  assert_true(off[n - 1] < MOST_DB); /* written so that NaN fails */
  assert_true(sum / (double)n < MEAN_DB);
  bench_chain_close(&b);
  free(t);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(a_map_stays_near_its_listeners)};
  return cmocka_run_group_tests_name("map accuracy", tests, NULL, NULL);
}
