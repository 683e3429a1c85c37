/* evaluate.c - a chain over one radial: every model once, fading inverted once, ways combined once. See chain.h. */
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "model/blame.h"
#include "model/chain.h"
#include "model/fading.h"
#include "model/services.h"
#include "model/together.h"

enum { SURFACE = 0, DUCT = 1, SCATTER = 2 };

typedef struct work {
  const es_chain *chain;
  es_scene *scene;
  es_services *services;
  es_host host;
  es_chain_answer *answer;
  size_t n_rx, n_percent, n; /* n = n_rx * n_percent */
  es_error *err;
  es_answer idle;                /* what nobody reads */
  double *ground_db, *canopy_db; /* [percent][receiver] of the terms that can go over the canopy; NULL: nobody asks */
} work;

/* --- calling one model --------------------------------------------------------------------------------------------------- */

static es_task task_for(const work *w, int way) {
  const es_radial *radial = w->scene->radial;
  const es_way_answer *directions = &w->answer->way[way];
  return (es_task){.size = sizeof(es_task),
                   .host = &w->host,
                   .ctx = w->services,
                   .beacon = &radial->beacon,
                   .line = &radial->line,
                   .rx = &radial->rx,
                   .freq_ghz = w->scene->freq_ghz,
                   .polarisation = w->scene->polarisation,
                   .season = w->scene->season,
                   .azimuth = radial->azimuth,
                   .earth_radius_km = radial->earth_radius_km,
                   .fixed_radius = w->chain->fixed_radius,
                   .percent = w->scene->percent,
                   .n_percent = w->n_percent,
                   .way = 1 << way,
                   .el_tx = directions->el_tx,
                   .el_rx = directions->el_rx};
}

/* All columns, as every role has them on entry. */
static bool columns_create(const work *w, es_answer *a) {
  es_arena *keep = w->scene->keep;
  *a = (es_answer){.size = sizeof *a,
                   .share = ES_NEW(keep, double, w->n_rx),
                   .vapour = es_arena_zeroed(keep, es_array_bytes(w->n, sizeof(double))),
                   .rain_extra = es_arena_zeroed(keep, es_array_bytes(w->n_rx, sizeof(double))),
                   .el_tx = ES_NEW(keep, double, w->n_rx),
                   .el_rx = ES_NEW(keep, double, w->n_rx),
                   .legs = es_arena_zeroed(keep, w->n_rx),
                   .winner = ES_NEW(keep, uint8_t, w->n)};
  if (a->share == NULL || a->vapour == NULL || a->rain_extra == NULL || a->el_tx == NULL || a->el_rx == NULL ||
      a->legs == NULL || a->winner == NULL)
    return false;
  for (size_t r = 0; r < w->n_rx; r++) a->share[r] = 100.0;
  memcpy(a->el_tx, w->scene->radial->rx.el_tx, w->n_rx * sizeof(double));
  memcpy(a->el_rx, w->scene->radial->rx.el_rx, w->n_rx * sizeof(double));
  memset(a->winner, ES_SURFACE, w->n);
  return true;
}

/* A term has a value, a status and rain_extra of its own; columns of other roles, which nobody reads of it, all terms share. */
static bool answer_create(const work *w, int32_t role, es_answer *a) {
  es_arena *keep = w->scene->keep;
  if (role == ES_TERM || role == ES_END) {
    *a = w->idle;
    a->rain_extra = es_arena_zeroed(keep, es_array_bytes(w->n_rx, sizeof(double)));
  } else if (!columns_create(w, a)) {
    return false;
  }
  a->value = ES_NEW(keep, double, w->n);
  a->status = es_arena_zeroed(keep, w->n);
  for (size_t i = 0; a->value != NULL && i < w->n; i++) a->value[i] = NAN;
  return a->value != NULL && a->status != NULL && a->rain_extra != NULL;
}

