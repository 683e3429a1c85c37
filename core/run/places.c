#include "run/places.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "output/output.h"
#include "run/pages.h"
#include "run/sheets.h"

enum { MOST_LEVELS = 64 };

/* --- polygons ---------------------------------------------------------------------------------------------------------------- */

/* Rising, each need once: the first mode of a need gives its name. */
static size_t levels_of(const es_modes *modes, es_contour_level *levels) {
  size_t n = 0;
  for (size_t i = 0; i < modes->n && n < MOST_LEVELS; i++) {
    double need = modes->items[i].snr_2500_db;
    size_t at = 0;
    while (at < n && levels[at].from_db < need) at++;
    if (at < n && levels[at].from_db == need) continue;
    memmove(&levels[at + 1], &levels[at], (n - at) * sizeof *levels);
    levels[at] = (es_contour_level){modes->items[i].id, modes->items[i].name, need};
    n++;
  }
  return n;
}

static int32_t write_contours(const es_setup *setup, const es_scenario *s, const float *snr_db, const char *folder,
                              es_error *err) {
  es_contour_level levels[MOST_LEVELS + 1];
  size_t n = levels_of(&setup->job->modes, levels);
  char *path = es_format("%s/coverage-%s.gpkg", folder, s->name);
  int32_t status = path != NULL ? es_contours_write(path, &setup->frame, snr_db, levels, n, err)
                                : es_fail(err, ES_E_MEMORY, "out of memory");
  free(path);
  return status;
}

/* --- KMZ --------------------------------------------------------------------------------------------------------------------- */

/* A placemark says what the listener's card says. */
static char *card_text(const es_pages *pages, size_t listener) {
  es_arena *arena = es_arena_create();
  es_page *page = calloc(1, sizeof *page);
  char *text = NULL;
  if (arena != NULL && page != NULL) {
    es_page_begin(page, arena, "Prediction, not measurement", pages->setup->job->listeners.items[listener].name);
    es_card_fill(pages, listener, page);
    text = es_page_text(page, 100);
  }
  free(page);
  es_arena_destroy(arena);
  return text;
}

/* NULL out of memory. */
static es_placemark *placemarks(const es_pages *pages, es_map_kind kind) {
  const es_setup *setup = pages->setup;
  const es_listener_answers *answers = pages->answers;
  es_placemark *marks = calloc(answers->n_listeners + 1, sizeof *marks);
  size_t n_steps;
  const es_map_step *steps = es_map_steps(kind, &n_steps);
  for (size_t i = 0; marks != NULL && i < answers->n_listeners; i++) {
    const es_listener *l = &setup->job->listeners.items[i];
    const es_path_answer *a = es_listener_answer(answers, pages->scenario, i);
    double value = a->status != ES_OK ? NAN : setup->timed ? a->heard_percent : a->snr_db[pages->percents->median];
    int class = es_map_class(kind, value);
    marks[i] = (es_placemark){l->name, card_text(pages, i), l->at, class < 0 ? ES_MARK_DASH : steps[class].shape};
  }
  return marks;
}

static int32_t write_kmz(const es_setup *setup, size_t scenario, const es_percentages *p, const es_map_cells *cells,
                         const float *values, const es_listener_answers *answers, const char *folder,
                         const char *run_id, es_error *err) {
  const es_job *job = setup->job;
  const es_scenario *s = &job->scenarios[scenario];
  es_map_kind kind = setup->timed ? ES_MAP_HEARD : ES_MAP_LEVEL;
  es_pages pages = {setup, p, answers, folder, run_id, ES_VERSION, scenario};
  es_placemark *marks = placemarks(&pages, kind);
  char *path = es_format("%s/map-%s.kmz", folder, s->name);
  char *sheet = es_format("%s/map-%s-%s.png", folder, setup->timed ? "heard" : "level", s->name);
  char *title = es_format("%s: %s, %s", job->beacon.name, es_map_quantity(kind), s->name);
  char *about = es_format("Antenna %g m above ground.\nPrediction, not measurement. Run %s.", s->height_m, run_id);
  es_map_ground ground = {cells->ground_m, cells->pitch, cells->zone};
  es_kmz kmz = {title, about, sheet, job->beacon.name, marks, answers->n_listeners};
  int32_t status = marks != NULL && path != NULL && sheet != NULL && title != NULL && about != NULL
                       ? es_kmz_write(path, &setup->frame, kind, values, &ground, &kmz, err)
                       : es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t i = 0; marks != NULL && i < answers->n_listeners; i++) free((void *)marks[i].card);
  free(marks);
  free(path);
  free(sheet);
  free(title);
  free(about);
  return status;
}

int32_t es_places_write(const es_setup *setup, size_t scenario, const es_percentages *percents,
                        const es_map_cells *cells, const es_map_layers *layers, const es_listener_answers *answers,
                        const char *folder, const char *run_id, es_error *err) {
  if (layers->n_percent == 0) return 0;
  const float *snr_db = layers->snr_db[es_map_median_layer(layers)];
  const float *values = setup->timed ? layers->heard_percent : snr_db;
  if (values == NULL) return 0;
  char *classes = es_format("%s/map-classes-%s.tif", folder, setup->job->scenarios[scenario].name);
  int32_t status = classes != NULL ? es_map_classes_write(classes, &setup->frame,
                                                          setup->timed ? ES_MAP_HEARD : ES_MAP_LEVEL, values, 1, err)
                                   : es_fail(err, ES_E_MEMORY, "out of memory");
  free(classes);
  if (status == 0) status = write_contours(setup, &setup->job->scenarios[scenario], snr_db, folder, err);
  if (status == 0) status = write_kmz(setup, scenario, percents, cells, values, answers, folder, run_id, err);
  return status;
}
