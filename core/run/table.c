#include "run/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "place/locator.h"
#include "run/year.h"

enum { MOST_FIELDS = 160, LOCATOR_CHARS = 10 };

const char *es_way_name(uint8_t winner) {
  return winner == ES_SURFACE ? "surface" : winner == ES_DUCT ? "ducting" : winner == ES_SCATTER ? "troposcatter" : "";
}

/* --- flags --------------------------------------------------------------------------------------------------------------- */

typedef struct words {
  char text[512];
  size_t used;
} words;

static void say(words *w, bool holds, const char *word) {
  if (!holds) return;
  int n = snprintf(w->text + w->used, sizeof w->text - w->used, "%s%s", w->used > 0 ? "; " : "", word);
  if (n > 0 && w->used + (size_t)n < sizeof w->text) w->used += (size_t)n;
}

const char *es_flags_text(es_arena *arena, const es_listener *l, const es_path_answer *a) {
  words w = {.used = 0};
  bool outside = false, failed = false;
  for (size_t k = 0; a->answer_status != NULL && k < a->n; k++) {
    outside |= a->answer_status[k] == ES_OUTSIDE;
    failed |= a->answer_status[k] == ES_FAILED;
  }
  say(&w, a->status == ES_MISSING && !(a->course.dist_m > 0.0), "stands at the beacon");
  say(&w, a->status == ES_MISSING && a->course.dist_m > 0.0, "no ground data");
  say(&w, a->bridged, "short gap in the ground bridged");
  say(&w, a->by_mask, "sea by the mask alone");
  say(&w, (l->flags & ES_PLACE_BY_LOCATOR6) != 0, "place known by locator only");
  say(&w, a->status == ES_OK && a->course.dist_m < a->doubt.far_m, "inside an antenna's near field");
  say(&w, a->trees.under_m[ES_LISTENER] > 0.0, "antenna below its own canopy");
  say(&w, a->trees.under_m[ES_BEACON] > 0.0, "beacon's antenna below its own canopy");
  say(&w, outside, "outside a model's range");
  say(&w, failed, "a model failed");
  say(&w, (l->flags & ES_HEIGHT_DEFAULT) != 0, "default height");
  say(&w, (l->flags & ES_ANTENNA_DEFAULT) != 0, "default antenna");
  say(&w, (l->flags & ES_NOISE_DEFAULT) != 0, "default noise figure");
  say(&w, (l->flags & ES_MODE_DEFAULT) != 0, "default mode");
  char *copy = es_arena_get(arena, w.used + 1);
  return copy != NULL ? strcpy(copy, w.text) : "";
}

/* --- rows ------------------------------------------------------------------------------------------------------------------ */

/* A row under construction; while `fields` is not NULL the columns are named too, so names and values stand side by side. */
typedef struct row {
  es_table *table;
  es_cell *cells;
  size_t n;
  bool naming;
} row;

static void put(row *r, const char *name, es_field_kind kind, int decimals, es_cell cell) {
  if (r->n == MOST_FIELDS) return;
  if (r->naming) r->table->fields[r->n] = (es_field){name, kind, decimals};
  r->cells[r->n++] = cell;
}

static void text(row *r, const char *name, const char *value) { put(r, name, ES_FIELD_TEXT, 0, (es_cell){value, NAN}); }

static void number(row *r, const char *name, double value, int decimals) {
  put(r, name, ES_FIELD_NUMBER, decimals, (es_cell){NULL, value});
}

static const char *format(es_arena *arena, const char *pattern, double value) {
  char buffer[64];
  snprintf(buffer, sizeof buffer, pattern, value);
  char *copy = es_arena_get(arena, strlen(buffer) + 1);
  return copy != NULL ? strcpy(copy, buffer) : "";
}

static const char *locator_of(es_arena *arena, es_lonlat at) {
  char *out = es_arena_get(arena, 11);
  return out != NULL && es_locator_format(at, LOCATOR_CHARS, out, NULL) == 0 ? out : "";
}

static double at_percent(const es_setup *s, const es_percentages *p, const es_path_answer *a, const double *values,
                         double wanted) {
  if (a->status != ES_OK || wanted > s->highest_percent) return NAN;
  if (!s->timed) return wanted == 50.0 ? values[0] : NAN;
  return es_snr_at(p->value, values, p->n, wanted);
}

static const char *mode_at(const es_setup *s, const es_percentages *p, const es_path_answer *a, double wanted) {
  double snr = at_percent(s, p, a, a->snr_db, wanted);
  const es_mode *mode = isnan(snr) ? NULL : es_best_mode(&s->job->modes, snr, a->doubt.widening_hz);
  return mode != NULL ? mode->id : "";
}