/* One path in full: by the letter of the Recommendation. Else a map, where the last hundredth of a dB may go. */
static bool listener(const work *w) { return w->scene->note != NULL || w->n_rx == 1; }

static int32_t no_memory(const work *w) { return es_fail(w->err, ES_E_MEMORY, "out of memory"); }

/* Reports a failing model by name and file; what it said goes between, as a long path may be cut. */
static int32_t model_failed(const work *w, const es_loaded_model *m, const es_error *said) {
  const char *reason = said->detail[0] != '\0' ? said->detail : "it gave no reason";
  return es_fail(w->err, ES_E_MODEL, "model %s failed: %.120s (%s)", m->is.id, reason, m->path);
}

static int32_t call(const work *w, const es_loaded_model *m, const es_task *task, es_answer *a) {
  es_error said = {0};
  es_arena_mark mark = es_arena_now(w->scene->scratch);
  es_blame(m->is.id);
  int32_t status = m->is.evaluate(m->self, task, a, &said);
  es_blame(NULL);
  es_arena_back_to(w->scene->scratch, mark);
  return status == 0 ? 0 : model_failed(w, m, &said);
}

/* Answers outside a model's stated range keep their value and carry a flag; a NaN without reason is a failed answer. A
 * radial's receivers stand from near to far, so the first and the last tell whether all are in range. */
static void judge(const work *w, const es_loaded_model *m, es_answer *a) {
  const double *dist_m = w->scene->radial->rx.dist_m;
  double freq_ghz = w->scene->freq_ghz, near_m = 1e3 * m->is.min_km, far_m = 1e3 * m->is.max_km;
  bool band = freq_ghz >= m->is.min_ghz && freq_ghz <= m->is.max_ghz;
  bool all_in = band && dist_m[0] >= near_m && dist_m[w->n_rx - 1] <= far_m;
  for (size_t i = 0; i < w->n; i++)
    a->status[i] = isnan(a->value[i]) && a->status[i] < ES_MISSING ? ES_FAILED : a->status[i];
  for (size_t i = 0; !all_in && i < w->n; i++) {
    double dist = dist_m[i % w->n_rx];
    if (a->status[i] == ES_OK && !(band && dist >= near_m && dist <= far_m)) a->status[i] = ES_OUTSIDE;
  }
}

static void worsen(uint8_t *status, const uint8_t *other, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (other[i] > status[i]) status[i] = other[i];
}

static bool touches(const es_loaded_model *m, int32_t role, int way) {
  return m->is.role == role && (m->is.touches & (1u << way)) != 0;
}

/* --- ways ------------------------------------------------------------------------------------------------------------------ */

static bool way_create(const work *w, es_way_answer *way) {
  way->loss_db = es_arena_zeroed(w->scene->keep, es_array_bytes(w->n, sizeof(double)));
  way->status = es_arena_zeroed(w->scene->keep, w->n);
  way->el_tx = ES_NEW(w->scene->keep, double, w->n_rx);
  way->el_rx = ES_NEW(w->scene->keep, double, w->n_rx);
  way->gain_db = ES_NEW(w->scene->keep, double, w->n_rx);
  if (way->loss_db == NULL || way->status == NULL || way->el_tx == NULL || way->el_rx == NULL || way->gain_db == NULL)
    return false;
  memcpy(way->el_tx, w->scene->radial->rx.el_tx, w->n_rx * sizeof(double));
  memcpy(way->el_rx, w->scene->radial->rx.el_rx, w->n_rx * sizeof(double));
  way->present = true;
  return true;
}

static int way_index(const es_loaded_model *m) {
  return (m->is.touches & ES_SURFACE) != 0 ? SURFACE : (m->is.touches & ES_DUCT) != 0 ? DUCT : SCATTER;
}

