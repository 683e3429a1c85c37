#include "run/report.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/large.h"
#include "base/text.h"
#include "base/units.h"
#include "job/scenario.h"
#include "output/files.h"
#include "output/report.h"
#include "place/locator.h"
#include "run/cell_range.h"
#include "run/pages.h"
#include "run/report_parts.h"
#include "run/sheets.h"

enum { MOST_SIDE = 512, AZIMUTHS = 72 };

struct es_report_book {
  es_report_view view;
  es_report_grid *grids;
  size_t n_grids;
  json_t *coverage; /* [scenario], null where no map was made */
};

es_report_book *es_report_open(const es_setup *setup, const es_percentages *percents,
                               const es_listener_answers *answers) {
  es_report_book *book = calloc(1, sizeof *book);
  if (book == NULL) return NULL;
  book->view = (es_report_view){.setup = setup, .percents = percents, .answers = answers, .decision = ""};
  book->coverage = json_array();
  for (size_t i = 0; i < setup->job->n_scenarios; i++) json_array_append_new(book->coverage, json_null());
  return book;
}

void es_report_close(es_report_book *book) {
  if (book == NULL) return;
  for (size_t i = 0; i < book->n_grids; i++) {
    free(book->grids[i].id);
    free((void *)book->grids[i].bytes);
  }
  free(book->grids);
  json_decref(book->coverage);
  free(book);
}

/* --- maps as bytes ----------------------------------------------------------------------------------------------------------- */

/* Codes of the page's own script: 0 no data, 1 outside the radius, then the value. */
static uint8_t clamp_code(double code) { return (uint8_t)es_clamp(round(code), 2.0, 255.0); }
static uint8_t heard_code(double percent) { return isnan(percent) ? 0 : clamp_code(2.0 + 2.0 * percent); }
static uint8_t snr_code(double db) { return isnan(db) ? 0 : clamp_code(2.0 + 2.0 * (db + 60.0)); }
static uint8_t way_code(double way) {
  int class = es_map_class(ES_MAP_WAY, way);
  return class < 0 ? 0 : (uint8_t)(2 + class);
}

/* A byte grid of the book; NULL out of memory. */
static uint8_t *add_grid(es_report_book *book, const char *what, size_t scenario, int side) {
  es_report_grid *grown = realloc(book->grids, (book->n_grids + 1) * sizeof *grown);
  if (grown == NULL) return NULL;
  book->grids = grown;
  uint8_t *bytes = calloc((size_t)side * (size_t)side, 1);
  char *id = strcmp(what, "base") == 0 ? strdup(what) : es_format("%s-%zu", what, scenario);
  if (bytes == NULL || id == NULL) {
    free(bytes);
    free(id);
    return NULL;
  }
  bool of_all = strcmp(what, "base") == 0;
  book->grids[book->n_grids++] =
      (es_report_grid){id, side, bytes, of_all ? NULL : book->view.setup->job->scenarios[scenario].name};
  return bytes;
}

/* A layer that es_map_layer_create() made, which may rest afterwards. */
static int32_t take_layer(es_report_book *book, const char *what, size_t scenario, int side, const float *values,
                          uint8_t (*code)(double)) {
  if (values == NULL) return 0;
  uint8_t *bytes = add_grid(book, what, scenario, side);
  if (bytes == NULL) return ES_E_MEMORY;
  es_report_layer(&book->view.setup->frame, side, values, code, bytes);
  es_large_rest(values);
  return 0;
}

/* Of the share heard; none where the map keeps too few percentages to tell. */
static int32_t take_range(es_report_book *book, size_t scenario, int side, const es_map_cells *cells,
                          const es_map_layers *layers, es_error *err) {
  if (layers->heard_percent == NULL || layers->n_percent < 2) return 0;
  es_cell_range range = {0};
  int32_t status = es_cell_range_make(es_setup_in(book->view.setup, scenario), cells, layers, &range, err);
  if (status == 0) status = take_layer(book, "low", scenario, side, range.low_percent, heard_code);
  if (status == 0) status = take_layer(book, "high", scenario, side, range.high_percent, heard_code);
  es_cell_range_free(&range);
  return status;
}

