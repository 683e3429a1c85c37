#include "run/few.h"

#include <stdlib.h>

void es_few_fini(es_few *f) {
  for (size_t i = 1; f->jobs != NULL && i < f->job.n_variants; i++) free(f->jobs[i].listeners.items);
  free(f->job.listeners.items);
  free(f->variants);
  free(f->jobs);
  free(f->pointers);
}

static bool thin(const es_job *whole, size_t n, es_job *out) {
  *out = *whole;
  out->aim.n_first = 0; /* indices into the whole list */
  out->listeners.n = n;
  out->listeners.items = calloc(n + 1, sizeof *out->listeners.items);
  for (size_t i = 0; out->listeners.items != NULL && i < n; i++)
    out->listeners.items[i] = whole->listeners.items[i * whole->listeners.n / n];
  return out->listeners.items != NULL;
}

/* The first variant is the job itself. */
static bool thin_variants(es_few *f, const es_setup *whole, size_t n) {
  size_t n_variants = whole->job->n_variants;
  f->variants = calloc(n_variants, sizeof *f->variants);
  f->jobs = calloc(n_variants, sizeof *f->jobs);
  f->pointers = calloc(n_variants, sizeof *f->pointers);
  bool ok = f->variants != NULL && f->jobs != NULL && f->pointers != NULL;
  for (size_t i = 0; ok && i < n_variants; i++) {
    es_job *job = i == 0 ? &f->job : &f->jobs[i];
    ok = i == 0 || thin(whole->job->variants[i], n, job);
    job->variants = f->pointers;
    f->pointers[i] = job;
    f->variants[i] = whole->variants[i];
    f->variants[i].job = job;
  }
  f->setup.variants = f->variants;
  return ok;
}

bool es_few_init(es_few *f, const es_setup *whole, size_t n) {
  *f = (es_few){.setup = *whole};
  f->setup.job = &f->job;
  return thin(whole->job, n, &f->job) && (whole->variants == NULL || thin_variants(f, whole, n));
}