/* Runs the models of role WAY; legs[r] is set where the host has gases and fading to add to the scatter way. */
static int32_t run_ways(const work *w, uint8_t *legs) {
  for (size_t i = 0; i < w->chain->n; i++) {
    const es_loaded_model *m = w->chain->models[i];
    if (m->is.role != ES_WAY) continue;
    int index = way_index(m);
    es_way_answer *way = &w->answer->way[index];
    es_answer a;
    if (way->present) return es_fail(w->err, ES_E_MODEL, "model %s: another model already is that way", m->is.id);
    if (!answer_create(w, m->is.role, &a) || !way_create(w, way)) return no_memory(w);
    es_task task = task_for(w, index);
    int32_t status = call(w, m, &task, &a);
    if (status != 0) return status;
    judge(w, m, &a);
    memcpy(way->loss_db, a.value, w->n * sizeof(double));
    memcpy(way->status, a.status, w->n);
    memcpy(way->el_tx, a.el_tx, w->n_rx * sizeof(double));
    memcpy(way->el_rx, a.el_rx, w->n_rx * sizeof(double));
    if (index == SCATTER) memcpy(legs, a.legs, w->n_rx);
  }
  return 0;
}

/* --- terms ------------------------------------------------------------------------------------------------------------------- */

/* What stands on the ground matters to an end of the surface way: it wants to know the way over the tops. */
static bool over_wanted(const es_chain *chain, const es_line *line) {
  bool asked = false, known = false;
  for (size_t i = 0; i < chain->n; i++) {
    asked |= touches(chain->models[i], ES_END, SURFACE);
    known |= touches(chain->models[i], ES_TERM, SURFACE) && (chain->models[i]->is.can & ES_CAN_OVER_CANOPY) != 0;
  }
  return asked && known && line->top_m != NULL;
}

/* The same term once more, over the tops. */
static int32_t go_over(const work *w, const es_loaded_model *m, es_task *task, const double *ground_db) {
  es_answer over;
  if (!answer_create(w, m->is.role, &over)) return no_memory(w);
  task->over_canopy = 1;
  int32_t status = call(w, m, task, &over);
  for (size_t j = 0; status == 0 && j < w->n; j++) {
    w->ground_db[j] += ground_db[j];
    w->canopy_db[j] += over.value[j];
  }
  return status;
}

/* Adds the terms of a way; extra[r] gathers what rain adds to them. */
static int32_t add_terms(const work *w, int index, const es_legs *legs, double *loss, uint8_t *status, double *extra) {
  for (size_t i = 0; i < w->chain->n; i++) {
    const es_loaded_model *m = w->chain->models[i];
    if (!touches(m, ES_TERM, index)) continue;
    es_answer a;
    if (!answer_create(w, m->is.role, &a)) return no_memory(w);
    es_task task = task_for(w, index);
    task.legs = legs;
    int32_t failed = call(w, m, &task, &a);
    if (failed != 0) return failed;
    judge(w, m, &a);
    worsen(status, a.status, w->n);
    for (size_t j = 0; j < w->n; j++) loss[j] += a.value[j];
    for (size_t r = 0; r < w->n_rx; r++) extra[r] += a.rain_extra[r];
    if (index == SURFACE) w->answer->term[w->answer->n_terms++] = (es_term_answer){m->is.id, a.value};
    if (index != SURFACE || w->canopy_db == NULL || (m->is.can & ES_CAN_OVER_CANOPY) == 0) continue;
    failed = go_over(w, m, &task, a.value);
    if (failed != 0) return failed;
  }
  return 0;
}

/* --- fading ------------------------------------------------------------------------------------------------------------------ */

/* The fadings of one way (or one leg of it), ready to be asked about any fade. */
typedef struct mixture {
  const work *w;
  const es_loaded_model *model[ES_CHAIN_MODELS];
  es_answer answer[ES_CHAIN_MODELS];
  es_task task[ES_CHAIN_MODELS];
  size_t n;
} mixture;