static double way_median(const es_percentages *p, const es_path_answer *a, int way) {
  return a->way_db[way] != NULL ? a->way_db[way][p->median] : NAN;
}

static void who_and_where(row *r, const es_setup *s, const es_scenario *scenario, const es_listener *l,
                          const es_path_answer *a) {
  (void)s;
  text(r, "scenario", scenario->name);
  text(r, "name", l->name);
  text(r, "locator", locator_of(r->table->arena, l->at));
  number(r, "lon_deg", l->at.lon_deg, 6);
  number(r, "lat_deg", l->at.lat_deg, 6);
  number(r, "distance_km", a->course.dist_m / 1e3, 3);
  number(r, "bearing_deg", a->course.azimuth_deg, 2);
  number(r, "back_bearing_deg", a->course.back_azimuth_deg, 2);
}

static void geometry(row *r, const es_listener *l, const es_path_answer *a) {
  bool ok = a->status == ES_OK;
  number(r, "ground_m", ok ? a->ground_m : NAN, 1);
  number(r, "antenna_height_m", l->rx.height_m, 1);
  number(r, "elevation_deg", ok ? es_deg(a->el_tx) : NAN, 3);
  number(r, "back_elevation_deg", ok ? es_deg(a->el_rx) : NAN, 3);
  text(r, "line_of_sight", !ok ? "" : a->los ? "yes" : "no");
  number(r, "clearance_m", a->clearance_m, 1);
  number(r, "clearance_f1", a->clearance_f1, 2);
  number(r, "worst_point_km", a->worst_m / 1e3, 2);
}

static void losses(row *r, const es_percentages *p, const es_path_answer *a) {
  number(r, "surface_loss_db", way_median(p, a, 0), 2);
  number(r, "ducting_loss_db", way_median(p, a, 1), 2);
  number(r, "troposcatter_loss_db", way_median(p, a, 2), 2);
  number(r, "basic_loss_db", a->basic_db[p->median], 2);
  text(r, "way", a->status == ES_OK ? es_way_name(a->winner[p->median]) : "");
  text(r, "way_best_1pct", a->status == ES_OK ? es_way_name(a->winner[p->best]) : "");
}

static void levels(row *r, const es_setup *s, const es_percentages *p, const es_path_answer *a) {
  number(r, "noise_2500hz_dbm", a->status == ES_OK ? a->noise.noise_2500_dbm : NAN, 2);
  number(r, "system_k", a->status == ES_OK ? a->noise.system_k : NAN, 1);
  number(r, "received_dbm_p10", at_percent(s, p, a, a->level_dbm, 10.0), 2);
  number(r, "received_dbm_p50", at_percent(s, p, a, a->level_dbm, 50.0), 2);
  number(r, "received_dbm_p90", at_percent(s, p, a, a->level_dbm, 90.0), 2);
  number(r, "snr_2500hz_db_p10", at_percent(s, p, a, a->snr_db, 10.0), 2);
  number(r, "snr_2500hz_db_p50", at_percent(s, p, a, a->snr_db, 50.0), 2);
  number(r, "snr_2500hz_db_p90", at_percent(s, p, a, a->snr_db, 90.0), 2);
}

static void reception(row *r, const es_setup *s, const es_percentages *p, const es_listener *l,
                      const es_path_answer *a) {
  text(r, "mode", l->rx.mode);
  number(r, "needed_snr_db", a->needed_db, 1);
  number(r, "margin_db_p50", at_percent(s, p, a, a->snr_db, 50.0) - a->needed_db, 2);
  number(r, "heard_percent", a->heard_percent, 2);
  text(r, "best_mode_p90", mode_at(s, p, a, 90.0));
  text(r, "best_mode_p50", mode_at(s, p, a, 50.0));
  text(r, "best_mode_p10", mode_at(s, p, a, 10.0));
}

