/* free-space.c - basic transmission loss in free space.
 *
 * Source:  ITU-R P.525-4 (08/2019) (4), Lbfs = 20 log10(4 pi d / lambda); the form with rounded constant as in
 *          ITU-R P.2001-6 section 3.11 and ITU-R P.452-18 (8)
 * Given:   frequency, GHz; slant distance between the antennas, m
 * Gives:   Lbfs, dB between isotropic antennas, no atmosphere; the same at every percentage of time
 * Check:   10.368 GHz, 100 km -> 152.7617 dB exact, 152.7139 dB with 92.4                                              */
#include <math.h>
#include <string.h>

#include "earshot/model.h"
#include "earshot/x86_level.h"
#include "free_kernel.h"

enum { P526, P2001, P452 };

static const double EXACT_GHZ_KM_DB = 92.447783221883367; /* 20 log10(4 pi 1e3 m 1e9 Hz / 299792458 m/s) */
static const double ROUNDED_GHZ_KM_DB = 92.4;             /* P.2001-6 section 3.11, P.452-18 (8) */

static const es_setting settings[] = {
    {.key = "convention",
     .unit = "",
     .help = "constant: exact speed of light (p526), or 92.4 as P.2001 and P.452 round it",
     .min = P526,
     .max = P452,
     .fallback = P2001,
     .choices = "p526|p2001|p452"},
};

/* Its only state: the constant of the convention, dB at 1 GHz and 1 km. */
static int32_t create(const double *values, void **self, es_error *err) {
  (void)err;
  *self = (void *)(values[0] < 0.5 ? &EXACT_GHZ_KM_DB : &ROUNDED_GHZ_KM_DB);
  return ES_OK;
}

ES_KERNEL_FORMS(free_kernel, free_kernel)

static int32_t evaluate(const void *self, const es_task *task, es_answer *out, es_error *err) {
  (void)err;
  size_t n = task->rx->n;
  if (task->n_percent == 0) return ES_OK;
  best()->fill(task->rx->slant_m, n, *(const double *)self + 20.0 * log10(task->freq_ghz), out->value);
  for (size_t k = 1; k < task->n_percent; k++) memcpy(out->value + k * n, out->value, n * sizeof *out->value);
  for (size_t i = 0; i < n * task->n_percent; i++) {
    if (isfinite(out->value[i])) continue;
    out->value[i] = NAN; /* the antennas are in one place */
    out->status[i] = ES_MISSING;
  }
  for (size_t i = 0; task->host->note != NULL && i < n * task->n_percent; i++)
    task->host->note(task->ctx, i / n, i % n, "Lbfs", out->value[i]);
  return ES_OK;
}

ES_EXPORT const es_model es_model_entry = {
    .abi = ES_ABI,
    .size = sizeof(es_model),
    .id = "free-space",
    .title = "Free-space loss",
    .source = "ITU-R P.525-4 (08/2019)",
    .role = ES_TERM,
    .touches = ES_SURFACE,
    .min_ghz = 0.03,
    .max_ghz = 1000.0,
    .min_km = 0.0,
    .max_km = 1e6,
    .settings = settings,
    .n_settings = sizeof settings / sizeof settings[0],
    .create = create,
    .evaluate = evaluate,
    .unread = ~(uint32_t)0,
};
