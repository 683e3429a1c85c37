#include "run/sheets.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "output/output.h"
#include "place/locator.h"
#include "run/table.h"
#include "station/beacon_chain.h"

enum { MOST_FACTS = 12, TEXT = 512 };

/* Words of one sheet; everything a sheet borrows lives here. */
typedef struct words {
  char eyebrow[TEXT], lead[TEXT], second[TEXT], note[TEXT], sure[2 * TEXT], foot[4 * TEXT], scenario[TEXT];
  char fact[MOST_FACTS][TEXT];
  const char *fact_names[MOST_FACTS], *fact_texts[MOST_FACTS];
  size_t n_facts;
  const char *keys[8], *values[8];
  size_t n_texts;
} words;

static void upper(char *text) {
  for (; *text != '\0'; text++)
    if ((unsigned char)*text < 0x80) *text = (char)toupper((unsigned char)*text);
}

static void fact(words *w, const char *name, const char *format, ...) __attribute__((format(printf, 3, 4)));
static void fact(words *w, const char *name, const char *format, ...) {
  if (w->n_facts == MOST_FACTS) return;
  va_list args;
  va_start(args, format);
  vsnprintf(w->fact[w->n_facts], TEXT, format, args);
  va_end(args);
  w->fact_names[w->n_facts] = name;
  w->fact_texts[w->n_facts] = w->fact[w->n_facts];
  w->n_facts++;
}

/* --- numbers as people read them ----------------------------------------------------------------------------------------- */

/* Megahertz to the hertz in groups of three: 10 368.875 000, parted by narrow no-break spaces. */
static void frequency_text(double ghz, char *out, size_t n) {
  long long hz = llround(ghz * 1e9);
  long mhz = (long)(hz / 1000000), rest = (long)(hz % 1000000);
  char whole[32];
  if (mhz >= 1000)
    snprintf(whole, sizeof whole, "%ld\u202f%03ld", mhz / 1000, mhz % 1000);
  else
    snprintf(whole, sizeof whole, "%ld", mhz);
  snprintf(out, n, "%s.%03ld\u202f%03ld\u00a0MHz", whole, rest / 1000, rest % 1000);
}

static void watts_text(double dbm, char *out, size_t n) {
  double watts = es_ratio(dbm - 30.0);
  int decimals = watts < 0.1 ? 3 : watts < 1.0 ? 2 : watts < 10.0 ? 1 : 0;
  snprintf(out, n, "%.*f\u00a0W", decimals, watts);
}

static const char *season_words(int32_t season, bool canopy) {
  if (season == ES_IN_LEAF) return "trees in leaf";
  if (season == ES_OUT_OF_LEAF) return "trees bare";
  return canopy ? "without trees" : "bare ground, no trees counted";
}

/* --- what every sheet says -------------------------------------------------------------------------------------------------- */

static void eyebrow(const es_job *job, words *w) {
  char locator[11] = "";
  es_locator_format(job->beacon.at, 6, locator, NULL);
  char name[TEXT];
  snprintf(name, sizeof name, "%s", job->beacon.name);
  upper(name);
  if (job->beacon.call[0] != '\0')
    snprintf(w->eyebrow, TEXT, "%.200s \u00b7 %.100s \u00b7 %s", name, job->beacon.call, locator);
  else
    snprintf(w->eyebrow, TEXT, "%.200s \u00b7 %s", name, locator);
}

static void ways_text(const es_chain *chain, char *out, size_t n) {
  bool way[ES_WAYS] = {false}, total = false;
  for (size_t i = 0; i < chain->n; i++) {
    const es_model *m = &chain->models[i]->is;
    total |= m->role == ES_TOTAL;
    if (m->role == ES_TERM || m->role == ES_WAY)
      for (int j = 0; j < ES_WAYS; j++) way[j] |= (m->touches & (1u << j)) != 0 && (m->role == ES_WAY || j == 0);
  }
  if (total)
    snprintf(out, n, "surface, ducting, troposcatter");
  else
    snprintf(out, n, "%s%s%s", way[0] ? "surface" : "", way[1] ? ", ducting" : "", way[2] ? ", troposcatter" : "");
}