static int32_t mixture_add(mixture *x, const es_loaded_model *m, const es_task *task) {
  const work *w = x->w;
  x->model[x->n] = m;
  x->task[x->n] = *task;
  if (!answer_create(w, m->is.role, &x->answer[x->n])) return no_memory(w);
  if (m->is.prepare != NULL) {
    es_error said = {0};
    es_blame(m->is.id);
    size_t bytes = m->is.prepared_bytes(m->self, w->n_rx);
    es_blame(NULL);
    x->task[x->n].prepared = es_arena_zeroed(w->scene->keep, bytes);
    if (x->task[x->n].prepared == NULL) return no_memory(w);
    es_blame(m->is.id);
    int32_t status = m->is.prepare(m->self, &x->task[x->n], &said);
    es_blame(NULL);
    if (status != 0) return model_failed(w, m, &said);
  }
  x->n++;
  return 0;
}

/* P.2001 (4.1.3): those that are active now and then have their share of the year, one that always is has the rest. */
static double mix(const mixture *x, double fade_db, size_t j, size_t r) {
  double sum = 0.0, rest = 100.0, standing = fade_db < 0.0 ? 100.0 : 0.0; /* no fading model: a step at 0 dB */
  for (size_t i = 0; i < x->n; i++) {
    const es_answer *a = &x->answer[i];
    if (a->share[r] >= 100.0) {
      standing = a->value[j];
      continue;
    }
    sum += a->value[j] * a->share[r] / 100.0;
    rest -= a->share[r];
  }
  return sum + standing * rest / 100.0;
}

static int32_t ask_models(mixture *x, es_asked asked, const double *fade_db) {
  for (size_t i = 0; i < x->n; i++) {
    x->task[i].fade_db = fade_db;
    x->task[i].asked = asked.at;
    x->task[i].n_asked = asked.n;
    int32_t status = call(x->w, x->model[i], &x->task[i], &x->answer[i]);
    if (status != 0) return status;
  }
  return 0;
}

static int32_t ask_mixture(void *self, es_asked asked, const double *fade_db, double *exceeded, es_error *err) {
  mixture *x = self;
  (void)err; /* w->err is the same */
  int32_t status = ask_models(x, asked, fade_db);
  for (size_t i = 0, j, k = 0; status == 0 && i < asked.n; i++) {
    j = asked.at != NULL ? asked.at[i] : i;
    while (j - k * x->w->n_rx >= x->w->n_rx) k++;
    exceeded[j] = mix(x, fade_db[j], j, j - k * x->w->n_rx);
  }
  return status;
}

/* Asks for no fade at all: what comes is the shares and the vapour, which hang on none. */
static int32_t ask_shares(mixture *x, double *fade_db, double *vapour) {
  const work *w = x->w;
  for (size_t j = 0; j < w->n; j++) fade_db[j] = NAN;
  int32_t status = ask_models(x, (es_asked){NULL, w->n}, fade_db);
  for (size_t i = 0; status == 0 && i < x->n; i++) {
    for (size_t j = 0; j < w->n; j++) vapour[j] += x->answer[i].vapour[j];
    x->answer[i].vapour = NULL; /* not again */
  }
  return status;
}

static int32_t mixture_create(const work *w, int index, const es_legs *legs, es_asked receivers, mixture **out) {
  mixture *x = *out = es_arena_zeroed(w->scene->keep, sizeof *x);
  if (x == NULL) return no_memory(w);
  x->w = w;
  es_task task = task_for(w, index);
  task.legs = legs;
  task.asked = receivers.at;
  task.n_asked = receivers.n;
  for (size_t i = 0; i < w->chain->n; i++) {
    if (!touches(w->chain->models[i], ES_FADING, index)) continue;
    int32_t status = mixture_add(x, w->chain->models[i], &task);
    if (status != 0) return status;
  }
  return 0;
}

/* No fading of the chain strengthens that way. */
static bool only_fades(const work *w, int index) {
  for (size_t i = 0; i < w->chain->n; i++) {
    const es_model *m = &w->chain->models[i]->is;
    if (touches(w->chain->models[i], ES_FADING, index) && (m->only_fades & (1u << index)) == 0) return false;
  }
  return true;
}

