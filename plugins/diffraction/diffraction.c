/* diffraction.c - loss by terrain and the bulge of the earth, at every percentage of time.
 *
 * Source: ITU-R P.526-16 (11/2025) section 4.5 (delta-Bullington); ITU-R P.2001-6 attachment A and section 3.5 for the
 * curvature of a percentage. Page: docs/models/diffraction.md.
 * Gives:  Ld in dB over free space, >= 0, for the surface way. When the task fixes an effective radius, that one holds at
 *         every percentage; else the curvature of each percentage, of any sign. Over the canopy: its tops are the profile,
 *         the smooth earth stays that of the ground.                                                                      */
#include <stdlib.h>

#include "common/delta_bullington.h"
#include "common/p2001.h"

enum { CONVENTION, BETA };
static const es_setting settings[] = {
    {"convention", "", "which Recommendation's constants: free choice of P.526, or those of P.2001 or P.452", 0, 2, 1,
     "p526|p2001|p452"},
    {"beta", "", "ground factor of the spherical term under p526: computed, or one where P.526 allows it", 0, 1, 0,
     "computed|one"},
};

typedef struct diffraction {
  db_convention convention;
  int beta1;
} diffraction;

static int32_t create(const double *values, void **self, es_error *err) {
  (void)err;
  diffraction *d = malloc(sizeof *d);
  if (d == NULL) return ES_FAILED;
  *d = (diffraction){(db_convention)values[CONVENTION], (int)values[BETA]};
  *self = d;
  return 0;
}

/* Curvature of the actual profile and radius of the smooth one. A radial has one, that of its farthest receiver's path. */
static void curvature_of(const es_task *task, size_t k, db_setup *setup) {
  if (task->fixed_radius) {
    setup->curvature_per_km = 1.0 / task->earth_radius_km;
    setup->radius_km = task->earth_radius_km;
    return;
  }
  size_t r = task->rx->n - 1;
  const es_host *h = task->host;
  p2001_curvature(task->percent[k], h->climate(task->ctx, ES_DELTA_N_MEDIAN, ES_AT_CENTRE, r),
                  h->climate(task->ctx, ES_DELTA_N_ENHANCED_SLOPE, ES_AT_CENTRE, r),
                  h->climate(task->ctx, ES_DELTA_N_SUB_SLOPE, ES_AT_CENTRE, r), &setup->curvature_per_km,
                  &setup->radius_km);
}

static void note(const es_task *task, const db_setup *setup, size_t k, size_t r, const db_terms *t) {
  const struct {
    const char *symbol;
    double value;
  } symbols[] = {{"Cp", setup->curvature_per_km},
                 {"Reffp", setup->radius_km},
                 {"Ldba", t->actual},
                 {"Ldbka", t->knife_actual},
                 {"Ldbs", t->smooth},
                 {"Ldbks", t->knife_smooth},
                 {"Ldsph", t->spherical},
                 {"Ld", t->loss}};
  for (size_t i = 0; i < sizeof symbols / sizeof *symbols; i++)
    task->host->note(task->ctx, k, r, symbols[i].symbol, symbols[i].value);
}

/* Every term, told to whom it concerns. */
static void each_in_full(const es_task *task, const db_setup *setup, const es_hull *hulls, size_t k, es_answer *out) {
  for (size_t r = 0; r < task->rx->n; r++) {
    db_terms terms;
    db_loss(setup, task, &hulls[r], r, &terms);
    out->value[k * task->rx->n + r] = terms.loss;
    if (task->host->note != NULL && !task->over_canopy) note(task, setup, k, r, &terms);
  }
}

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  const diffraction *d = self;
  size_t n = task->rx->n, n_percent = task->n_percent;
  db_setup *setup = task->host->scratch(task->ctx, n_percent * sizeof *setup);
  double *curvature = task->host->scratch(task->ctx, n_percent * sizeof *curvature);
  const es_hull **hulls = task->host->scratch(task->ctx, n_percent * sizeof(es_hull *));
  if (setup == NULL || curvature == NULL || hulls == NULL) return ES_FAILED;
  for (size_t k = 0; k < n_percent; k++) {
    setup[k] = (db_setup){d->convention, d->beta1, 0.0, task->freq_ghz, task->polarisation, 0.0, 0.0};
    curvature_of(task, k, &setup[k]);
    curvature[k] = setup[k].curvature_per_km;
  }
  if (task->host->hulls(task->ctx, curvature, n_percent, task->over_canopy, 0.0, DB_ENOUGH_M(task->freq_ghz), hulls) !=
      0)
    return ES_FAILED;
  for (size_t k = 0; k < n_percent; k++)
    if (task->host->note == NULL && n > 1)
      db_loss_all(&setup[k], task, hulls[k], out->value + k * n);
    else
      each_in_full(task, &setup[k], hulls[k], k, out);
  return 0;
}

const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "diffraction",
    .title = "bending over terrain and the bulge of the earth",
    .source = "ITU-R P.526-16 (11/2025), delta-Bullington",
    .role = ES_TERM,
    .touches = ES_SURFACE,
    .min_ghz = 0.03,
    .max_ghz = 50.0,
    .min_km = 0.0,
    .max_km = 10000.0,
    .settings = settings,
    .n_settings = sizeof settings / sizeof *settings,
    .create = create,
    .evaluate = evaluate,
    .destroy = free,
    .unread = ~(uint32_t)0,
    .can = ES_CAN_OVER_CANOPY,
};
