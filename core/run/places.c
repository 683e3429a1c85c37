#include "run/places.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "output/output.h"
#include "place/locator.h"
#include "run/sheets.h"
#include "run/table.h"
#include "run/verdict.h"

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
    levels[at] = (es_contour_level){modes->items[i].id, need};
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

/* What a placemark says: the main figures of the table. */
static char *placemark_text(const es_setup *setup, const es_percentages *p, const es_listener *l,
                            const es_path_answer *a) {
  char locator[11] = "";
  es_locator_format(l->at, 10, locator, NULL);
  if (a->status != ES_OK) return es_format("%s\nNo answer: no ground data.", locator);
  char share[24] = "", heard[64] = "";
  if (setup->timed) {
    es_year_text(setup, a->heard_percent, share, sizeof share);
    snprintf(heard, sizeof heard, "Heard %s of the year in %s\n", share, l->rx.mode);
  }
  return es_format("%s\n%.1f km from the beacon at %03.0f degrees\n%sSignal over noise %.0f dB in 2500 Hz, half of the "
                   "time\nComes by: %s\nPoint the antenna to %03.0f degrees\nPrediction, not measurement.",
                   locator, a->course.dist_m / 1e3, fmod(round(a->course.azimuth_deg), 360.0), heard,
                   a->snr_db[p->median], es_way_name(a->winner[p->median]),
                   fmod(round(a->course.back_azimuth_deg), 360.0));
}

static es_placemark *placemarks(const es_setup *setup, size_t scenario, const es_percentages *p,
                                const es_listener_answers *answers, es_map_kind kind) {
  es_placemark *marks = calloc(answers->n_listeners + 1, sizeof *marks);
  size_t n_steps;
  const es_map_step *steps = es_map_steps(kind, &n_steps);
  for (size_t i = 0; marks != NULL && i < answers->n_listeners; i++) {
    const es_listener *l = &setup->job->listeners.items[i];
    const es_path_answer *a = es_listener_answer(answers, scenario, i);
    double value = a->status != ES_OK ? NAN : setup->timed ? a->heard_percent : a->snr_db[p->median];
    int class = es_map_class(kind, value);
    marks[i] =
        (es_placemark){l->name, placemark_text(setup, p, l, a), l->at, class < 0 ? ES_MARK_DASH : steps[class].shape};
  }
  return marks;
}

static int32_t write_kmz(const es_setup *setup, size_t scenario, const es_percentages *p, const es_map_cells *cells,
                         const float *values, const es_listener_answers *answers, const char *folder,
                         const char *run_id, es_error *err) {
  const es_job *job = setup->job;
  const es_scenario *s = &job->scenarios[scenario];
  es_map_kind kind = setup->timed ? ES_MAP_HEARD : ES_MAP_LEVEL;
  es_placemark *marks = placemarks(setup, scenario, p, answers, kind);
  char *path = es_format("%s/map-%s.kmz", folder, s->name);
  char *sheet = es_format("%s/map-%s-%s.png", folder, setup->timed ? "heard" : "level", s->name);
  char *title = es_format("%s: %s, %s", job->beacon.name, es_map_quantity(kind), s->name);
  char *about = es_format("Antenna %g m above ground.\nPrediction, not measurement. Run %s.", s->height_m, run_id);
  es_map_ground ground = {cells->ground_m, cells->zone};
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
