/* height_charts.c - the figures of a group of heights, laid out for the two charts. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "output/output.h"
#include "run/heights.h"

enum { LINES = 3, TEXT = 256 };

typedef struct charts {
  const es_setup *setup;
  const es_percentages *percents;
  const es_listener_answers *answers;
  const es_height_group *group;
  es_arena *arena;
} charts;

static double *row(const charts *c) { return ES_NEW(c->arena, double, c->group->n); }

static const es_path_answer *answer_at(const charts *c, size_t i, size_t listener) {
  return es_listener_answer(c->answers, c->group->scenarios[i], listener);
}

/* --- one listener ----------------------------------------------------------------------------------------------------- */

static const char *gain_text(const charts *c, double gain_db, double knee_m) {
  char *text = es_arena_get(c->arena, TEXT);
  if (text == NULL) return "";
  if (isnan(gain_db))
    snprintf(text, TEXT, "no answer");
  else if (gain_db < es_noticed_db)
    snprintf(text, TEXT, "no gain");
  else
    snprintf(text, TEXT, "+%.0f\u00a0dB to %g\u00a0m", gain_db, knee_m);
  return text;
}

typedef struct sorted {
  es_height_box box;
  double gain_db;
  size_t listener;
} sorted;

static bool fill_box(const charts *c, size_t listener, sorted *out) {
  const es_height_group *g = c->group;
  double *low = row(c), *median = row(c), *high = row(c);
  if (low == NULL || median == NULL || high == NULL) return false;
  for (size_t i = 0; i < g->n; i++) {
    const es_path_answer *a = answer_at(c, i, listener);
    bool answered = a->status == ES_OK;
    median[i] = answered ? a->snr_db[c->percents->median] : NAN;
    low[i] = answered ? a->doubt.snr_db[2] : NAN; /* met with a chance of 90 % */
    high[i] = answered ? a->doubt.snr_db[0] : NAN;
  }
  size_t knee = es_height_knee(g, c->percents, c->answers, listener);
  const es_scenario *all = c->setup->job->scenarios;
  const es_path_answer *best = answer_at(c, g->best, listener);
  es_map_kind kind = c->setup->timed ? ES_MAP_HEARD : ES_MAP_LEVEL;
  double value = best->status != ES_OK ? NAN
                 : c->setup->timed     ? best->heard_percent
                                       : best->snr_db[c->percents->median];
  int class = es_map_class(kind, value);
  size_t n_steps;
  *out = (sorted){.gain_db = knee < g->n ? median[knee] - median[0] : NAN, .listener = listener};
  out->box = (es_height_box){.name = c->setup->job->listeners.items[listener].name,
                             .gain = gain_text(c, out->gain_db, knee < g->n ? all[g->scenarios[knee]].height_m : NAN),
                             .shape = class < 0 ? ES_MARK_DASH : es_map_steps(kind, &n_steps)[class].shape,
                             .low_db = low,
                             .median_db = median,
                             .high_db = high,
                             .stop = knee};
  return true;
}

/* Who gains most first; those without an answer last; equal gains in the order of the list. */
static int by_gain(const void *a, const void *b) {
  const sorted *x = a, *y = b;
  double gx = isnan(x->gain_db) ? -INFINITY : x->gain_db, gy = isnan(y->gain_db) ? -INFINITY : y->gain_db;
  if (gx != gy) return gx > gy ? -1 : 1;
  return x->listener < y->listener ? -1 : 1;
}