/* How far it may be off, and the sentences. */
static void doubt_and_verdict(row *r, const es_path_answer *a) {
  const es_doubt *d = &a->doubt;
  bool ok = a->status == ES_OK;
  number(r, "sigma_db", ok ? es_spread_heard_db(&d->spread) : NAN, 1);
  number(r, "snr_2500hz_db_chance10", ok ? d->snr_db[0] : NAN, 2);
  number(r, "snr_2500hz_db_chance50", ok ? d->snr_db[1] : NAN, 2);
  number(r, "snr_2500hz_db_chance90", ok ? d->snr_db[2] : NAN, 2);
  number(r, "heard_percent_low", d->heard_low_percent, 2);
  number(r, "heard_percent_high", d->heard_high_percent, 2);
  number(r, "confidence_percent", d->confidence_percent, 1);
  text(r, "verdict", a->verdict.verdict != NULL ? a->verdict.verdict : "");
  text(r, "cause", a->verdict.limit != NULL ? a->verdict.limit : "");
  text(r, "help", a->verdict.helpful != NULL ? a->verdict.helpful : "");
}

/* Loss, level and SNR at each percentage the job asks for. */
static void asked(row *r, const es_setup *s, const es_percentages *p, const es_path_answer *a) {
  es_arena *arena = r->table->arena;
  for (size_t i = 0; i < s->job->n_time_percent; i++) {
    double wanted = s->job->time_percent[i];
    if (!s->timed) break;
    number(r, r->naming ? format(arena, "asked_loss_db_p%g", wanted) : NULL, at_percent(s, p, a, a->basic_db, wanted),
           2);
    number(r, r->naming ? format(arena, "asked_dbm_p%g", wanted) : NULL, at_percent(s, p, a, a->level_dbm, wanted), 2);
    number(r, r->naming ? format(arena, "asked_snr_db_p%g", wanted) : NULL, at_percent(s, p, a, a->snr_db, wanted), 2);
  }
}

/* Median loss of the listener in another season, when the job has it. */
static double loss_in(const es_setup *s, const es_percentages *p, const es_listener_answers *answers, size_t i,
                      int32_t season) {
  size_t scenario = es_scenario_in_season(s->job, i / answers->n_listeners, season);
  if (scenario == SIZE_MAX) return NAN;
  const es_path_answer *a = es_listener_answer(answers, scenario, i % answers->n_listeners);
  return a->status == ES_OK ? a->basic_db[p->median] : NAN;
}

static double loss_without(const es_setup *s, const es_percentages *p, const es_listener_answers *answers, size_t i) {
  const es_path_answer *a = &answers->items[i];
  double own = loss_in(s, p, answers, i, ES_NO_TREES);
  if (!isnan(own) || a->status != ES_OK) return own;
  return a->trees.stands ? a->trees.no_trees_loss_db : a->basic_db[p->median];
}

/* The end whose trees stand higher in the zone. */
static const es_blocking *blocking_of(const es_trees_answer *t, const char **end) {
  const es_blocking *b = &t->block[ES_BEACON], *l = &t->block[ES_LISTENER];
  bool beacon = b->any && (!l->any || b->below_f1 > l->below_f1);
  *end = beacon ? "beacon" : l->any ? "listener" : "";
  return beacon ? b : l;
}

static void blocking(row *r, const es_trees_answer *t) {
  static const char *const kinds[] = {"", "broadleaf", "conifer", "mixed trees", "building or ridge"};
  const char *end;
  const es_blocking *b = blocking_of(t, &end);
  text(r, "blocked_by", b->any && b->leaf < 5 ? kinds[b->leaf] : "");
  text(r, "blocked_near", end);
  number(r, "blocking_from_m", b->any ? b->from_m : NAN, 0);
  number(r, "blocking_depth_m", b->any ? b->depth_m : NAN, 0);
  number(r, "blocking_below_top_m", b->any ? b->below_m : NAN, 1);
  number(r, "clear_by_more_height_beacon_m", t->block[ES_BEACON].any ? t->block[ES_BEACON].extra_m : NAN, 1);
  number(r, "clear_by_more_height_m", t->block[ES_LISTENER].any ? t->block[ES_LISTENER].extra_m : NAN, 1);
}

static void year(row *r, const es_setup *s, const es_percentages *p, const es_listener_answers *answers, size_t i) {
  static const char *const names[] = {"year_snr_2500hz_db_p10", "year_snr_2500hz_db_p50", "year_snr_2500hz_db_p90"};
  es_year_figure y = {.snr_db = {NAN, NAN, NAN}, .heard_percent = NAN};
  if (answers != NULL) y = es_year_of(s, p, answers, i / answers->n_listeners, i % answers->n_listeners);
  for (int k = 0; k < 3; k++) number(r, names[k], y.snr_db[k], 2);
  number(r, "year_heard_percent", y.heard_percent, 2);
}