/* Receivers of which some answer is not negligible. */
static es_asked receivers_of_account(const work *w, es_negligible_fn negligible, uint32_t *at) {
  size_t n = 0;
  for (size_t r = 0; r < w->n_rx; r++) {
    bool counts = negligible == NULL;
    for (size_t k = 0; !counts && k < w->n_percent; k++) counts = !negligible(w, k * w->n_rx + r);
    at[n] = (uint32_t)r;
    n += counts;
  }
  return (es_asked){at, n};
}

/* Fades of a way at every percentage, and the weight of rain's extra gas; both 0 where they are negligible, which is asked
 * in maps only. */
static int32_t fades(const work *w, int index, const es_legs *legs, es_negligible_fn negligible, double *fade_db,
                     double *vapour) {
  es_arena *keep = w->scene->keep;
  mixture *x;
  double *wanted = ES_NEW(keep, double, w->n);
  uint32_t *at = ES_NEW(keep, uint32_t, w->n_rx);
  if (wanted == NULL || at == NULL) return no_memory(w);
  memset(vapour, 0, w->n * sizeof *vapour);
  memset(fade_db, 0, w->n * sizeof *fade_db);
  if (listener(w) || !only_fades(w, index)) negligible = NULL;
  es_asked receivers = receivers_of_account(w, negligible, at);
  if (receivers.n == 0) return 0;
  int32_t status = mixture_create(w, index, legs, receivers, &x);
  if (status != 0 || x->n == 0) return status;
  status = ask_shares(x, fade_db, vapour);
  memset(fade_db, 0, w->n * sizeof *fade_db);
  if (status != 0) return status;
  size_t each = listener(w) ? w->n_rx : 1;
  for (size_t j = 0; j < w->n_percent * each; j++) {
    double p = w->scene->percent[j / each];
    wanted[j] = 100.0 - (p + 0.00001 * (50.0 - p) / 50.0); /* q of P.2001 (3.1.1), (3.1.2) */
  }
  return listener(w) ? es_fading_invert(keep, ask_mixture, x, wanted, w->n, fade_db, w->err)
                     : es_fading_solve(keep, ask_mixture, x, wanted, w->n_percent, w->n_rx, receivers, negligible, w,
                                       fade_db, w->err);
}

static void note_all(const work *w, const char *symbol, const double *value) {
  for (size_t j = 0; w->host.note != NULL && j < w->n; j++)
    w->host.note(w->services, j / w->n_rx, j % w->n_rx, symbol, value[j]);
}

/* --- the surface way: P.2001 4.1 --------------------------------------------------------------------------------------------- */

static bool any_term(const es_chain *chain, int way) {
  for (size_t i = 0; i < chain->n; i++)
    if (touches(chain->models[i], ES_TERM, way)) return true;
  return false;
}

static int32_t run_surface(const work *w) {
  es_way_answer *way = &w->answer->way[SURFACE];
  double *extra = es_arena_zeroed(w->scene->keep, es_array_bytes(w->n_rx, sizeof *extra));
  double *fade = ES_NEW(w->scene->keep, double, w->n), *vapour = ES_NEW(w->scene->keep, double, w->n);
  if (extra == NULL || fade == NULL || vapour == NULL || (!way->present && !way_create(w, way))) return no_memory(w);
  int32_t status = add_terms(w, SURFACE, NULL, way->loss_db, way->status, extra);
  if (status == 0) status = fades(w, SURFACE, NULL, NULL, fade, vapour);
  if (status != 0) return status;
  for (size_t k = 0, j = 0; k < w->n_percent; k++)
    for (size_t r = 0; r < w->n_rx; r++, j++) way->loss_db[j] += fade[j] + vapour[j] * extra[r]; /* (4.1.4) */
  note_all(w, "A1", fade);
  note_all(w, "Fwvr", vapour);
  return 0;
}

