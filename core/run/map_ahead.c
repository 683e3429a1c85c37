#include "run/map_ahead.h"

#include <stdlib.h>

static const size_t HELD_BYTES = 256u << 20;

struct es_map_ahead {
  const es_setup *setup;
  es_map_layers *held; /* [scenario]; n_cells 0: not there */
  size_t bytes;        /* held at present */
};

es_map_ahead *es_map_ahead_create(const es_setup *setup) {
  es_map_ahead *a = calloc(1, sizeof *a);
  if (a == NULL) return NULL;
  *a = (es_map_ahead){setup, calloc(setup->job->n_scenarios, sizeof *a->held), 0};
  if (a->held != NULL) return a;
  free(a);
  return NULL;
}

void es_map_ahead_destroy(es_map_ahead *a) {
  for (size_t s = 0; a != NULL && s < a->setup->job->n_scenarios; s++) es_map_layers_free(&a->held[s]);
  if (a != NULL) free(a->held);
  free(a);
}

bool es_losses_are_shared(const es_job *job, size_t a, size_t b) {
  const es_scenario *x = &job->scenarios[a], *y = &job->scenarios[b];
  const es_job *in = es_job_in(job, a), *other = es_job_in(job, b);
  return x->height_m == y->height_m && x->season == y->season && in->site == other->site && in->beam == other->beam &&
         in->trees.growth_m == other->trees.growth_m;
}

static size_t bytes_of(const es_map_ahead *a, size_t n_cells) {
  return es_map_layer_count(a->setup) * n_cells * sizeof(float);
}

/* The scenario and those after it that may come along. */
static size_t choose(const es_map_ahead *a, size_t scenario, size_t n_cells, size_t *which) {
  const es_job *job = a->setup->job;
  size_t room = a->setup->memory_bytes == 0 ? HELD_BYTES : 0, held = a->bytes, n = 0;
  which[n++] = scenario;
  for (size_t s = scenario + 1; s < job->n_scenarios && n < ES_MAPS_TOGETHER; s++) {
    if (!es_losses_are_shared(job, scenario, s) || held + bytes_of(a, n_cells) > room) continue;
    held += bytes_of(a, n_cells);
    which[n++] = s;
  }
  return n;
}

static int32_t compute(es_map_ahead *a, const size_t *which, size_t n, const es_map_cells *cells,
                       const es_percentages *percents, int threads, es_worker *workers, es_progress *progress,
                       es_error *err) {
  const es_setup *setups[ES_MAPS_TOGETHER];
  es_map_layers *out[ES_MAPS_TOGETHER];
  bool ok = true;
  for (size_t i = 0; i < n; i++) {
    setups[i] = es_setup_in(a->setup, which[i]);
    out[i] = &a->held[which[i]];
    ok = ok && es_map_layers_create(setups[i], cells->n, out[i]);
  }
  int32_t status = ok ? es_map_fill_many(setups, which, n, cells, percents, threads, workers, progress, out, err)
                      : es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; i < n; i++) {
    if (status != 0)
      es_map_layers_free(out[i]);
    else
      a->bytes += bytes_of(a, cells->n);
  }
  return status;
}

int32_t es_map_ahead_take(es_map_ahead *a, size_t scenario, const es_map_cells *cells, const es_percentages *percents,
                          int threads, es_worker *workers, es_progress *progress, es_map_layers *out, es_error *err) {
  size_t which[ES_MAPS_TOGETHER];
  int32_t status = 0;
  if (a->held[scenario].n_cells == 0) {
    size_t n = choose(a, scenario, cells->n, which);
    status = compute(a, which, n, cells, percents, threads, workers, progress, err);
  }
  if (status != 0) return status;
  *out = a->held[scenario];
  a->held[scenario] = (es_map_layers){0};
  a->bytes -= bytes_of(a, cells->n);
  return 0;
}

/* A run in which only the counting is done. */
es_map_passes es_map_passes_of(const es_setup *setup, size_t n_cells) {
  es_map_passes p = {0};
  es_map_ahead *a = es_map_ahead_create(setup);
  if (a == NULL) return (es_map_passes){HELD_BYTES, setup->job->n_scenarios};
  size_t which[ES_MAPS_TOGETHER];
  for (size_t s = 0; s < setup->job->n_scenarios; s++) {
    size_t n = a->held[s].n_cells == 0 ? choose(a, s, n_cells, which) : 0;
    for (size_t i = 0; i < n; i++) a->held[which[i]].n_cells = n_cells;
    p.n += n > 0;
    a->bytes += n * bytes_of(a, n_cells);
    a->bytes -= bytes_of(a, n_cells); /* this one is the map in hand */
    p.most_bytes = a->bytes > p.most_bytes ? a->bytes : p.most_bytes;
  }
  es_map_ahead_destroy(a);
  return p;
}