static int32_t take_base(es_report_book *book, int side, const es_map_cells *cells, const float *values,
                         es_error *err) {
  es_map_ground ground = {cells->ground_m, cells->pitch, cells->zone};
  uint8_t *bytes = add_grid(book, "base", 0, es_report_base_side(side));
  return bytes != NULL ? es_report_base(&book->view.setup->frame, side, values, &ground, bytes, err)
                       : es_fail(err, ES_E_MEMORY, "out of memory");
}

static const float *layer_at(const es_map_layers *l, double percent) {
  for (size_t i = 0; i < l->n_percent; i++)
    if (l->percent[i] == percent) return l->snr_db[i];
  return NULL;
}

/* --- coverage ------------------------------------------------------------------------------------------------------------------ */

static json_t *coverage_record(const es_report_view *v, const es_coverage *c) {
  json_t *sectors = json_array(), *squares = json_array();
  for (int s = 0; s < ES_SECTORS; s++) {
    json_t *rings = json_array();
    for (int r = 0; r < ES_RINGS; r++)
      json_array_append_new(
          rings, es_json_number(v->setup->timed ? c->sector[s][r].median_heard : c->sector[s][r].median_snr_db));
    json_array_append_new(sectors, rings);
  }
  for (size_t i = 0; i < c->n_squares; i++) {
    const es_patch *p = &c->squares[i].is;
    double covered = p->answered > 0 ? 100.0 * (double)p->covered / (double)p->answered : NAN;
    json_array_append_new(squares, json_pack("[s,o,o,o,o,o]", c->squares[i].locator,
                                             es_json_number(100.0 * c->squares[i].inside), es_json_number(covered),
                                             es_json_number(p->median_heard), es_json_number(p->median_snr_db),
                                             es_json_number(p->best_snr_db)));
  }
  return json_pack("{s:o,s:o}", "sectors", sectors, "squares", squares);
}

int32_t es_report_take_map(es_report_book *book, size_t scenario, const es_map_cells *cells,
                           const es_map_layers *layers, const es_coverage *coverage, es_error *err) {
  int side = book->view.setup->frame.cols < MOST_SIDE ? book->view.setup->frame.cols : MOST_SIDE;
  int32_t status = 0;
  const es_job *job = book->view.setup->job;
  if (es_job_in(job, scenario)->site != job->site) return 0; /* another plane: its sheets stand in the folder */
  if (layers->n_percent == 0) return 0;
  const float *middle = layers->snr_db[es_map_median_layer(layers)];
  if (book->n_grids == 0) status = take_base(book, side, cells, middle, err);
  if (status == 0) status = take_layer(book, "heard", scenario, side, layers->heard_percent, heard_code);
  if (status == 0) status = take_layer(book, "snr", scenario, side, middle, snr_code);
  if (status == 0) status = take_layer(book, "way", scenario, side, layers->way_median, way_code);
  if (status == 0) status = take_range(book, scenario, side, cells, layers, err);
  if (status == 0 && book->view.setup->timed) {
    status = take_layer(book, "snr10", scenario, side, layer_at(layers, 10.0), snr_code);
    if (status == 0) status = take_layer(book, "snr90", scenario, side, layer_at(layers, 90.0), snr_code);
  }
  json_array_set_new(book->coverage, scenario, coverage_record(&book->view, coverage));
  return status == 0 ? 0 : es_fail(err, status, "out of memory");
}

/* --- the parts of the JSON -------------------------------------------------------------------------------------------------------- */

/* Of the scenario that is shown: its own beacon, antenna, feeder. */
static const es_setup *shown_setup(const es_report_view *v) { return es_setup_in(v->setup, v->shown); }

static json_t *hex(es_rgb c) {
  char text[8];
  snprintf(text, sizeof text, "#%02X%02X%02X", c.r, c.g, c.b);
  return json_string(text);
}

static const char *texture_name(es_texture texture) {
  switch (texture) {
  case ES_TEXTURE_DOTS: return "dots";
  case ES_TEXTURE_LEVEL: return "level";
  case ES_TEXTURE_DASHES: return "dashes";
  case ES_TEXTURE_LOST: return "lost";
  default: return "";
  }
}

