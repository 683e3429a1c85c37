#include "base/progress.h"

#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { BAR = 30, LINE_EVERY_S = 5 };

struct es_progress {
  bool terminal;
  char name[64];
  size_t total;
  _Atomic size_t done;
  _Atomic int64_t next_ns; /* not told again before this; the thread that moves it tells */
  int64_t started_ns;
};

static int64_t now_ns(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

es_progress *es_progress_start(bool quiet) {
  es_progress *p = quiet ? NULL : calloc(1, sizeof *p);
  if (p != NULL) p->terminal = isatty(STDERR_FILENO) == 1;
  return p;
}

static void tell(es_progress *p, size_t done) {
  double share = p->total > 0 ? (double)done / (double)p->total : 1.0;
  double seconds = 1e-9 * (double)(now_ns() - p->started_ns);
  if (!p->terminal) {
    fprintf(stderr, "%s: %3.0f %%, %.1f s\n", p->name, 100.0 * share, seconds);
    return;
  }
  char bar[BAR + 1];
  int full = (int)(share * BAR);
  for (int i = 0; i < BAR; i++) bar[i] = i < full ? '=' : ' ';
  bar[BAR] = '\0';
  fprintf(stderr, "\r%-24.24s [%s] %3.0f %% %6.1f s", p->name, bar, 100.0 * share, seconds);
  fflush(stderr);
}

static void finish_stage(es_progress *p) {
  if (p->name[0] == '\0') return;
  tell(p, p->total);
  if (p->terminal) fputc('\n', stderr);
  p->name[0] = '\0';
}

void es_progress_stage(es_progress *p, const char *name, size_t total) {
  if (p == NULL) return;
  finish_stage(p);
  snprintf(p->name, sizeof p->name, "%s", name);
  p->total = total;
  p->started_ns = now_ns();
  atomic_store(&p->done, 0);
  atomic_store(&p->next_ns, p->started_ns + (p->terminal ? 100000000 : LINE_EVERY_S * (int64_t)1000000000));
}

void es_progress_step(es_progress *p, size_t steps) {
  if (p == NULL) return;
  size_t done = atomic_fetch_add(&p->done, steps) + steps;
  int64_t now = now_ns(), next = atomic_load(&p->next_ns);
  int64_t pause = p->terminal ? 100000000 : LINE_EVERY_S * (int64_t)1000000000;
  if (now >= next && atomic_compare_exchange_strong(&p->next_ns, &next, now + pause)) tell(p, done);
}

void es_progress_end(es_progress *p) {
  if (p == NULL) return;
  finish_stage(p);
  free(p);
}
