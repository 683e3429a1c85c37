/* path_bench.c - one path of 1000 points through the whole-year chain at seven percentages, again and again.
 *
 *   path_bench MODELS_DIR
 *
 * Prints `path_us N`: median of 21 runs of 200 paths, microseconds of processor time a path, geometry included.          */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "model/chain.h"

enum { POINTS = 1000, PERCENTS = 7, PATHS = 200, RUNS = 21 };
static const double percent[PERCENTS] = {0.1, 1, 10, 50, 90, 99, 99.9};

typedef struct bench {
  es_arena *keep, *scratch;
  es_model_set set;
  es_chain chain;
  es_climate *climate;
  es_line line;
  es_spot spot;
  es_radial_setup setup;
} bench;

static double cpu_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int start(bench *b, const char *folder, es_faults *faults) {
  es_climate_plan plan = {.maps = NULL};
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) plan.value[side][key] = NAN;
  b->keep = es_arena_create();
  b->scratch = es_arena_create();
  b->climate = es_climate_open(&plan, "bench", faults);
  return b->keep != NULL && b->scratch != NULL && b->climate != NULL &&
         es_models_open(&folder, 1, true, &b->set, faults) &&
         es_chain_make(ES_CHAIN_WHOLE_YEAR, NULL, 0, &b->set, NULL, 0, NULL, "bench", faults, &b->chain);
}

static void invent(bench *b, double *dist_m, double *ground_m) {
  for (size_t i = 0; i < POINTS; i++) {
    dist_m[i] = 100.0 * (double)i;
    ground_m[i] = 120.0 + 100.0 * sin((double)i / 37.0) + 30.0 * sin((double)i / 11.0) + 5.0 * sin((double)i / 1.7);
  }
  b->setup = (es_radial_setup){{-36.0, 46.0}, 0.7, 18.0, 10.368, 8549.0, 0.0289, NULL};
  b->spot = (es_spot){
      .dist_m = dist_m[POINTS - 1], .ground_m = ground_m[POINTS - 1], .antenna_agl_m = 10.0, .zone = ES_ZONE_INLAND};
}

static int one_path(bench *b, const es_samples *samples, double *loss) {
  es_radial radial;
  es_chain_answer answer;
  es_error err = {0};
  es_arena_back_to(b->keep, (es_arena_mark){0});
  es_arena_back_to(b->scratch, (es_arena_mark){0});
  if (es_line_make(b->keep, samples, 200.0, &b->line) != 0) return 1;
  if (es_radial_place(b->keep, &b->setup, &b->line, &b->spot, 1, &radial) != 0) return 1;
  es_scene scene = {.radial = &radial,
                    .climate = b->climate,
                    .freq_ghz = 10.368,
                    .percent = percent,
                    .n_percent = PERCENTS,
                    .keep = b->keep,
                    .scratch = b->scratch};
  if (es_chain_evaluate(&b->chain, &scene, &answer, &err) != 0) return 1;
  *loss += answer.basic_db[0];
  return 0;
}

static int rising(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

int main(int argc, char **argv) {
  static double dist_m[POINTS], ground_m[POINTS], us[RUNS], loss;
  bench b = {0};
  es_faults faults = {0};
  if (argc < 2 || !start(&b, argv[1], &faults)) return fprintf(stderr, "path_bench MODELS_DIR\n"), 2;
  invent(&b, dist_m, ground_m);
  es_samples samples = {.n = POINTS, .step_m = 100.0, .dist_m = dist_m, .ground_m = ground_m};
  for (int run = 0; run < RUNS; run++) {
    double begin = cpu_s();
    for (int i = 0; i < PATHS; i++)
      if (one_path(&b, &samples, &loss) != 0) return fprintf(stderr, "path_bench: failed\n"), 1;
    us[run] = 1e6 * (cpu_s() - begin) / PATHS;
  }
  qsort(us, RUNS, sizeof *us, rising);
  printf("path_us %.1f\n", us[RUNS / 2]);
  return 0;
}
