/* cells_bench.c - cells of a map against the same cells as listeners, each with a profile of its own.
 *
 *   cells_bench JOB.yaml MODELS_DIR CELLS
 *
 * Prints `map_ns N` and `own_ns N`, processor time a cell either way, and the differences of the losses at the median:
 * `mean_db`, `bias_db`, `p95_db`, `max_db`. A listener's profile has a sample in every step of the elevation, which passes
 * over the tops of crests that stand between two samples; so the same is told against profiles of a third of that step
 * (`fine_...`), and of those against the listener's own (`step_...`): the part of the difference that is the yardstick's. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "run/map.h"
#include "run/worker.h"

static double cpu_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int rising(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

typedef struct bench {
  es_setup setup;
  es_percentages percents;
  es_worker *worker;
  es_arena *results;
  es_map_layers layers;
} bench;

/* Loss of one cell by its own path; NaN when there is none. */
static double own_loss(bench *b, const es_job *job, int col, int row) {
  double dx, dy;
  es_frame_cell(&b->setup.frame, col, row, &dx, &dy);
  es_listener listener = {.at = es_frame_place(&b->setup.frame, dx, dy), .rx = job->map.receiver};
  es_path_answer answer;
  es_error err = {0};
  es_arena_back_to(b->results, (es_arena_mark){0});
  if (es_path_evaluate(&b->setup, &job->scenarios[0], &listener, &b->percents, b->worker, b->results, NULL, NULL,
                       &answer, NULL, &err) != 0)
    return NAN;
  return answer.status == ES_OK ? answer.basic_db[b->percents.median] : NAN;
}

/* Differences: mean of the magnitudes, mean, 95 %, largest. */
static void print_differences(const char *what, const double *a, const double *b, size_t n) {
  double *off = calloc(n + 1, sizeof *off), sum = 0.0, bias = 0.0;
  size_t known = 0;
  for (size_t i = 0; off != NULL && i < n; i++) {
    if (isnan(a[i] - b[i])) continue;
    bias += a[i] - b[i];
    sum += off[known++] = fabs(a[i] - b[i]);
  }
  if (off != NULL) qsort(off, known, sizeof *off, rising);
  if (off != NULL && known > 0)
    printf("%smean_db %.4f\n%sbias_db %.4f\n%sp95_db %.3f\n%smax_db %.2f\n", what, sum / (double)known, what,
           bias / (double)known, what, off[known * 95 / 100], what, off[known - 1]);
  free(off);
}

/* Cells taken at random, by the map and by profiles with so many samples in each step of the elevation. */
static void take_own(bench *b, const es_job *job, size_t cells, double parts, double *own) {
  size_t cols = (size_t)b->setup.frame.cols, all = cols * (size_t)b->setup.frame.rows;
  double step_m = b->setup.facts.step_m;
  b->setup.facts.step_m /= parts;
  for (size_t i = 0; i < cells; i++) {
    size_t at = (size_t)((i * 2654435761u + 12345u) % all);
    own[i] = own_loss(b, job, (int)(at % cols), (int)(at / cols));
  }
  b->setup.facts.step_m = step_m;
}

static void take_map(const bench *b, size_t cells, double *map) {
  size_t all = (size_t)b->setup.frame.cols * (size_t)b->setup.frame.rows, layer = 0;
  for (size_t l = 0; l < b->layers.n_percent; l++)
    if (b->layers.percent[l] == 50.0) layer = l;
  for (size_t i = 0; i < cells; i++)
    map[i] = (double)b->layers.loss_db[layer][(size_t)((i * 2654435761u + 12345u) % all)];
}

static void compare(bench *b, const es_job *job, size_t cells) {
  double *map = calloc(3 * cells + 1, sizeof *map), *own = map + cells, *fine = own + cells;
  if (map == NULL) return;
  take_map(b, cells, map);
  double begin = cpu_s();
  take_own(b, job, cells, 1.0, own);
  printf("own_ns %.0f\n", 1e9 * (cpu_s() - begin) / (double)cells);
  take_own(b, job, cells, 3.0, fine);
  print_differences("", map, own, cells);
  print_differences("fine_", map, fine, cells);
  print_differences("step_", own, fine, cells);
  free(map);
}

int main(int argc, char **argv) {
  if (argc < 4) return fprintf(stderr, "cells_bench JOB.yaml MODELS_DIR CELLS\n"), 2;
  es_faults faults = {0};
  es_error err = {0};
  bench b = {.worker = es_workers_create(1), .results = es_arena_create()};
  const char *named[] = {argv[2]};
  es_model_folders folders = {named, 1, NULL};
  es_map_cells cells;
  es_job *job = es_job_open(argv[1], &faults);
  if (job == NULL || b.worker == NULL || b.results == NULL || !es_setup_plan(job, &folders, &b.setup, &faults) ||
      !es_setup_ground(&b.setup, &faults, NULL) || es_map_cells_make(&b.setup, 1, &cells, &err) != 0)
    return fprintf(stderr, "cells_bench: %s %s\n", faults.n > 0 ? faults.items[0].text : "", err.detail), 1;
  b.percents = es_percentages_of(job, b.setup.timed, b.setup.highest_percent);
  double begin = cpu_s();
  if (es_map_compute(&b.setup, &job->scenarios[0], &cells, &b.percents, 1, b.worker, NULL, &b.layers, &err) != 0)
    return fprintf(stderr, "cells_bench: %s\n", err.detail), 1;
  printf("map_ns %.1f\n", 1e9 * (cpu_s() - begin) / (double)cells.n);
  compare(&b, job, strtoul(argv[3], NULL, 10));
  es_map_layers_free(&b.layers);
  es_map_cells_free(&cells);
  es_workers_destroy(b.worker, 1);
  es_arena_destroy(b.results);
  es_setup_close(&b.setup);
  es_job_close(job);
  es_faults_free(&faults);
  return 0;
}
