/* fading_map.c - the inversion of a mixture for the many receivers of a map.
 *
 * Above and below 0 dB the logit ln(Q / (100 - Q)) of a fading is nearly a straight line in the fade: clear air falls by so
 * many decades a decibel. So a chord between two points of it lands close, and three or four are enough where halving takes
 * fifteen.
 *
 *   logit Q |`-._                            1. ask at -0.005 and +0.005 dB, once for each receiver: a step at 0 dB (no rain
 *           |    `-._ A0                         just now) is a fade of 0, and the side of every other answer is known
 *           |        `o-._                   2. ask where a usual slope would lead
 *    wanted |. . . . . . .`-x. . .           3. chords, kept to an interval that holds the answer (the Illinois rule: an end
 *           |                 `-._A1            that stays twice counts half), until the next chord would move by less than
 *           +--------------------`o--- fade     0.01 dB 
 *
 * Neighbours along a radial fade alike. So one receiver in eight is searched first, as above, and the rest begin where the two
 * of those on either side have it, with the slope that was found there: most are done at the first question or the second.
 *
 * Only answers still open are asked about.                                                                               */
#include <math.h>
#include <string.h>

#include "model/fading.h"

static const double AT_ZERO_DB = 0.005, CLOSE_DB = 0.01;
static const double USUAL_SLOPE = 0.3;     /* of the logit, per dB: 13 dB a decade */
static const double CLOSE_LOGIT = 0.003;   /* what a neighbour's slope may decide: 0.01 dB of a usual slope */
static const double LEAST_SLOPE = 0.02;    /* a neighbour with less of it is no guide */
static const double FARTHEST_DB = 400.0;   /* no fade is larger; a search that gets here ends */
static const double LEAST_PERCENT = 1e-12; /* keeps logits finite */
enum { MOST_ROUNDS = 24, GUIDES = 8 /* one receiver in so many is a guide to the others */ };

static double logit(double percent) {
  double q = percent > LEAST_PERCENT ? percent : LEAST_PERCENT, rest = 100.0 - percent;
  return log(q / (rest > LEAST_PERCENT ? rest : LEAST_PERCENT));
}

/* What neighbours lead one to expect: a fade and by how much the logit falls there for each dB; slope 0: nothing. */
typedef struct guide {
  double fade, slope;
} guide;

/* One search, all of it on one side of 0 dB. Heights y are logits above the wanted one; y falls as the fade grows. */
typedef struct search {
  double wanted;       /* logit */
  double near, y_near; /* the end towards 0 dB */
  double far, y_far;   /* the other end; y_far NaN: not asked yet */
  double last, y_last; /* the question before; y_last NaN: there was none */
  double slope;        /* by which y falls for each dB: a guide's at first, then that of the last two questions */
  double sign;         /* 1 above 0 dB, -1 below */
  uint32_t at;         /* index of the answer */
  int kept;            /* 1: the near end stayed last time, -1: the far one, 0: neither */
} search;

static double next_far(const search *s) {
  double step = fabs(s->y_near) / USUAL_SLOPE;
  return s->near + s->sign * (step < 0.05 ? 0.05 : step > 60.0 ? 60.0 : step);
}

/* Where the chord meets the wanted height. */
static double chord(const search *s) { return s->near + (s->far - s->near) * s->y_near / (s->y_near - s->y_far); }

/* Before the answer is between the ends: the far one becomes the near one, and the chord is followed beyond it. */
static double reach_out(search *s, double y) {
  double slope = (y - s->y_near) / (s->far - s->near), step = -y / slope;
  double before = fabs(s->far - s->near);
  s->near = s->far;
  s->y_near = y;
  if (!(step * s->sign > 0.0) || fabs(step) > 8.0 * before) step = s->sign * 8.0 * before;
  return s->near + 1.2 * step + s->sign * 0.01;
}