/* Columns of a job that knows of trees. answers NULL: only the names. */
static void foliage(row *r, const es_setup *s, const es_percentages *p, const es_listener_answers *answers, size_t i) {
  const es_trees_answer nothing = es_trees_nothing();
  if (!es_job_has_canopy(s->job)) return;
  const es_trees_answer *t = answers != NULL ? &answers->items[i].trees : &nothing;
  bool ok = answers != NULL && answers->items[i].status == ES_OK;
  number(r, "foliage_loss_db", ok && !t->stands ? 0.0 : t->loss_db, 2);
  number(r, "foliage_low_db", t->low_db, 2);
  number(r, "foliage_middle_db", t->middle_db, 2);
  number(r, "foliage_high_db", t->high_db, 2);
  number(r, "in_leaf_loss_db", answers != NULL ? loss_in(s, p, answers, i, ES_IN_LEAF) : NAN, 2);
  number(r, "out_of_leaf_loss_db", answers != NULL ? loss_in(s, p, answers, i, ES_OUT_OF_LEAF) : NAN, 2);
  number(r, "no_trees_loss_db", answers != NULL ? loss_without(s, p, answers, i) : NAN, 2);
  blocking(r, t);
  if (!isnan(s->job->trees.trim_to_m)) number(r, "trimmed_snr_2500hz_db_p50", t->trimmed_snr_db, 2);
  if (!isnan(s->job->trees.wind_m_s)) number(r, "flutter_sigma_db", t->flutter_db, 2);
  if (!isnan(s->job->trees.wind_m_s)) number(r, "flutter_rate_hz", t->flutter_hz, 2);
  if (!isnan(s->job->trees.leaf_months)) year(r, s, p, answers, i);
}

static void fill_row(const es_setup *setup, const es_percentages *p, const es_listener_answers *answers, size_t i,
                     es_table *t) {
  const es_setup *s = es_setup_in(setup, i / answers->n_listeners);
  const es_scenario *scenario = &s->job->scenarios[i / answers->n_listeners];
  const es_listener *l = &s->job->listeners.items[i % answers->n_listeners];
  const es_path_answer *a = &answers->items[i];
  row r = {t, t->cells + i * t->n_fields, 0, false};
  who_and_where(&r, s, scenario, l, a);
  geometry(&r, l, a);
  losses(&r, p, a);
  levels(&r, s, p, a);
  reception(&r, s, p, l, a);
  doubt_and_verdict(&r, a);
  asked(&r, s, p, a);
  foliage(&r, s, p, answers, i);
  text(&r, "flags", es_flags_text(t->arena, l, a));
  t->at[i] = l->at;
}

/* Names the columns by filling one row for nobody. */
static bool name_fields(const es_setup *s, const es_percentages *p, es_table *t) {
  es_cell *cells = ES_NEW(t->arena, es_cell, MOST_FIELDS);
  t->fields = ES_NEW(t->arena, es_field, MOST_FIELDS);
  double nothing[sizeof p->value / sizeof *p->value] = {0};
  uint8_t none[sizeof p->value / sizeof *p->value] = {0};
  if (cells == NULL || t->fields == NULL) return false;
  es_scenario scenario = {.name = ""};
  es_listener nobody = {.name = ""};
  es_path_answer a = {.status = ES_MISSING,
                      .n = p->n,
                      .basic_db = nothing,
                      .level_dbm = nothing,
                      .snr_db = nothing,
                      .winner = none,
                      .answer_status = none};
  row r = {t, cells, 0, true};
  who_and_where(&r, s, &scenario, &nobody, &a);
  geometry(&r, &nobody, &a);
  losses(&r, p, &a);
  levels(&r, s, p, &a);
  reception(&r, s, p, &nobody, &a);
  doubt_and_verdict(&r, &a);
  asked(&r, s, p, &a);
  foliage(&r, s, p, NULL, 0);
  text(&r, "flags", "");
  t->n_fields = r.n;
  return true;
}

int32_t es_table_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                      es_table *out, es_error *err) {
  *out = (es_table){.n_rows = answers->n_scenarios * answers->n_listeners, .arena = es_arena_create()};
  if (out->arena == NULL || !name_fields(setup, percents, out)) return es_fail(err, ES_E_MEMORY, "out of memory");
  out->cells = ES_NEW(out->arena, es_cell, out->n_rows * out->n_fields + 1);
  out->at = ES_NEW(out->arena, es_lonlat, out->n_rows + 1);
  if (out->cells == NULL || out->at == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; i < out->n_rows; i++) fill_row(setup, percents, answers, i, out);
  return 0;
}

void es_table_free(es_table *table) {
  es_arena_destroy(table->arena);
  *table = (es_table){0};
}
