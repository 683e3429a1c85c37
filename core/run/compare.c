#include "run/compare.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "output/output.h"

/* --- maps ----------------------------------------------------------------------------------------------------------- */

static bool same_plane(const es_frame *a, const es_frame *b) {
  bool same_place = a->beacon.lon_deg == b->beacon.lon_deg && a->beacon.lat_deg == b->beacon.lat_deg;
  return a->kind == b->kind && a->cols == b->cols && a->rows == b->rows && a->cell_m == b->cell_m &&
         (a->kind == ES_FRAME_RASTER ? a->x0 == b->x0 && a->y0 == b->y0 : same_place);
}

/* A layer's value at the place of a cell of another plane about a beacon; NaN beside it. */
static float value_there(const es_frame *frame, int col, int row, const es_frame *theirs, const float *layer) {
  double dx, dy;
  es_frame_cell(frame, col, row, &dx, &dy);
  es_course way = es_geodesic_between(theirs->beacon, es_frame_place(frame, dx, dy));
  double x = theirs->beacon_x + way.dist_m * sin(es_rad(way.azimuth_deg)) - theirs->x0;
  double y = theirs->y0 - theirs->beacon_y - way.dist_m * cos(es_rad(way.azimuth_deg));
  double c = floor(x / theirs->cell_m), r = floor(y / theirs->cell_m);
  if (!(c >= 0.0 && r >= 0.0 && c < theirs->cols && r < theirs->rows)) return NAN;
  return layer[(size_t)r * (size_t)theirs->cols + (size_t)c];
}

void es_compare_layers(const es_frame *frame, const es_frame *from_frame, const float *from, const es_frame *to_frame,
                       const float *to, float *change) {
  bool from_here = same_plane(frame, from_frame), to_here = same_plane(frame, to_frame);
  size_t i = 0;
  for (int row = 0; row < frame->rows; row++)
    for (int col = 0; col < frame->cols; col++, i++) {
      float before = from_here ? from[i] : value_there(frame, col, row, from_frame, from);
      float after = to_here ? to[i] : value_there(frame, col, row, to_frame, to);
      change[i] = after - before;
    }
}

/* --- listeners ------------------------------------------------------------------------------------------------------ */

static double chance(const es_ranking *r, size_t scenario, size_t listener) {
  return r->chance[scenario * r->n_listeners + listener];
}

es_change es_compare_listener(const es_ranking *r, es_pair pair, size_t listener) {
  if (isnan(chance(r, pair.from, listener)) || isnan(chance(r, pair.to, listener))) return ES_NOT_COMPARED;
  bool before = chance(r, pair.from, listener) >= 0.5, after = chance(r, pair.to, listener) >= 0.5;
  if (before) return after ? ES_STAYS_HEARD : ES_LOST;
  return after ? ES_GAINED : ES_STAYS_UNHEARD;
}

bool es_compare_is_sure(const es_ranking *r, es_pair pair, size_t listener) {
  const es_job *job = r->setup->job;
  double p = chance(r, pair.from, listener), q = chance(r, pair.to, listener);
  bool same_site = es_job_in(job, pair.from)->site == es_job_in(job, pair.to)->site;
  return (q - p) * (q - p) > es_chance_variance(p, q, same_site);
}

static const char *const words[] = {"not heard", "lost", "gained", "heard", "no answer"};

static double median_db(const es_percentages *p, const es_path_answer *a) {
  return a->status == ES_OK ? a->snr_db[p->median] : NAN;
}

static int32_t write_csv(const es_ranking *r, const es_percentages *p, const es_listener_answers *answers, es_pair pair,
                         const char *path, es_error *err) {
  static const es_field fields[] = {{"name", ES_FIELD_TEXT, 0},
                                    {"change", ES_FIELD_TEXT, 0},
                                    {"sure", ES_FIELD_TEXT, 0},
                                    {"change_db", ES_FIELD_NUMBER, 2},
                                    {"snr_2500hz_db_from", ES_FIELD_NUMBER, 2},
                                    {"snr_2500hz_db_to", ES_FIELD_NUMBER, 2},
                                    {"heard_percent_from", ES_FIELD_NUMBER, 2},
                                    {"heard_percent_to", ES_FIELD_NUMBER, 2},
                                    {"chance_percent_from", ES_FIELD_NUMBER, 1},
                                    {"chance_percent_to", ES_FIELD_NUMBER, 1}};
  enum { N = sizeof fields / sizeof *fields };
  es_cell *cells = calloc(r->n_listeners * N + 1, sizeof *cells);
  if (cells == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  for (size_t l = 0; l < r->n_listeners; l++) {
    const es_path_answer *from = es_listener_answer(answers, pair.from, l),
                         *to = es_listener_answer(answers, pair.to, l);
    es_change change = es_compare_listener(r, pair, l);
    const es_cell row[N] = {{r->setup->job->listeners.items[l].name, NAN},
                            {words[change], NAN},
                            {es_compare_is_sure(r, pair, l) ? "yes" : "", NAN},
                            {NULL, median_db(p, to) - median_db(p, from)},
                            {NULL, median_db(p, from)},
                            {NULL, median_db(p, to)},
                            {NULL, from->heard_percent},
                            {NULL, to->heard_percent},
                            {NULL, 100.0 * chance(r, pair.from, l)},
                            {NULL, 100.0 * chance(r, pair.to, l)}};
    memcpy(&cells[l * N], row, sizeof row);
  }
  int32_t status = es_csv_write(path, fields, N, cells, r->n_listeners, err);
  free(cells);
  return status;
}

static json_t *names(const es_ranking *r, es_pair pair, es_change change) {
  json_t *list = json_array();
  for (size_t l = 0; l < r->n_listeners; l++)
    if (es_compare_listener(r, pair, l) == change)
      json_array_append_new(list,
                            json_pack("{s:o,s:b}", "name", json_string_nocheck(r->setup->job->listeners.items[l].name),
                                      "sure", es_compare_is_sure(r, pair, l)));
  return list;
}

static json_t *record(const es_ranking *r, es_pair pair) {
  static const char *const verdicts[] = {"from", "neither: the difference lies inside the spread", "to"};
  const es_score *from = &r->scores[pair.from], *to = &r->scores[pair.to];
  const es_scenario *all = r->setup->job->scenarios;
  return json_pack("{s:s,s:s,s:s,s:f,s:f,s:o,s:o,s:o,s:o}", "from", all[pair.from].name, "to", all[pair.to].name,
                   "better", verdicts[1 + es_ranking_compare(r, pair.to, pair.from)], "expected_listeners_from",
                   from->listeners, "expected_listeners_to", to->listeners, "covered_km2_from",
                   es_json_number(from->area.km2), "covered_km2_to", es_json_number(to->area.km2), "gained",
                   names(r, pair, ES_GAINED), "lost", names(r, pair, ES_LOST));
}

int32_t es_compare_write(const es_ranking *r, const es_percentages *percents, const es_listener_answers *answers,
                         es_pair pair, size_t number_, const char *folder, es_error *err) {
  char *csv = es_format("%s/compare-%02zu.csv", folder, number_),
       *json = es_format("%s/compare-%02zu.json", folder, number_);
  json_t *all = record(r, pair);
  int32_t status = csv != NULL && json != NULL && all != NULL ? 0 : es_fail(err, ES_E_MEMORY, "out of memory");
  if (status == 0) status = write_csv(r, percents, answers, pair, csv, err);
  if (status == 0) status = es_json_write(json, all, err);
  json_decref(all);
  free(csv);
  free(json);
  return status;
}