/* Ends the search where what is left of the way is so short that a straight line will do. */
static bool settled(const search *s, bool guided, double y, double *fade) {
  double step = y / s->slope;
  if (!(s->slope > 0.0 && fabs(step) <= CLOSE_DB) || (guided && fabs(y) > CLOSE_LOGIT)) return false;
  *fade += step;
  return true;
}

/* The answer lies farther out than any question so far. Returns the next. */
static double go_on(search *s, bool guided, double y, double fade) {
  s->far = fade;
  if (!guided || fabs(y / s->slope) > 60.0) return reach_out(s, y);
  s->near = fade;
  s->y_near = y;
  return fade + y / s->slope;
}

/* The answer lies between the ends: one of them moves to where y was found. */
static void close_in(search *s, bool beyond, double y, double fade) {
  bool first = isnan(s->y_far);
  if (beyond) {
    s->far = fade;
    s->y_far = y;
    if (s->kept == 1) s->y_near *= 0.5;
  } else {
    s->near = fade;
    s->y_near = y;
    if (s->kept == -1) s->y_far *= 0.5;
  }
  if (!first) s->kept = beyond ? 1 : -1;
}

/* Takes the logit found at `fade`. True while the search goes on, with *fade the next question. */
static bool take(search *s, double found, double *fade) {
  double y = found - s->wanted;
  bool beyond = y * s->sign <= 0.0; /* the answer lies towards 0 dB */
  bool guided = isnan(s->y_last) && s->slope > 0.0;
  if (!isnan(s->y_last)) s->slope = (s->y_last - y) / (*fade - s->last);
  s->last = *fade;
  s->y_last = y;
  if (settled(s, guided, y, fade)) return false;
  if (isnan(s->y_far) && !beyond) {
    *fade = go_on(s, guided, y, *fade);
    return fabs(*fade) < FARTHEST_DB;
  }
  close_in(s, beyond, y, *fade);
  double next = chord(s), led = *fade + y / s->slope;
  if (guided && (led - s->near) * s->sign > 0.0)
    next = led; /* beyond: the guide's slope leads back, and stays within */
  *fade = next;
  return fabs(s->far - s->near) > CLOSE_DB;
}

typedef struct solve {
  es_mixture_fn ask;
  void *mixture;
  const double *wanted;
  size_t n_percent, n_rx;
  es_asked receivers;
  es_negligible_fn negligible;
  const void *of;
  double *fade, *exceeded, *above, *below; /* above, below: [receiver] exceeded at +- AT_ZERO_DB */
  double *slope;                           /* as in search, of every answer found */
  search *open;
  uint32_t *asked;
  size_t n_open;
  es_error *err;
} solve;

/* Asks for every receiver's first answer at one fade. */
static int32_t ask_first(const solve *s, double fade, double *out) {
  for (size_t r = 0; r < s->n_rx; r++) s->fade[r] = fade;
  int32_t status = s->ask(s->mixture, s->receivers, s->fade, s->exceeded, s->err);
  memcpy(out, s->exceeded, s->n_rx * sizeof *out);
  return status;
}

/* What the guides on either side of receiver a of the list expect at percentage k, on one side of 0 dB. */
static guide guide_to(const solve *s, size_t k, size_t a, double sign) {
  size_t before = a - a % GUIDES, after = before + GUIDES;
  double share = (double)(a % GUIDES) / GUIDES, weight = 0.0;
  guide sum = {0};
  for (int side = 0; side < 2; side++) {
    size_t from = side == 0 ? before : after;
    if (from >= s->receivers.n) continue;
    size_t i = k * s->n_rx + s->receivers.at[from];
    double part = side == 0 ? 1.0 - share : share;
    if (!(s->fade[i] * sign > AT_ZERO_DB && s->slope[i] > LEAST_SLOPE)) continue;
    sum.fade += part * s->fade[i];
    sum.slope += part * s->slope[i];
    weight += part;
  }
  return weight > 0.0 ? (guide){sum.fade / weight, sum.slope / weight} : (guide){0};
}