static json_t *steps_record(const es_palette *palette, es_map_kind kind) {
  es_map_paint paints[ES_MAP_CLASSES_MAX];
  size_t n;
  const es_map_step *steps = es_map_steps(kind, &n);
  json_t *list = json_array();
  es_map_paints(palette, kind, paints);
  for (size_t i = 0; i < n; i++)
    json_array_append_new(list,
                          json_pack("{s:s,s:s,s:s,s:s,s:o,s:o,s:o,s:o}", "word", steps[i].word, "range", steps[i].range,
                                    "shape", es_shape_name(steps[i].shape), "texture", texture_name(paints[i].texture),
                                    "land", hex(paints[i].land), "sea", hex(paints[i].sea), "texture_land",
                                    hex(paints[i].texture_land), "texture_sea", hex(paints[i].texture_sea)));
  return list;
}

static json_t *limits_record(es_map_kind kind) {
  size_t n;
  const double *from = es_map_limits(kind, &n);
  json_t *list = json_array();
  for (size_t i = 0; i < n; i++) json_array_append_new(list, json_real(from[i]));
  return list;
}

/* Where the steps of kinds that have an order begin: the page sorts values into them. */
static json_t *all_limits(void) {
  return json_pack("{s:o,s:o,s:o}", "heard", limits_record(ES_MAP_HEARD), "level", limits_record(ES_MAP_LEVEL),
                   "difference", limits_record(ES_MAP_DIFFERENCE));
}

static json_t *all_steps(es_error *err) {
  es_palette palette;
  if (es_palette_load(&palette, err) != 0) return NULL;
  return json_pack("{s:o,s:o,s:o,s:o}", "heard", steps_record(&palette, ES_MAP_HEARD), "level",
                   steps_record(&palette, ES_MAP_LEVEL), "way", steps_record(&palette, ES_MAP_WAY), "difference",
                   steps_record(&palette, ES_MAP_DIFFERENCE));
}

static json_t *scenario_list(const es_report_view *v) {
  json_t *list = json_array();
  for (size_t i = 0; i < v->setup->job->n_scenarios; i++) {
    const es_scenario *s = &v->setup->job->scenarios[i];
    json_array_append_new(list, json_pack("{s:s,s:s,s:f,s:f,s:s,s:I}", "name", s->name, "variant",
                                          es_job_in(v->setup->job, i)->variant, "height_m", s->height_m, "power_dbm",
                                          s->power_dbm, "season", es_season_name(s->season), "listeners_heard",
                                          (json_int_t)es_listeners_hearing(v->setup, v->percents, v->answers, i)));
  }
  return list;
}

/* A text that another stage left in the folder; NULL when there is none. *whole: false when it is there and cannot be taken
 * in. */
static char *file_text(const char *folder, const char *name, bool *whole) {
  char *path = es_format("%s/%s", folder, name), *text = NULL;
  FILE *file = path != NULL ? fopen(path, "rb") : NULL;
  *whole &= path != NULL && (file != NULL || errno == ENOENT);
  free(path);
  if (file == NULL) return NULL;
  long n = fseek(file, 0, SEEK_END) == 0 ? ftell(file) : -1;
  rewind(file);
  if (n >= 0) text = malloc((size_t)n + 1);
  *whole &= text != NULL && fread(text, 1, (size_t)n, file) == (size_t)n;
  if (text != NULL) text[*whole ? n : 0] = '\0';
  fclose(file);
  return text;
}

/* [[kind, name, text]]; the kinds are "h", "r", "s" and "c": heading, row, sentence, caution. */
static json_t *card_items(const es_report_view *v, const char *run_id, size_t listener, bool *whole) {
  static const char *const kinds[] = {[ES_PAGE_HEADING] = "h",
                                      [ES_PAGE_SAFETY] = "h",
                                      [ES_PAGE_ROW] = "r",
                                      [ES_PAGE_SENTENCE] = "s",
                                      [ES_PAGE_CAUTION] = "c"};
  es_pages pages = {shown_setup(v), v->percents, v->answers, "", run_id, ES_VERSION, v->shown};
  es_arena *arena = es_arena_create();
  json_t *list = json_array();
  es_page card = {.full = true};
  if (arena != NULL) {
    es_page_begin(&card, arena, "", "");
    es_card_fill(&pages, listener, &card);
    for (size_t i = 0; i < card.n; i++)
      json_array_append_new(list, json_pack("[s,o,o]", kinds[card.items[i].part], es_json_word(card.items[i].name),
                                            es_json_word(card.items[i].text)));
  }
  *whole &= !card.full;
  es_arena_destroy(arena);
  return list;
}