static double beacon_ground(const es_listener_answers *answers, size_t scenario, const es_map_cells *cells,
                            const es_setup *setup) {
  for (size_t i = 0; i < answers->n_listeners; i++) {
    const es_path_answer *a = es_listener_answer(answers, scenario, i);
    if (a->status == ES_OK) return a->beacon_ground_m;
  }
  const es_frame *f = &setup->frame;
  size_t col = (size_t)floor((f->beacon_x - f->x0) / f->cell_m), row = (size_t)floor((f->y0 - f->beacon_y) / f->cell_m);
  return cells->ground_m[row * cells->pitch + col];
}

static void facts(const es_setup *setup, const es_scenario *s, double ground_m, words *w) {
  static const char *const methods[] = {"one air, ITU-R P.526 terrain", "whole-year chain, ITU-R P.2001-6",
                                        "openings chain, ITU-R P.452-18"};
  const es_beacon *b = &setup->job->beacon;
  es_radiated sent = es_radiated_of(b, s->power_dbm, s->height_m);
  double eirp = sent.eirp_dbm, erp = sent.erp_dbm;
  char frequency[64], eirp_w[32], erp_w[32], ways[64];
  frequency_text(b->freq_ghz, frequency, sizeof frequency);
  watts_text(eirp, eirp_w, sizeof eirp_w);
  watts_text(erp, erp_w, sizeof erp_w);
  ways_text(&setup->chain, ways, sizeof ways);
  fact(w, "Frequency", "%s", frequency);
  fact(w, "Radiated power", "%s EIRP (%.1f\u00a0dBm)", eirp_w, eirp);
  fact(w, "", "%s ERP (%.1f\u00a0dBm)", erp_w, erp);
  fact(w, "Antenna", "%.1f\u00a0dBi, %s", b->antenna.peak_dbi,
       b->polarisation == ES_VERTICAL ? "vertical" : "horizontal");
  fact(w, "Height", "%g\u00a0m above ground, %.0f\u00a0m above sea", s->height_m, ground_m + s->height_m);
  fact(w, "Ways counted", "%s", ways);
  fact(w, "Method", "%s", methods[setup->job->chain]);
}

static void append(char *text, size_t room, const char *format, ...) __attribute__((format(printf, 3, 4)));
static void append(char *text, size_t room, const char *format, ...) {
  size_t used = strlen(text);
  va_list args;
  va_start(args, format);
  vsnprintf(text + used, room - used, format, args);
  va_end(args);
}

static const char *climate_words(const es_setup *setup) {
  size_t from[4] = {0};
  for (int key = 0; key < ES_CLIMATE_KEYS; key++) {
    es_climate_source source;
    es_climate_value(setup->climate, (es_climate_key)key, 0, setup->job->beacon.at, &source);
    from[source]++;
  }
  if (from[ES_FROM_USER] > 0) return "as the job gives, the rest by latitude or default";
  return from[ES_FROM_MAP] > 0 ? "the user's maps" : "latitude fallback and defaults (no maps given)";
}

static void foot(const es_setup *setup, const char *run_id, words *w) {
  static const char *const surfaces[] = {"bare earth", "surface model", "radar surface"};
  const es_job *job = setup->job;
  size_t n;
  const es_data_set *sets = es_ground_data_sets(setup->ground, &n);
  const char *name = n > 0 ? strrchr(sets[0].path, '/') : NULL;
  size_t tiles = 0;
  for (size_t i = 0; i < n; i++) tiles += strcmp(sets[i].what, "elevation") == 0;
  append(w->foot, sizeof w->foot, "Ground: %s", n > 0 ? (name != NULL ? name + 1 : sets[0].path) : "none");
  if (tiles > 1) append(w->foot, sizeof w->foot, " and %zu more", tiles - 1);
  append(w->foot, sizeof w->foot, ", %.0f\u00a0m steps", setup->facts.step_m);
  if (job->elevation_year != NULL && job->elevation_year[0] != '\0')
    append(w->foot, sizeof w->foot, ", %s", job->elevation_year);
  append(w->foot, sizeof w->foot, ", heights above %s, %s.",
         job->vertical_datum[0] != '\0' ? job->vertical_datum : "an unnamed datum", surfaces[job->surface]);
  append(w->foot, sizeof w->foot, " Climate: %s. Earshot %s, run %s.", climate_words(setup), ES_VERSION, run_id);
}