static void open_search(solve *s, size_t k, size_t a, double wanted_logit) {
  size_t r = s->receivers.at[a], i = k * s->n_rx + r;
  double sign = s->wanted[k] < s->above[r] ? 1.0 : -1.0;
  double found = sign > 0.0 ? s->above[r] : s->below[r];
  guide by = a % GUIDES != 0 ? guide_to(s, k, a, sign) : (guide){0};
  search it = {.wanted = wanted_logit, .near = sign * AT_ZERO_DB, .y_far = NAN, .sign = sign, .at = (uint32_t)i};
  it.y_near = logit(found) - wanted_logit;
  it.y_last = NAN;
  it.slope = by.slope;
  it.far = s->fade[i] = by.slope > 0.0 ? by.fade : next_far(&it);
  s->asked[s->n_open] = it.at;
  s->open[s->n_open++] = it;
}

/* Sorts out what is 0 (a step there, or of no account) and opens a search for every other answer: of the guides, or of the
 * others. */
static void begin(solve *s, bool guides) {
  s->n_open = 0;
  for (size_t k = 0; k < s->n_percent; k++) {
    double wanted = s->wanted[k], wanted_logit = logit(wanted);
    for (size_t a = 0; a < s->receivers.n; a++) {
      size_t r = s->receivers.at[a], i = k * s->n_rx + r;
      if ((a % GUIDES == 0) != guides) continue;
      if (isnan(s->above[r])) s->fade[i] = NAN;
      if (isnan(s->above[r]) || (s->below[r] >= wanted && wanted >= s->above[r])) continue;
      if (s->negligible == NULL || !s->negligible(s->of, i)) open_search(s, k, a, wanted_logit);
    }
  }
}

static int32_t round_of(solve *s) {
  int32_t status = s->ask(s->mixture, (es_asked){s->asked, s->n_open}, s->fade, s->exceeded, s->err);
  size_t still = 0;
  for (size_t i = 0; i < s->n_open; i++) {
    search it = s->open[i];
    bool goes_on = take(&it, logit(s->exceeded[it.at]), &s->fade[it.at]);
    s->slope[it.at] = it.slope;
    if (!goes_on) continue;
    s->open[still] = it;
    s->asked[still++] = it.at;
  }
  s->n_open = still;
  return status;
}

int32_t es_fading_solve(es_arena *arena, es_mixture_fn ask, void *mixture, const double *wanted, size_t n_percent,
                        size_t n_rx, es_asked receivers, es_negligible_fn negligible, const void *of, double *fade_db,
                        es_error *err) {
  size_t n = n_percent * n_rx;
  solve s = {ask, mixture, wanted, n_percent, n_rx, receivers, negligible, of, fade_db, .err = err};
  s.exceeded = ES_NEW(arena, double, n);
  s.above = ES_NEW(arena, double, n_rx);
  s.below = ES_NEW(arena, double, n_rx);
  s.slope = ES_NEW(arena, double, n);
  s.open = ES_NEW(arena, search, n);
  s.asked = ES_NEW(arena, uint32_t, n);
  if (s.exceeded == NULL || s.above == NULL || s.below == NULL || s.slope == NULL || s.open == NULL || s.asked == NULL)
    return es_fail(err, ES_E_MEMORY, "out of memory");
  int32_t status = ask_first(&s, -AT_ZERO_DB, s.below);
  if (status == 0) status = ask_first(&s, AT_ZERO_DB, s.above);
  memset(fade_db, 0, n * sizeof *fade_db);
  for (int guides = 1; guides >= 0; guides--) {
    if (status == 0) begin(&s, guides == 1);
    for (int round = 0; status == 0 && s.n_open > 0 && round < MOST_ROUNDS; round++) status = round_of(&s);
  }
  return status;
}
