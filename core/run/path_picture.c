#include "run/path_picture.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "output/profile_sheet.h"
#include "run/canopy.h"
#include "run/table.h"
#include "run/verdict.h"

enum { TEXT = 512 };

/* Everything the picture borrows. */
typedef struct words {
  char eyebrow[TEXT], verdict[TEXT], limits[TEXT], helps[TEXT], worst[TEXT], worst_more[TEXT], near[2][TEXT],
      foot[TEXT];
  const char *keys[2], *values[2];
} words;

typedef struct question {
  const es_setup *setup;
  const es_scenario *scenario;
  const es_listener *listener;
  const es_percentages *percents;
  const es_path_answer *a;
  const es_radial *radial;
} question;

static void upper(char *text) {
  for (; *text != '\0'; text++)
    if ((unsigned char)*text < 0x80) *text = (char)toupper((unsigned char)*text);
}

static void append(char *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void append(char *text, const char *format, ...) {
  size_t used = strlen(text);
  va_list args;
  va_start(args, format);
  vsnprintf(text + used, TEXT - used, format, args);
  va_end(args);
}

static const char *season_words(int32_t season) {
  return season == ES_IN_LEAF ? "trees in leaf" : season == ES_OUT_OF_LEAF ? "trees bare" : "no trees counted";
}

static void say_eyebrow(const question *q, words *w) {
  snprintf(w->eyebrow, TEXT, "%.120s from %.120s", q->listener->name, q->setup->job->beacon.name);
  upper(w->eyebrow);
  append(w->eyebrow, " \u00b7 %.1f\u00a0km \u00b7 %s \u00b7 antenna %g\u00a0m above ground", q->a->course.dist_m / 1e3,
         season_words(q->scenario->season), q->scenario->height_m);
}

static void say_verdict(const question *q, words *w) {
  const es_mode *mode = es_mode_find(&q->setup->job->modes, q->listener->rx.mode);
  const char *name = mode != NULL ? mode->name : q->listener->rx.mode;
  double snr = q->a->snr_db[q->percents->median];
  if (!isnan(q->a->heard_percent)) {
    char share[24];
    es_year_text(q->setup, q->a->heard_percent, share, sizeof share);
    snprintf(w->verdict, TEXT, "Heard %s of the year: %.200s", share, name);
  } else if (snr >= q->a->needed_db)
    snprintf(w->verdict, TEXT, "Heard, with %.0f\u00a0dB to spare: %.200s", snr - q->a->needed_db, name);
  else
    snprintf(w->verdict, TEXT, "Not heard, %.0f\u00a0dB too weak: %.200s", q->a->needed_db - snr, name);
}

/* The end whose trees reach higher into the zone; NULL when none do. */
static const es_blocking *worst_block(const question *q, int *end) {
  const es_blocking *b = q->a->trees.block;
  *end = b[ES_BEACON].any && (!b[ES_LISTENER].any || b[ES_BEACON].below_f1 > b[ES_LISTENER].below_f1) ? ES_BEACON
                                                                                                      : ES_LISTENER;
  return b[*end].any ? &b[*end] : NULL;
}

static const char *thing(const es_blocking *b) { return b->leaf == ES_OPAQUE ? "building or ridge" : "trees"; }

static void say_limits(const question *q, words *w) {
  static const char *const ends[] = {"the beacon", "the listener"};
  const es_trees_answer *t = &q->a->trees;
  int end;
  const es_blocking *b = worst_block(q, &end);
  if (t->loss_db >= 1.0 && b != NULL)
    snprintf(w->limits, TEXT,
             "Trees take %.0f\u00a0dB, %.0f to %.0f by the methods on offer; the %s %.0f\u00a0m from %s "
             "stand%s highest in the ray.",
             t->loss_db, t->low_db, t->high_db, thing(b), b->from_m, ends[end], b->leaf == ES_OPAQUE ? "s" : "");
  else if (!q->a->los)
    snprintf(w->limits, TEXT, "The ground stands in the way; the signal comes by way of %s.",
             es_way_name(q->a->winner[q->percents->median]));
  else
    snprintf(w->limits, TEXT, "Line of sight, clear of the ground by %.1f\u00a0m at the nearest point.",
             q->a->clearance_m);
}

static void say_helps(const question *q, words *w) {
  static const char *const ends[] = {"the beacon", "the listener"};
  const es_trees_answer *t = &q->a->trees;
  int end;
  const es_blocking *b = worst_block(q, &end);
  if (b == NULL || !(t->loss_db >= 1.0)) return;
  if (isnan(b->extra_m))
    snprintf(w->helps, TEXT, "They stand on the horizon: more height at %s does not clear them.", ends[end]);
  else
    snprintf(w->helps, TEXT, "%.1f\u00a0m more height at %s clears what stands there.", b->extra_m, ends[end]);
  double gain = t->trimmed_snr_db - q->a->snr_db[q->percents->median];
  if (gain >= 1.0)
    append(w->helps, " Cut to %g\u00a0m, trees would let %.0f\u00a0dB more through.", q->setup->job->trees.trim_to_m,
           gain);
}

static void say_point(const question *q, words *w, es_profile_point *out) {
  int end;
  const es_blocking *b = worst_block(q, &end);
  const es_radial *radial = q->radial;
  double path = radial->rx.dist_m[0], x = b != NULL ? b->at_m : q->a->worst_m, top = b != NULL ? b->top_m : NAN;
  if (isnan(x)) return;
  double bulge = 0.5 * x * (path - x) / (radial->earth_radius_km * 1e3), share = x / path;
  double sight = (1.0 - share) * radial->beacon.antenna_m + share * radial->rx.at[0].antenna_m;
  double zone = sqrt(q->setup->wavelength_m * fmax(x * (path - x) / path, 1e-6));
  if (b == NULL) top = sight - bulge - q->a->clearance_m;
  double over = top + bulge - sight, near = fmin(x, path - x);
  snprintf(w->worst, TEXT, "nearest point: %s, ", b != NULL ? thing(b) : "ground");
  if (near < 1.0)
    append(w->worst, "on the place itself");
  else if (near < 1000.0)
    append(w->worst, "%.0f\u00a0m from %s", near, x < path - x ? "the beacon" : q->listener->name);
  else
    append(w->worst, "%.2f\u00a0km from %s", near / 1e3, x < path - x ? "the beacon" : q->listener->name);
  snprintf(w->worst_more, TEXT, "%.1f\u00a0m %s the sight line", fabs(over), over >= 0.0 ? "above" : "below");
  if (near >= 1.0) append(w->worst_more, " (%.1f of the zone)", fabs(over) / zone);
  *out = (es_profile_point){x, top, w->worst, w->worst_more};
}

static void say_near(const question *q, words *w) {
  for (int end = ES_BEACON; end <= ES_LISTENER; end++) {
    const es_blocking *b = &q->a->trees.block[end];
    double own = q->a->trees.under_m[end];
    if (own > 0.0)
      snprintf(w->near[end], TEXT, "the antenna is %.1f\u00a0m below its own canopy", own);
    else if (b->any && b->from_m < 1000.0)
      snprintf(w->near[end], TEXT, "%s at %.0f\u00a0m, %.0f\u00a0m deep: %.1f\u00a0m %s the ray", thing(b), b->from_m,
               b->depth_m, fabs(b->below_m), b->below_m >= 0.0 ? "above" : "below");
    else
      snprintf(w->near[end], TEXT, "nothing reaches into 0.6 of the zone here");
  }
}

static void say_foot(const question *q, const char *run_id, words *w) {
  snprintf(w->foot, TEXT, "Ground in %.0f\u00a0m steps.", q->setup->facts.step_m);
  if (q->a->trees.stands) append(w->foot, " Loss through trees is known to a factor of two at best.");
  append(w->foot, " Earshot %s%s%s.", ES_VERSION, run_id != NULL ? ", run " : "", run_id != NULL ? run_id : "");
  w->keys[0] = "Scenario";
  w->values[0] = q->scenario->name;
  w->keys[1] = "Run";
  w->values[1] = run_id != NULL ? run_id : "";
}

/* The trees of the stations' own lists, as crowns. */
static es_profile_trees *listed(const question *q, size_t *n) {
  size_t room = q->setup->job->obstacles.n;
  es_standing *on = calloc(room + 1, sizeof *on);
  es_profile_trees *trees = calloc(room + 1, sizeof *trees);
  size_t count = on != NULL && trees != NULL ? es_obstacles_on(q->setup, q->listener, &q->a->course, on) : 0;
  *n = 0;
  for (size_t i = 0; i < count; i++)
    if (on[i].is->top_m > 0.0 && (q->scenario->season != ES_NO_TREES || on[i].is->leaf == ES_OPAQUE))
      trees[(*n)++] = (es_profile_trees){on[i].from_m, on[i].to_m - on[i].from_m, on[i].is->top_m, on[i].is->base_m};
  free(on);
  return trees;
}

/* Canopy of rasters only: what is listed is drawn as crowns. */
static double *raster_tops(const question *q, const es_profile_trees *trees, size_t n) {
  const es_line *l = &q->radial->line;
  double *tops = l->top_m != NULL ? malloc(l->n * sizeof *tops) : NULL;
  for (size_t i = 0; tops != NULL && i < l->n; i++) {
    tops[i] = l->top_m[i];
    for (size_t k = 0; k < n; k++)
      if (l->dist_m[i] >= trees[k].dist_m - 0.01 && l->dist_m[i] <= trees[k].dist_m + trees[k].depth_m + 0.01)
        tops[i] = l->ground_m[i];
  }
  return tops;
}

int32_t es_path_picture_write(const char *path, const es_setup *setup, const es_scenario *scenario,
                              const es_listener *listener, const es_percentages *percents, const es_path_answer *answer,
                              const es_radial *radial, const char *run_id, es_error *err) {
  question q = {setup, scenario, listener, percents, answer, radial};
  words *w = calloc(1, sizeof *w);
  size_t n;
  es_profile_trees *trees = listed(&q, &n);
  double *tops = trees != NULL ? raster_tops(&q, trees, n) : NULL;
  bool ok = w != NULL && trees != NULL && (tops != NULL || radial->line.top_m == NULL);
  int32_t status = ok ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (ok) {
    es_profile_sheet sheet = {.beacon_name = setup->job->beacon.name,
                              .listener_name = listener->name,
                              .n = radial->line.n,
                              .dist_m = radial->line.dist_m,
                              .ground_m = radial->line.ground_m,
                              .top_m = tops,
                              .base_m = radial->line.base_m,
                              .zone = radial->line.zone,
                              .known = radial->line.known,
                              .beacon_mast_m = scenario->height_m,
                              .listener_mast_m = listener->rx.height_m,
                              .freq_ghz = setup->job->beacon.freq_ghz,
                              .earth_radius_m = radial->earth_radius_km * 1e3,
                              .radius_note = "median air",
                              .bearing_deg = answer->course.azimuth_deg,
                              .back_bearing_deg = answer->course.back_azimuth_deg,
                              .trees = trees,
                              .n_trees = n,
                              .scale = 1};
    say_eyebrow(&q, w);
    say_verdict(&q, w);
    say_limits(&q, w);
    say_helps(&q, w);
    say_point(&q, w, &sheet.worst);
    say_near(&q, w);
    say_foot(&q, run_id, w);
    sheet.eyebrow = w->eyebrow;
    sheet.verdict = w->verdict;
    sheet.limits = w->limits;
    sheet.helps = w->helps[0] != '\0' ? w->helps : NULL;
    sheet.near_beacon = w->near[ES_BEACON];
    sheet.near_listener = w->near[ES_LISTENER];
    sheet.foot = w->foot;
    sheet.text_keys = w->keys;
    sheet.text_values = w->values;
    sheet.n_text = 2;
    status = es_profile_sheet_write(path, &sheet, err);
  }
  free(tops);
  free(trees);
  free(w);
  return status;
}