/* --- ducting: P.2001 4.2 ------------------------------------------------------------------------------------------------------ */

static int32_t run_duct(const work *w) {
  es_way_answer *way = &w->answer->way[DUCT];
  if (!way->present) return 0;
  double *extra = es_arena_zeroed(w->scene->keep, es_array_bytes(w->n_rx, sizeof *extra));
  if (extra == NULL) return no_memory(w);
  return add_terms(w, DUCT, NULL, way->loss_db, way->status, extra); /* (4.2.1): no fading, no rain */
}

/* --- troposcatter: P.2001 4.3 -------------------------------------------------------------------------------------------------- */

typedef struct leg {
  es_legs is;
  double *dist, *low, *high, *el, *ground;
  double *gas, *extra, *fade, *vapour;
  uint8_t *status;
} leg;

static bool leg_create(const work *w, int32_t end, leg *l) {
  es_arena *keep = w->scene->keep;
  double **rows[] = {&l->dist, &l->low, &l->high, &l->el, &l->ground};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
    if ((*rows[i] = ES_NEW(keep, double, w->n_rx)) == NULL) return false;
  l->gas = es_arena_zeroed(keep, es_array_bytes(w->n, sizeof(double)));
  l->extra = es_arena_zeroed(keep, es_array_bytes(w->n_rx, sizeof(double)));
  l->fade = ES_NEW(keep, double, w->n);
  l->vapour = ES_NEW(keep, double, w->n);
  l->status = es_arena_zeroed(keep, w->n);
  l->is = (es_legs){end, l->dist, l->low, l->high, l->el, l->ground};
  return l->gas != NULL && l->extra != NULL && l->fade != NULL && l->vapour != NULL && l->status != NULL;
}

static void leg_fill(const work *w, int32_t end, leg *l) {
  const es_radial *radial = w->scene->radial;
  const es_way_answer *way = &w->answer->way[SCATTER];
  for (size_t r = 0; r < w->n_rx; r++) {
    double top = radial->rx.cv_height_m[r], volume = radial->rx.cv_tx_m[r];
    double foot = end == ES_BEACON ? radial->beacon.antenna_m : radial->rx.at[r].antenna_m;
    l->dist[r] = end == ES_BEACON ? volume : radial->rx.dist_m[r] - volume;
    l->low[r] = foot;
    l->high[r] = top;
    l->el[r] = fmax(end == ES_BEACON ? way->el_tx[r] : way->el_rx[r], 0.0); /* (3.7.11) */
    l->ground[r] = end == ES_BEACON ? radial->beacon.ground_m : radial->rx.at[r].ground_m;
  }
}

static int32_t leg_terms(const work *w, int32_t end, leg *l) {
  if (!leg_create(w, end, l)) return no_memory(w);
  leg_fill(w, end, l);
  return add_terms(w, SCATTER, &l->is, l->gas, l->status, l->extra);
}

/* Ways add as 5 lg(10^-0.2a + 10^-0.2b): one that is weaker by this much changes the sum by less than 0.005 dB, and by
 * less still once fades, which on legs only weaken (es_model.only_fades), have had their turn. */
static const double WEAKER_DB = 14.0;

/* What scatter would come to without fades, and the two other ways. */
static bool scatter_negligible(const void *of, size_t j) {
  const work *w = of;
  const es_way_answer *way = w->answer->way;
  size_t r = j % w->n_rx;
  for (int i = SURFACE; i <= DUCT; i++) {
    double gap = way[SCATTER].loss_db[j] - way[i].loss_db[j], gain = way[SCATTER].gain_db[r] - way[i].gain_db[r];
    if (way[i].present && gap > WEAKER_DB && gap - gain > WEAKER_DB) return true;
  }
  return false;
}

static int32_t leg_fades(const work *w, leg *l) {
  return fades(w, SCATTER, &l->is, scatter_negligible, l->fade, l->vapour);
}