static es_height_box *boxes_of(const charts *c, const char **left_out) {
  size_t n = c->answers->n_listeners, rest = 0;
  sorted *all = ES_NEW(c->arena, sorted, n);
  es_height_box *boxes = ES_NEW(c->arena, es_height_box, n);
  char *text = es_arena_get(c->arena, TEXT);
  *left_out = NULL;
  if (all == NULL || boxes == NULL || text == NULL) return NULL;
  for (size_t l = 0; l < n; l++)
    if (!fill_box(c, l, &all[l])) return NULL;
  qsort(all, n, sizeof *all, by_gain);
  for (size_t l = 0; l < n; l++) boxes[l] = all[l].box;
  double most = n > ES_HEIGHT_BOXES ? all[ES_HEIGHT_BOXES].gain_db : NAN;
  if (n > ES_HEIGHT_BOXES) rest = n - ES_HEIGHT_BOXES;
  if (rest > 0 && most >= es_noticed_db)
    snprintf(text, TEXT, "and %zu who gain %.0f\u00a0dB or less: heights-listeners.csv", rest, ceil(most));
  else if (rest > 0)
    snprintf(text, TEXT, "and %zu who gain less than 1\u00a0dB", rest);
  *left_out = rest > 0 ? text : NULL;
  return boxes;
}

/* --- modes -------------------------------------------------------------------------------------------------------------- */

/* Three modes that stand for voice, Morse and slow digital, or the first of the job's own. */
static size_t chosen_modes(const es_modes *modes, const es_mode *out[LINES]) {
  static const char *const ids[LINES] = {"ssb", "cw", "q65-60"};
  size_t n = 0;
  for (int i = 0; i < LINES; i++) {
    const es_mode *mode = es_mode_find(modes, ids[i]);
    if (mode != NULL) out[n++] = mode;
  }
  for (size_t m = 0; n == 0 && m < modes->n && m < LINES; m++) out[n++] = &modes->items[m];
  return n;
}

static const char *short_name(const es_mode *mode) {
  static const char *const words[][2] = {{"ssb", "voice"}, {"cw", "Morse"}, {"q65-60", "Q65"}};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strcmp(mode->id, words[i][0]) == 0) return words[i][1];
  return mode->id;
}

static bool lines_of(const charts *c, es_height_line lines[LINES + 1], es_height_level levels[LINES], size_t *n_lines,
                     size_t *n_levels) {
  const es_mode *modes[LINES];
  size_t n = chosen_modes(&c->setup->job->modes, modes);
  for (size_t m = 0; m < n + 1; m++) {
    double *listeners = row(c);
    const es_mode *mode = m < n ? modes[m] : NULL;
    if (listeners == NULL) return false;
    for (size_t i = 0; i < c->group->n; i++)
      listeners[i] = es_listeners_by_mode(c->setup, c->percents, c->answers, c->group->scenarios[i], mode, false);
    lines[m] = (es_height_line){mode != NULL ? short_name(mode) : "own mode", listeners};
    if (mode != NULL) levels[m] = (es_height_level){short_name(mode), mode->snr_2500_db};
  }
  *n_lines = n + 1;
  *n_levels = n;
  return true;
}

/* --- words -------------------------------------------------------------------------------------------------------------- */

static const char *season_words(int32_t season) {
  return season == ES_IN_LEAF ? "trees in leaf" : season == ES_OUT_OF_LEAF ? "trees bare" : "no trees counted";
}

static void title_text(const charts *c, char *out) {
  const es_height_group *g = c->group;
  double best_m = c->setup->job->scenarios[g->scenarios[g->best]].height_m;
  if (g->by_area)
    snprintf(out, TEXT,
             g->best + 1 == g->n ? "%g\u00a0m, the highest asked for, covers most"
                                 : "%g\u00a0m does it: no height clearly covers more",
             best_m);
  else if (g->stop < g->n)
    snprintf(out, TEXT, "%g\u00a0m is high enough: above it nobody gains more than 1\u00a0dB", best_m);
  else if (g->best + 1 == g->n)
    snprintf(out, TEXT, "%g\u00a0m, the highest asked for, is the best", best_m);
  else
    snprintf(out, TEXT, "%g\u00a0m does it: no height is clearly heard by more", best_m);
}

/* Capitals of ASCII; other letters stay. */
static void upper(char *text) {
  for (; *text != '\0'; text++)
    if (*text >= 'a' && *text <= 'z') *text = (char)(*text - 'a' + 'A');
}

typedef struct words {
  char title[TEXT], eyebrow[TEXT], counts[TEXT], snr[TEXT], foot[TEXT];
} words;

