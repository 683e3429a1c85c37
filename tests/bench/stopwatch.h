/* stopwatch.h - what a bench prints: stages with wall and processor seconds, and why it gave up. */
#ifndef EARSHOT_BENCH_STOPWATCH_H
#define EARSHOT_BENCH_STOPWATCH_H

#include <stdio.h>
#include <time.h>

#include "base/faults.h"
#include "base/status.h"

typedef struct clock_pair {
  double wall_s, cpu_s;
} clock_pair;

static inline double seconds_of(clockid_t id) {
  struct timespec t;
  clock_gettime(id, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static inline clock_pair now(void) {
  return (clock_pair){seconds_of(CLOCK_MONOTONIC), seconds_of(CLOCK_PROCESS_CPUTIME_ID)};
}

/* `stage wall_s cpu_s`; the next stage begins. */
static inline void tell(const char *stage, clock_pair *since) {
  clock_pair t = now();
  printf("%-9s %8.3f %8.3f\n", stage, t.wall_s - since->wall_s, t.cpu_s - since->cpu_s);
  *since = t;
}

static inline int give_up(const char *program, const es_faults *faults, const es_error *err) {
  for (size_t i = 0; i < faults->n; i++)
    if (!faults->items[i].note) fprintf(stderr, "%s\n", faults->items[i].text);
  fprintf(stderr, "%s: %s\n", program, err->detail);
  return 1;
}

#endif