static int32_t run_scatter(const work *w, const uint8_t *legs) {
  es_way_answer *way = &w->answer->way[SCATTER];
  bool any = false;
  for (size_t r = 0; way->present && r < w->n_rx; r++) any |= legs[r] != 0;
  if (!any) return 0;
  leg tx, rx;
  int32_t status = leg_terms(w, ES_BEACON, &tx);
  if (status == 0) status = leg_terms(w, ES_LISTENER, &rx);
  if (status == 0) status = leg_fades(w, &tx);
  if (status == 0) status = leg_fades(w, &rx);
  double *both = ES_NEW(w->scene->keep, double, w->n);
  if (status != 0) return status;
  if (both == NULL) return no_memory(w);
  for (size_t j = 0, r = 0; j < w->n; j++, r = r + 1 < w->n_rx ? r + 1 : 0) {
    double km = w->scene->radial->rx.dist_m[r] / 1e3, km_tx = tx.dist[r] / 1e3, km_rx = rx.dist[r] / 1e3;
    both[j] =
        (tx.fade[j] * (1.0 + 0.018 * km_tx) + rx.fade[j] * (1.0 + 0.018 * km_rx)) / (1.0 + 0.018 * km); /* (4.3.6) */
    if (!legs[r]) continue;
    double wet = 0.5 * (tx.vapour[j] + rx.vapour[j]) * (tx.extra[r] + rx.extra[r]);
    way->loss_db[j] += both[j] + wet + tx.gas[j] + rx.gas[j]; /* (4.3.8) */
  }
  worsen(way->status, tx.status, w->n);
  worsen(way->status, rx.status, w->n);
  note_all(w, "A2", both);
  note_all(w, "A2t", tx.fade);
  note_all(w, "A2r", rx.fade);
  return 0;
}

/* --- ends ------------------------------------------------------------------------------------------------------------------------ */

static int32_t run_end(const work *w, const es_loaded_model *m, int index) {
  es_way_answer *way = &w->answer->way[index];
  es_answer a;
  if (way->end_db == NULL) way->end_db = es_arena_zeroed(w->scene->keep, es_array_bytes(w->n, sizeof(double)));
  if (way->end_db == NULL || !answer_create(w, m->is.role, &a)) return no_memory(w);
  es_task task = task_for(w, index);
  task.ground_db = index == SURFACE ? w->ground_db : NULL;
  task.canopy_db = index == SURFACE ? w->canopy_db : NULL;
  int32_t status = call(w, m, &task, &a);
  if (status != 0) return status;
  judge(w, m, &a);
  worsen(way->status, a.status, w->n);
  for (size_t j = 0; j < w->n; j++) {
    way->end_db[j] += a.value[j];
    way->loss_db[j] += a.value[j];
  }
  return 0;
}

static int32_t run_ends(const work *w) {
  int32_t status = 0;
  for (size_t i = 0; i < w->chain->n; i++)
    for (int index = 0; status == 0 && index < ES_WAYS; index++)
      if (w->answer->way[index].present && touches(w->chain->models[i], ES_END, index))
        status = run_end(w, w->chain->models[i], index);
  return status;
}

/* --- all ways together: P.2001 5 --------------------------------------------------------------------------------------------------- */

static void set_gains(const work *w) {
  for (int i = 0; i < ES_WAYS; i++) {
    es_way_answer *way = &w->answer->way[i];
    if (way->present) es_scene_gains_dbi(w->scene, way->el_tx, way->el_rx, way->gain_db);
  }
}

/* The duct comes and goes with the surface way. */
static bool duct_correlated(const es_chain *chain) {
  for (size_t i = 0; i < chain->n; i++) {
    const es_loaded_model *m = chain->models[i];
    if (m->is.role == ES_WAY && way_index(m) == DUCT) return (m->is.correlated_with & ES_SURFACE) != 0;
  }
  return false;
}