static void standard_listener(const es_setup *setup, const char *what, words *w) {
  const es_receiver *rx = &setup->job->map.receiver;
  char antenna[64];
  if (rx->antenna.shape == ES_SHAPE_DISH)
    snprintf(antenna, sizeof antenna, "%.2g\u00a0m dish", rx->antenna.dish_m);
  else
    snprintf(antenna, sizeof antenna, "%.1f\u00a0dBi antenna", rx->antenna.peak_dbi);
  snprintf(w->note, TEXT, "Colours: a standard listener, %s %g\u00a0m up, noise figure %.1f\u00a0dB. Shapes: %s.",
           antenna, rx->height_m, rx->noise_figure_db, what);
}

static void common_words(const es_setup *setup, const es_scenario *s, double ground_m, const char *run_id, words *w) {
  memset(w, 0, sizeof *w);
  eyebrow(setup->job, w);
  const char *site = setup->job->beacon.site;
  snprintf(w->second, TEXT, "%.100s%s%s \u00b7 antenna %g\u00a0m above ground", site != NULL ? site : "",
           site != NULL ? " \u00b7 " : "", season_words(s->season, setup->facts.has_canopy), s->height_m);
  facts(setup, s, ground_m, w);
  foot(setup, run_id, w);
  snprintf(w->scenario, TEXT, "%s", s->name);
  const char *keys[] = {"Title", "Scenario", "Beacon", "Data", "Software", "Run"};
  const char *values[] = {"", w->scenario, w->eyebrow, w->foot, "Earshot " ES_VERSION, run_id};
  w->n_texts = sizeof keys / sizeof *keys;
  for (size_t i = 0; i < w->n_texts; i++) {
    w->keys[i] = keys[i];
    w->values[i] = values[i];
  }
}

/* --- marks ------------------------------------------------------------------------------------------------------------------- */

/* What a listener's mark says on a sheet: the same quantity as the colours, for its own station. */
static double mark_value(es_map_kind kind, const es_percentages *p, const es_path_answer *a) {
  if (a->status != ES_OK) return NAN;
  if (kind == ES_MAP_HEARD) return a->heard_percent;
  return kind == ES_MAP_WAY ? es_map_way(a->winner[p->median], a->end_db) : a->snr_db[p->median];
}

static es_map_mark *marks_of(const es_setup *setup, size_t scenario, const es_percentages *p,
                             const es_listener_answers *answers, es_map_kind kind, size_t *n) {
  const es_job *job = setup->job;
  es_map_mark *marks = calloc(job->listeners.n + 1, sizeof *marks);
  *n = 0;
  for (size_t i = 0; marks != NULL && i < job->listeners.n; i++) {
    const es_path_answer *a = es_listener_answer(answers, scenario, i);
    marks[(*n)++] = (es_map_mark){job->listeners.items[i].name, job->listeners.items[i].at, a->course.dist_m,
                                  es_rad(a->course.azimuth_deg), mark_value(kind, p, a)};
  }
  return marks;
}

/* --- files --------------------------------------------------------------------------------------------------------------------- */

typedef struct sheet_job {
  const es_setup *setup;
  size_t scenario;
  const es_percentages *percents;
  const es_map_cells *cells;
  const es_map_layers *layers;
  const es_listener_answers *answers;
  const char *folder, *run_id;
  int threads;
  double ground_m;
  es_error *err;
  size_t less, more;  /* ES_MAP_DIFFERENCE: the scenario that is taken away, and from which */
  const char *stem;   /* ES_MAP_DIFFERENCE: name of the files; NULL: what is shown and the scenario */
  const char *second; /* and what is subtracted */
} sheet_job;

static char *file_name(const sheet_job *j, const char *what, const char *ending) {
  if (j->stem != NULL) return es_format("%s/%s.%s", j->folder, j->stem, ending);
  return es_format("%s/map-%s-%s.%s", j->folder, what, j->setup->job->scenarios[j->scenario].name, ending);
}

/* A difference's marks: of each listener's own station, as the colours are of the map's. */
static void take_away(const sheet_job *j, es_map_mark *marks, size_t n) {
  for (size_t i = 0; i < n; i++)
    marks[i].value = mark_value(ES_MAP_LEVEL, j->percents, es_listener_answer(j->answers, j->more, i)) -
                     mark_value(ES_MAP_LEVEL, j->percents, es_listener_answer(j->answers, j->less, i));
}

/* Eight in ten of a normal distribution lie within 1.28 sigma; the ear counts too. Of edges the larger sigma: a map does not tell them apart. */
static double eight_in_ten_db(const es_setup *setup, es_way_kind kind) {
  return 1.2816 * es_usual_sigma_db(setup, &setup->job->map.receiver, kind, 0.0);
}

