/* map_bench.c - a map job without its sheets: ground in, layers computed, one GeoTIFF out, and what each took.
 *
 *   map_bench JOB.yaml MODELS_DIR THREADS [OUT.tif]
 *
 * Prints `stage wall_s cpu_s` lines, then `cells N` and `peak_mb N`.                                                     */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

#include "output/map_raster.h"
#include "run/map.h"
#include "run/worker.h"

typedef struct clock_pair {
  double wall_s, cpu_s;
} clock_pair;

static double seconds_of(clockid_t id) {
  struct timespec t;
  clock_gettime(id, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static clock_pair now(void) { return (clock_pair){seconds_of(CLOCK_MONOTONIC), seconds_of(CLOCK_PROCESS_CPUTIME_ID)}; }

static void tell(const char *stage, clock_pair *since) {
  clock_pair t = now();
  printf("%-8s %8.3f %8.3f\n", stage, t.wall_s - since->wall_s, t.cpu_s - since->cpu_s);
  *since = t;
}

static int give_up(const es_faults *faults, const es_error *err) {
  for (size_t i = 0; i < faults->n_faults; i++) fprintf(stderr, "%s\n", faults->items[i].text);
  fprintf(stderr, "map_bench: %s\n", err->detail);
  return 1;
}

static int32_t write_loss(const es_setup *setup, const es_map_layers *layers, const char *path, int threads,
                          es_error *err) {
  return es_map_raster_write(path, &setup->frame, layers->loss_db[0], "basic transmission loss", "dB", NULL, NULL, 0,
                             threads, err);
}

int main(int argc, char **argv) {
  if (argc < 4) return fprintf(stderr, "map_bench JOB.yaml MODELS_DIR THREADS [OUT.tif]\n"), 2;
  es_faults faults = {0};
  es_error err = {0};
  es_setup setup;
  const char *named[] = {argv[2]};
  es_model_folders folders = {named, 1, NULL};
  int threads = atoi(argv[3]);
  clock_pair start = now(), at = start;
  es_job *job = es_job_open(argv[1], &faults);
  if (job == NULL || !es_setup_plan(job, &folders, &setup, &faults) || !es_setup_ground(&setup, &faults, NULL))
    return give_up(&faults, &err);
  tell("ground", &at);
  es_worker *workers = es_workers_create(threads);
  es_percentages percents = es_percentages_of(job, setup.timed, setup.highest_percent);
  es_map_cells cells;
  if (workers == NULL || es_map_cells_make(&setup, threads, &cells, &err) != 0) return give_up(&faults, &err);
  tell("cells", &at);
  for (size_t s = 0; s < job->n_scenarios; s++) {
    es_map_layers layers;
    if (es_map_compute(&setup, &job->scenarios[s], &cells, &percents, threads, workers, NULL, &layers, &err) != 0)
      return give_up(&faults, &err);
    tell("map", &at);
    if (argc > 4 && write_loss(&setup, &layers, argv[4], threads, &err) != 0) return give_up(&faults, &err);
    tell("write", &at);
    es_map_layers_free(&layers);
  }
  tell("whole", &start);
  struct rusage use;
  getrusage(RUSAGE_SELF, &use);
  printf("cells %zu\npeak_mb %ld\n", cells.n, use.ru_maxrss / 1024);
  es_map_cells_free(&cells);
  es_workers_destroy(workers, threads);
  es_setup_close(&setup);
  es_job_close(job);
  es_faults_free(&faults);
  return 0;
}