static void fill_words(const charts *c, const char *run_id, words *out) {
  const es_job *job = es_job_in(c->setup->job, c->group->scenarios[0]);
  const es_scenario *first = &job->scenarios[c->group->scenarios[0]];
  const char *season = season_words(first->season);
  char share[64] = "";
  title_text(c, out->title);
  if (c->setup->timed) snprintf(share, sizeof share, " at least %g\u00a0%% of the year", job->aim.time_percent);
  snprintf(out->eyebrow, TEXT, "%.100s%s%.80s \u00b7 height", job->beacon.name,
           job->variant[0] != '\0' ? " \u00b7 " : "", job->variant);
  upper(out->eyebrow);
  snprintf(out->counts, TEXT, "Listeners that hear it%s, of %zu; %g\u00a0dBm, %s.", share, c->answers->n_listeners,
           first->power_dbm, season);
  snprintf(out->snr, TEXT,
           "Signal at each listener against the height of the beacon antenna, %g\u00a0dBm, %s. Sorted by what height "
           "buys.",
           first->power_dbm, season);
  snprintf(out->foot, TEXT, "Feeder loss counted. Run %s.", run_id);
}

/* --- both charts -------------------------------------------------------------------------------------------------------- */

typedef int32_t (*chart_fn)(const char *png, const char *svg, const es_height_chart *chart, es_error *err);

static int32_t write_chart(chart_fn write, const char *what, size_t number, const char *folder,
                           const es_height_chart *chart, es_error *err) {
  char *png = es_format("%s/heights-%02zu-%s.png", folder, number, what),
       *svg = es_format("%s/heights-%02zu-%s.svg", folder, number, what);
  int32_t status =
      png != NULL && svg != NULL ? write(png, svg, chart, err) : es_fail(err, ES_E_MEMORY, "out of memory");
  free(png);
  free(svg);
  return status;
}

static int32_t write_group(const charts *c, size_t number, const double *covered_km2, const char *folder,
                           const char *run_id, es_error *err) {
  const es_height_group *g = c->group;
  double *height_m = row(c), *area = covered_km2 != NULL ? row(c) : NULL;
  es_height_line lines[LINES + 1];
  es_height_level levels[LINES];
  words w;
  fill_words(c, run_id, &w);
  es_height_chart chart = {.height_m = height_m,
                           .n = g->n,
                           .proposed = g->best,
                           .lines = lines,
                           .levels = levels,
                           .title = w.title,
                           .eyebrow = w.eyebrow,
                           .foot = w.foot,
                           .area_km2 = area};
  chart.n_boxes = c->answers->n_listeners;
  chart.n_listeners = (double)c->answers->n_listeners;
  chart.boxes = boxes_of(c, &chart.left_out);
  if (height_m == NULL || chart.boxes == NULL || (covered_km2 != NULL && area == NULL) ||
      !lines_of(c, lines, levels, &chart.n_lines, &chart.n_levels))
    return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; i < g->n; i++) {
    height_m[i] = c->setup->job->scenarios[g->scenarios[i]].height_m;
    if (area != NULL) area[i] = covered_km2[g->scenarios[i]];
  }
  chart.lead = w.counts;
  int32_t status = write_chart(es_height_counts_write, "listeners", number, folder, &chart, err);
  chart.lead = w.snr;
  return status == 0 ? write_chart(es_height_snr_write, "snr", number, folder, &chart, err) : status;
}

int32_t es_height_charts_write(const es_setup *setup, const es_percentages *percents,
                               const es_listener_answers *answers, const es_heights *heights, const double *covered_km2,
                               const char *folder, const char *run_id, es_error *err) {
  charts c = {setup, percents, answers, NULL, es_arena_create()};
  int32_t status = c.arena != NULL ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t g = 0; status == 0 && answers->n_listeners > 0 && g < heights->n_groups; g++) {
    c.group = &heights->groups[g];
    status = write_group(&c, g + 1, covered_km2, folder, run_id, err);
  }
  es_arena_destroy(c.arena);
  return status;
}