static void how_sure(const es_setup *setup, words *w) {
  double sea = eight_in_ten_db(setup, ES_KIND_LOS_WATER), land = eight_in_ten_db(setup, ES_KIND_LOS_LAND);
  double ridge = fmax(eight_in_ten_db(setup, ES_KIND_EDGE), eight_in_ten_db(setup, ES_KIND_EDGES));
  snprintf(
      w->sure, sizeof w->sure,
      "Eight listeners in ten should lie within %.0f\u00a0dB of the level behind this map where they see the beacon "
      "over land, %.0f\u00a0dB over water, %.0f\u00a0dB behind a ridge, %.0f\u00a0dB by troposcatter; less surely "
      "among trees.",
      land, sea, ridge, eight_in_ten_db(setup, ES_KIND_SCATTER));
}

static int32_t write_sheet(const sheet_job *j, es_map_kind kind, const char *what, const char *title, const char *lead,
                           const char *shapes, const float *values) {
  const es_scenario *s = &j->setup->job->scenarios[j->scenario];
  const char *site = j->setup->job->beacon.site;
  words w;
  common_words(j->setup, s, j->ground_m, j->run_id, &w);
  standard_listener(j->setup, shapes, &w);
  how_sure(j->setup, &w);
  w.values[0] = title;
  size_t n;
  es_map_mark *marks = marks_of(j->setup, j->scenario, j->percents, j->answers, kind, &n);
  if (kind == ES_MAP_DIFFERENCE && marks != NULL) {
    take_away(j, marks, n);
    if (j->second != NULL)
      snprintf(w.second, TEXT, "%s", j->second);
    else
      snprintf(w.second, TEXT, "in leaf minus out of leaf \u00b7 antenna %g\u00a0m above ground", s->height_m);
  }
  char *path = file_name(j, what, "png");
  es_sheet sheet = {.kind = kind,
                    .beacon_name = site != NULL ? site : j->setup->job->beacon.name,
                    .eyebrow = w.eyebrow,
                    .title = title,
                    .lead = lead,
                    .second = w.second,
                    .colours_note = w.note,
                    .fact_names = w.fact_names,
                    .fact_texts = w.fact_texts,
                    .n_facts = w.n_facts,
                    .how_sure = kind == ES_MAP_HEARD || kind == ES_MAP_LEVEL ? w.sure : NULL,
                    .foot = w.foot,
                    .text_keys = w.keys,
                    .text_values = w.values,
                    .n_text = w.n_texts,
                    .locator_squares = true,
                    .scale = j->setup->job->map.width_px / 1600};
  es_map_ground ground = {j->cells->ground_m, j->cells->pitch, j->cells->zone};
  int32_t status = marks != NULL && path != NULL
                       ? es_map_sheet_write(path, &j->setup->frame, values, &ground, marks, n, &sheet, j->err)
                       : es_fail(j->err, ES_E_MEMORY, "out of memory");
  if (j->layers != NULL) es_map_layers_rest(j->layers);
  free(marks);
  free(path);
  return status;
}

static int32_t write_raster(const sheet_job *j, const char *what, const char *description, const char *unit,
                            const float *values) {
  const char *keys[] = {"EARSHOT_SCENARIO", "EARSHOT_RUN", "EARSHOT_VERSION"};
  const char *texts[] = {j->setup->job->scenarios[j->scenario].name, j->run_id, ES_VERSION};
  char *path = file_name(j, what, "tif");
  if (path == NULL) return es_fail(j->err, ES_E_MEMORY, "out of memory");
  int32_t status =
      es_map_raster_write(path, &j->setup->frame, values, description, unit, keys, texts, 3, j->threads, j->err);
  if (j->layers != NULL) es_map_layers_rest(j->layers);
  free(path);
  return status;
}

size_t es_map_median_layer(const es_map_layers *layers) {
  size_t best = 0;
  for (size_t l = 1; l < layers->n_percent; l++)
    if (fabs(layers->percent[l] - 50.0) < fabs(layers->percent[best] - 50.0)) best = l;
  return best;
}

static const char *wanted_mode(const es_setup *setup) {
  const es_mode *mode = es_mode_find(&setup->job->modes, setup->job->map.receiver.mode);
  return mode != NULL ? mode->name : "";
}

