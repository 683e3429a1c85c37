#include "model/fading.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

enum { STAGE_1_ROUNDS = 11 };

/* One search: the fade wanted lies between low (exceeded often) and high (exceeded seldom). */
typedef struct search {
  double low, high, q_low, q_high, step, fade;
  int left; /* halvings left; < 0: still looking for an interval */
  bool asked_high;
} search;

static void begin_halving(search *s) {
  s->left = (int)ceil(3.32 * log10(s->step / 0.01)) + 1;
  s->fade = 0.5 * (s->low + s->high);
}

/* Stage 1: moves the interval until it holds the fade; sets s->fade to what must be asked next. */
static void widen(search *s, double wanted, int round) {
  if (round < STAGE_1_ROUNDS && wanted < s->q_high) {
    s->low = s->high;
    s->q_low = s->q_high;
    s->step *= 2.0;
    s->high += s->step;
    s->asked_high = true;
    s->fade = s->high;
  } else if (round < STAGE_1_ROUNDS && wanted > s->q_low) {
    s->high = s->low;
    s->q_high = s->q_low;
    s->step *= 2.0;
    s->low -= s->step;
    s->asked_high = false;
    s->fade = s->low;
  } else {
    begin_halving(s);
  }
}

/* Takes the answer for s->fade. True while the search goes on. */
static bool take(search *s, double wanted, double exceeded, int round) {
  if (s->left < 0) {
    if (s->asked_high)
      s->q_high = exceeded;
    else
      s->q_low = exceeded;
    widen(s, wanted, round);
    return true;
  }
  if (s->left == 0) return false;
  if (exceeded < wanted)
    s->high = s->fade;
  else
    s->low = s->fade;
  s->fade = 0.5 * (s->low + s->high);
  return --s->left > 0;
}

static void fill(double *fade_db, size_t n, double value) {
  for (size_t i = 0; i < n; i++) fade_db[i] = value;
}

int32_t es_fading_invert(es_arena *arena, es_mixture_fn ask, void *mixture, const double *wanted, size_t n,
                         double *fade_db, es_error *err) {
  search *s = ES_NEW(arena, search, n);
  double *exceeded = ES_NEW(arena, double, n);
  if (s == NULL || exceeded == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; i < n; i++) s[i] = (search){.low = -5.0, .high = 5.0, .step = 10.0, .left = -1};
  fill(fade_db, n, 5.0);
  const es_asked all = {NULL, n};
  int32_t status = ask(mixture, all, fade_db, exceeded, err);
  for (size_t i = 0; i < n; i++) s[i].q_high = exceeded[i];
  fill(fade_db, n, -5.0);
  if (status == 0) status = ask(mixture, all, fade_db, exceeded, err);
  for (size_t i = 0; i < n; i++) {
    s[i].q_low = exceeded[i];
    widen(&s[i], wanted[i], 0);
    fade_db[i] = s[i].fade;
  }
  bool going = true;
  for (int round = 1; going && status == 0; round++) {
    going = false;
    status = ask(mixture, all, fade_db, exceeded, err);
    for (size_t i = 0; i < n; i++) {
      if (isnan(fade_db[i])) continue;
      bool more = take(&s[i], wanted[i], exceeded[i], round);
      fade_db[i] = more ? s[i].fade : NAN;
      going |= more;
    }
  }
  for (size_t i = 0; i < n; i++) fade_db[i] = s[i].fade;
  return status;
}
