/* cells_bench.c - cells of a map against the same cells as listeners, each with a profile of its own.
 *
 *   cells_bench JOB.yaml MODELS_DIR CELLS
 *
 * Prints `map_ns N` and `own_ns N`, processor time a cell either way, and the differences of the losses at the median:
 * `mean_db`, `p95_db`, `max_db`.                                                                                        */
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

static void compare(bench *b, const es_job *job, size_t cells) {
  double *off = calloc(cells, sizeof *off), sum = 0.0, begin = cpu_s();
  size_t n = 0, cols = (size_t)b->setup.frame.cols, all = cols * (size_t)b->setup.frame.rows, layer = 0;
  for (size_t l = 0; l < b->layers.n_percent; l++)
    if (b->layers.percent[l] == 50.0) layer = l;
  for (size_t i = 0; off != NULL && i < cells; i++) {
    size_t at = (size_t)((i * 2654435761u + 12345u) % all);
    double own = own_loss(b, job, (int)(at % cols), (int)(at / cols)),
           off_db = own - (double)b->layers.loss_db[layer][at];
    if (!isnan(off_db)) off[n++] = fabs(off_db);
  }
  printf("own_ns %.0f\n", 1e9 * (cpu_s() - begin) / (double)cells);
  qsort(off, n, sizeof *off, rising);
  for (size_t i = 0; i < n; i++) sum += off[i];
  if (n > 0) printf("mean_db %.4f\np95_db %.3f\nmax_db %.2f\n", sum / (double)n, off[n * 95 / 100], off[n - 1]);
  free(off);
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