static json_t *listener_list(const es_report_view *v, const char *folder, const char *run_id, bool *whole) {
  const es_job *job = shown_setup(v)->job;
  json_t *list = json_array();
  for (size_t i = 0; i < job->listeners.n; i++) {
    const es_listener *l = &job->listeners.items[i];
    const es_path_answer *a = es_listener_answer(v->answers, v->shown, i);
    char locator[11] = "", name[32];
    es_locator_format(l->at, 10, locator, NULL);
    json_t *one = json_pack("{s:o,s:f,s:f,s:s,s:f,s:f,s:s}", "name", es_json_word(l->name), "lon_deg", l->at.lon_deg,
                            "lat_deg", l->at.lat_deg, "locator", locator, "km", a->course.dist_m / 1e3, "bearing_deg",
                            a->course.azimuth_deg, "mode", l->rx.mode);
    snprintf(name, sizeof name, "cards/%04zu.txt", i + 1);
    char *card = file_text(folder, name, whole);
    if (card != NULL && one != NULL) json_object_set_new(one, "card", json_string(card));
    free(card);
    if (one != NULL) json_object_set_new(one, "card_items", card_items(v, run_id, i, whole));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t *path_lists(const es_report_view *v, bool *whole) {
  json_t *scenarios = json_array();
  for (size_t s = 0; s < v->answers->n_scenarios; s++) {
    json_t *list = json_array();
    for (size_t l = 0; l < v->answers->n_listeners; l++)
      *whole &= json_array_append_new(list, es_report_path(v, s, l)) == 0;
    json_array_append_new(scenarios, list);
  }
  return scenarios;
}

static json_t *count_list(const es_report_view *v) {
  size_t counts[ES_MAP_CLASSES_MAX] = {0}, n;
  es_map_kind kind = v->setup->timed ? ES_MAP_HEARD : ES_MAP_LEVEL;
  es_map_steps(kind, &n);
  for (size_t l = 0; l < v->answers->n_listeners; l++) {
    int class = es_map_class(kind, es_report_value(v, v->shown, l));
    if (class >= 0) counts[class]++;
  }
  json_t *list = json_array();
  for (size_t i = 0; i < n; i++) json_array_append_new(list, json_integer((json_int_t)counts[i]));
  return list;
}

static json_t *height_list(const es_report_view *v) {
  json_t *list = json_array();
  for (size_t g = 0; g < v->heights->n_groups; g++) {
    const es_height_group *group = &v->heights->groups[g];
    json_t *scenarios = json_array(), *knees = json_array();
    for (size_t i = 0; i < group->n; i++)
      json_array_append_new(scenarios, json_integer((json_int_t)group->scenarios[i]));
    for (size_t l = 0; l < v->answers->n_listeners; l++)
      json_array_append_new(knees, json_integer((json_int_t)es_height_knee(group, v->percents, v->answers, l)));
    char title[96];
    const es_scenario *all = v->setup->job->scenarios;
    if (group->stop < group->n)
      snprintf(title, sizeof title, "%g m is enough", all[group->scenarios[group->stop]].height_m);
    else
      snprintf(title, sizeof title, "up to %g m height still counts", all[group->scenarios[group->n - 1]].height_m);
    json_array_append_new(list, json_pack("{s:o,s:o,s:o,s:s}", "scenarios", scenarios, "knees", knees, "stop",
                                          group->stop < group->n ? json_integer((json_int_t)group->stop) : json_null(),
                                          "title", title));
  }
  return list;
}

/* Gain towards the horizon, every five degrees. */
static json_t *azimuth_gains(const es_beacon *b) {
  json_t *list = json_array();
  for (int i = 0; i < AZIMUTHS; i++) {
    double azimuth = 2.0 * ES_PI * i / AZIMUTHS;
    json_array_append_new(list, es_json_number(es_antenna_gain(&b->antenna, b->freq_ghz, azimuth, 0.0, azimuth)));
  }
  return list;
}

static json_t *beacon_record(const es_beacon *b) {
  char locator[11] = "";
  es_locator_format(b->at, 6, locator, NULL);
  return json_pack("{s:o,s:o,s:[f,f],s:s,s:f}", "name", es_json_word(b->name), "call", es_json_word(b->call),
                   "position", b->at.lon_deg, b->at.lat_deg, "locator", locator, "frequency_mhz", b->freq_ghz * 1e3);
}

/* --- the words around them ---------------------------------------------------------------------------------------------------------- */

static void set_text(json_t *data, const char *key, const char *format, ...) __attribute__((format(printf, 3, 4)));
static void set_text(json_t *data, const char *key, const char *format, ...) {
  char text[1024];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  json_t *value = json_string(text);
  json_object_set_new(data, key, value != NULL ? value : json_string(""));
}

static void add_words(const es_report_view *v, const char *run_id, json_t *data) {
  static const char *const methods[] = {"One state of the air; edges after ITU-R P.526.",
                                        "The whole year after ITU-R P.2001-6.", "Openings after ITU-R P.452-18."};
  const es_job *job = shown_setup(v)->job;
  const es_beacon *b = &job->beacon;
  const es_receiver *rx = &job->map.receiver;
  const es_scenario *s = &job->scenarios[v->shown];
  set_text(data, "page_title", "%s: who will hear it", b->name);
  set_text(data, "who", "%s%s%s", b->name, b->call[0] != '\0' ? " \u00b7 " : "", b->call);
  set_text(data, "foot", "Prediction, not measurement. Earshot %s, run %s. The numbers are those of listeners.csv.",
           ES_VERSION, run_id);
  set_text(data, "method", "%s", methods[job->chain]);
  set_text(data, "counts_title",
           v->setup->timed ? "How much of the year each listener hears it" : "How strong it is at each listener");
  set_text(data, "table_caption", "Antenna at %g\u00a0m%s.", s->height_m,
           s->season == ES_IN_LEAF       ? ", trees in leaf"
           : s->season == ES_OUT_OF_LEAF ? ", trees bare"
                                         : "");
  const json_t *title = json_object_get(json_object_get(data, "answer"), "title");
  set_text(data, "map_alt", "Coverage map of %s. %s", b->name, json_string_value(title));
  if (job->map.wanted)
    set_text(
        data, "standard_listener",
        "The standard listener of the map: antenna %g\u00a0m up, %.1f\u00a0dBi, noise figure %.1f\u00a0dB, mode %s.",
        rx->height_m, rx->antenna.peak_dbi, rx->noise_figure_db, rx->mode);
  else
    set_text(data, "standard_listener", "%s", "");
}

/* NULL out of memory, or when a text that is to be taken in cannot be read. */
static json_t *gather(es_report_book *book, json_t *inputs, const char *folder, const char *run_id, es_error *err) {
  const es_report_view *v = &book->view;
  json_t *data = json_object(), *steps = all_steps(err);
  bool whole = true;
  if (data == NULL || steps == NULL) {
    json_decref(data);
    json_decref(steps);
    return NULL;
  }
  json_object_set_new(data, "run", es_json_word(run_id));
  json_object_set_new(data, "timed", json_boolean(v->setup->timed));
  json_object_set_new(data, "kind", json_string(v->setup->timed ? "heard" : "level"));
  json_object_set_new(data, "shown_first", json_integer((json_int_t)v->shown));
  json_object_set_new(data, "beacon", beacon_record(&shown_setup(v)->job->beacon));
  json_object_set_new(data, "steps", steps);
  json_object_set_new(data, "limits", all_limits());
  json_object_set_new(data, "answer", es_report_answer(v));
  json_object_set_new(data, "cautions", es_report_cautions(v));
  json_object_set_new(data, "counts", count_list(v));
  json_object_set_new(data, "scenarios", scenario_list(v));
  json_object_set_new(data, "listeners", listener_list(v, folder, run_id, &whole));
  json_object_set_new(data, "paths", path_lists(v, &whole));
  json_object_set_new(data, "heights", height_list(v));
  json_object_set(data, "coverage", book->coverage);
  json_object_set_new(data, "antenna_dbi", azimuth_gains(&shown_setup(v)->job->beacon));
  json_object_set(data, "inputs", inputs);
  json_object_set_new(data, "card_scenario", es_json_word(v->setup->job->scenarios[v->shown].name));
  if (v->setup->has_frame)
    json_object_set_new(data, "map",
                        json_pack("{s:f,s:o}", "radius_km", es_report_radius_m(&v->setup->frame) / 1e3, "graticule",
                                  es_report_graticule(&v->setup->frame, true)));
  add_words(v, run_id, data);
  if (whole) return data;
  json_decref(data);
  return NULL;
}

/* --- pictures ------------------------------------------------------------------------------------------------------------------------ */

typedef struct pictures {
  es_report_picture *items;
  size_t n;
} pictures;

static bool add_picture(pictures *p, char *id, char *path, const char *kind, const char *of) {
  if (id == NULL || path == NULL) {
    free(id);
    free(path);
    return false;
  }
  p->items[p->n++] = (es_report_picture){id, path, kind, of};
  return true;
}

static void free_pictures(pictures *p) {
  for (size_t i = 0; i < p->n; i++) {
    free((void *)p->items[i].id);
    free((void *)p->items[i].path);
  }
  free(p->items);
}

static bool add_sheet(const es_report_view *v, size_t scenario, const char *folder, pictures *p) {
  const char *name = v->setup->job->scenarios[scenario].name, *what = v->setup->timed ? "heard" : "level";
  return add_picture(p, es_format("map-%zu", scenario), es_format("%s/map-%s-%s.png", folder, what, name), "map sheet",
                     name);
}

static bool add_profiles(const es_report_view *v, size_t scenario, const char *folder, pictures *p) {
  const char *name = v->setup->job->scenarios[scenario].name;
  bool ok = true;
  for (size_t l = 0; ok && l < v->answers->n_listeners; l++)
    ok = add_picture(p, es_format("%04zu-%s", l + 1, name), es_format("%s/paths/%04zu-%s.png", folder, l + 1, name),
                     "profile", name);
  return ok;
}

/* By what a reader would miss most: the scenario shown first has its sheet and its profiles, then the others their sheets,
 * then their profiles. */
static bool list_pictures(const es_report_view *v, const char *folder, pictures *p) {
  size_t n = v->setup->job->n_scenarios;
  *p = (pictures){calloc(n * (v->answers->n_listeners + 1), sizeof *p->items), 0};
  bool ok = p->items != NULL && add_sheet(v, v->shown, folder, p) && add_profiles(v, v->shown, folder, p);
  for (size_t k = 1; ok && k < n; k++) ok = add_sheet(v, (v->shown + k) % n, folder, p);
  for (size_t k = 1; ok && k < n; k++) ok = add_profiles(v, (v->shown + k) % n, folder, p);
  return ok;
}

static void fill_sheet(const es_report_view *v, const char *folder, const char *run_id, es_arena *arena,
                       es_page *page) {
  es_pages pages = {shown_setup(v), v->percents, v->answers, folder, run_id, ES_VERSION, v->shown};
  es_page_begin(page, arena, "", "Beacon sheet");
  es_beacon_sheet_fill(&pages, page);
}

/* As text, narrow enough for a mailing list. False: out of memory. */
static bool add_sheet_text(const es_page *sheet, json_t *data) {
  char *text = es_page_text(sheet, ES_DIGEST_COLUMNS);
  bool ok = text != NULL && json_object_set_new(data, "sheet", json_string(text)) == 0;
  free(text);
  return ok;
}

int32_t es_report_finish(es_report_book *book, const es_heights *heights, const char *decision, json_t *inputs,
                         const char *folder, const char *run_id, es_error *err) {
  es_report_view *v = &book->view;
  v->heights = heights;
  v->decision = decision;
  v->shown = es_recommended_scenario(heights);
  json_t *data = gather(book, inputs, folder, run_id, err);
  char *html = es_format("%s/report.html", folder), *digest = es_format("%s/digest.txt", folder);
  pictures p = {0};
  int32_t status = 0;
  es_page sheet = {.full = true};
  es_arena *arena = es_arena_create();
  if (arena != NULL) fill_sheet(v, folder, run_id, arena, &sheet);
  if (data == NULL || !add_sheet_text(&sheet, data) || html == NULL || digest == NULL || !list_pictures(v, folder, &p))
    status = es_fail(err, ES_E_MEMORY, "%s: out of memory, or what belongs into it cannot be read", folder);
  es_report report = {
      data, book->grids, book->n_grids, p.items, p.n, &sheet, (size_t)(v->setup->job->report_max_mb * 1e6)};
  if (status == 0) status = es_report_write(html, &report, err);
  if (status == 0) status = es_digest_write(digest, data, err);
  free_pictures(&p);
  es_arena_destroy(arena);
  free(html);
  free(digest);
  json_decref(data);
  return status;
}