static int32_t combine(const work *w) {
  const es_scene *scene = w->scene;
  bool correlated = duct_correlated(w->chain), asked = scene->radial->line.top_m != NULL && scene->note != NULL;
  int32_t status = es_ways_together(scene->keep, correlated, w->answer);
  if (status == 0 && asked) status = es_ways_without_ends(scene->keep, correlated, w->answer); /* maps do not ask */
  return status == 0 ? 0 : no_memory(w);
}

static bool totals_create(const work *w) {
  es_chain_answer *a = w->answer;
  a->basic_db = ES_NEW(w->scene->keep, double, w->n);
  a->system_db = ES_NEW(w->scene->keep, double, w->n);
  a->winner = es_arena_zeroed(w->scene->keep, w->n);
  a->status = es_arena_zeroed(w->scene->keep, w->n);
  return a->basic_db != NULL && a->system_db != NULL && a->winner != NULL && a->status != NULL;
}

static bool over_create(work *w) {
  w->ground_db = es_arena_zeroed(w->scene->keep, es_array_bytes(w->n, sizeof(double)));
  w->canopy_db = es_arena_zeroed(w->scene->keep, es_array_bytes(w->n, sizeof(double)));
  return w->ground_db != NULL && w->canopy_db != NULL;
}

/* --- a model that is a whole answer --------------------------------------------------------------------------------------------------- */

static const es_loaded_model *total_of(const es_chain *chain) {
  for (size_t i = 0; i < chain->n; i++)
    if (chain->models[i]->is.role == ES_TOTAL) return chain->models[i];
  return NULL;
}

static int32_t run_total(const work *w, const es_loaded_model *m) {
  es_chain_answer *out = w->answer;
  es_answer a;
  if (!answer_create(w, m->is.role, &a)) return no_memory(w);
  es_task task = task_for(w, SURFACE);
  task.el_tx = w->scene->radial->rx.el_tx;
  task.el_rx = w->scene->radial->rx.el_rx;
  double *gain_db = ES_NEW(w->scene->keep, double, w->n_rx);
  int32_t status = gain_db != NULL ? call(w, m, &task, &a) : no_memory(w);
  if (status != 0) return status;
  judge(w, m, &a);
  es_scene_gains_dbi(w->scene, a.el_tx, a.el_rx, gain_db);
  for (size_t j = 0; j < w->n; j++) {
    out->basic_db[j] = a.value[j];
    out->system_db[j] = a.value[j] - gain_db[j % w->n_rx];
    out->winner[j] = a.winner[j];
    out->status[j] = a.status[j];
  }
  return 0;
}

int32_t es_chain_evaluate(const es_chain *chain, es_scene *scene, es_chain_answer *out, es_error *err) {
  size_t n_rx = scene->radial->rx.n;
  es_services *services = es_arena_zeroed(scene->keep, sizeof *services);
  *out = (es_chain_answer){.n_percent = scene->n_percent, .n_rx = n_rx};
  work w = {.chain = chain,
            .scene = scene,
            .services = services,
            .host = es_services_table(scene),
            .answer = out,
            .n_rx = n_rx,
            .n_percent = scene->n_percent,
            .n = n_rx * scene->n_percent,
            .err = err};
  if (services == NULL || !totals_create(&w) || !columns_create(&w, &w.idle)) return no_memory(&w);
  services->scene = scene;
  const es_loaded_model *total = total_of(chain);
  if (total != NULL) return run_total(&w, total);
  uint8_t *legs = es_arena_zeroed(scene->keep, n_rx);
  bool over = over_wanted(chain, &scene->radial->line);
  if (legs == NULL || (over && !over_create(&w))) return no_memory(&w);
  int32_t status = run_ways(&w, legs);
  if (status == 0 && any_term(chain, SURFACE)) status = run_surface(&w);
  if (status == 0) status = run_duct(&w);
  if (status == 0) status = run_ends(&w);
  set_gains(&w);
  if (status == 0) status = run_scatter(&w, legs); /* last: it may pass over what the others outshine */
  if (status != 0) return status;
  return combine(&w);
}