static int32_t write_timed(const sheet_job *j) {
  const es_map_layers *l = j->layers;
  int32_t status =
      write_sheet(j, ES_MAP_HEARD, "heard", "How much of the year it is heard", wanted_mode(j->setup),
                  "each listener's own antenna, receiver and mode. Filled shapes hear it more than half the year",
                  l->heard_percent);
  if (status == 0)
    status = write_sheet(j, ES_MAP_WAY, "way", "What carries the signal", "the strongest way at half of the time",
                         "listeners, each counted with the way of its own path", l->way_median);
  return status;
}

int32_t es_sheets_write(const es_setup *setup, size_t scenario, const es_percentages *percents,
                        const es_map_cells *cells, const es_map_layers *layers, const es_listener_answers *answers,
                        const char *folder, const char *run_id, es_error *err) {
  sheet_job j = {.setup = setup,
                 .scenario = scenario,
                 .percents = percents,
                 .cells = cells,
                 .layers = layers,
                 .answers = answers,
                 .folder = folder,
                 .run_id = run_id,
                 .ground_m = beacon_ground(answers, scenario, cells, setup),
                 .err = err};
  int32_t status = 0;
  if (layers->n_percent > 0) {
    char lead[128];
    size_t median = es_map_median_layer(layers);
    snprintf(lead, sizeof lead,
             setup->timed ? "signal over noise in 2500\u00a0Hz, %g\u00a0%% of the time"
                          : "signal over noise in 2500\u00a0Hz",
             layers->percent[median]);
    status = write_sheet(&j, ES_MAP_LEVEL, "level", "How strong it arrives", lead,
                         "each listener's own antenna and receiver", layers->snr_db[median]);
  }
  if (status == 0 && setup->timed) status = write_timed(&j);
  return status;
}

int32_t es_leaves_write(const es_setup *setup, size_t in_leaf, size_t out_of_leaf, const es_percentages *percents,
                        const es_map_cells *cells, const float *difference_db, const es_listener_answers *answers,
                        const char *folder, const char *run_id, int threads, es_error *err) {
  sheet_job j = {.setup = setup,
                 .scenario = in_leaf,
                 .less = out_of_leaf,
                 .more = in_leaf,
                 .percents = percents,
                 .cells = cells,
                 .answers = answers,
                 .folder = folder,
                 .run_id = run_id,
                 .threads = threads,
                 .ground_m = beacon_ground(answers, in_leaf, cells, setup),
                 .err = err};
  int32_t status = write_sheet(&j, ES_MAP_DIFFERENCE, "leaves", "What leaves take",
                               setup->timed ? "signal in leaf less signal out of leaf, half of the time"
                                            : "signal in leaf less signal out of leaf",
                               "the same difference at each listener's own station", difference_db);
  if (status != 0) return status;
  return write_raster(&j, "leaves", "SNR in leaf minus SNR out of leaf, median", "dB", difference_db);
}

int32_t es_change_write(const es_setup *setup, const es_change_sheet *sheet, const es_percentages *percents,
                        const es_map_cells *cells, const float *change_db, const es_listener_answers *answers,
                        const char *folder, const char *run_id, int threads, es_error *err) {
  const es_scenario *all = setup->job->scenarios;
  char second[TEXT];
  snprintf(second, sizeof second, "%s minus %s", all[sheet->pair.to].name, all[sheet->pair.from].name);
  sheet_job j = {.setup = setup,
                 .scenario = sheet->plane,
                 .less = sheet->pair.from,
                 .more = sheet->pair.to,
                 .stem = sheet->stem,
                 .second = second,
                 .percents = percents,
                 .cells = cells,
                 .answers = answers,
                 .folder = folder,
                 .run_id = run_id,
                 .threads = threads,
                 .ground_m = beacon_ground(answers, sheet->plane, cells, setup),
                 .err = err};
  int32_t status = write_sheet(&j, ES_MAP_DIFFERENCE, "", "What is gained and lost",
                               setup->timed ? "change of the signal, half of the time" : "change of the signal",
                               "the same change at each listener's own station", change_db);
  if (status != 0) return status;
  char *description =
      es_format("median SNR of %s minus that of %s", all[sheet->pair.to].name, all[sheet->pair.from].name);
  if (description == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  status = write_raster(&j, "", description, "dB", change_db);
  free(description);
  return status;
}
