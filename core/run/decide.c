#include "run/decide.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/large.h"
#include "base/text.h"
#include "run/sheets.h"

struct es_decision {
  const es_setup *setup;
  const es_percentages *percents;
  const es_listener_answers *answers;
  es_decision_place place;
  es_pair *pairs;
  size_t n_pairs;
  es_area *area;  /* [scenario] */
  float **median; /* [scenario] the layer, as es_map_layer_create() makes it, when a pair waits for it; NULL */
  bool mapped;
};

/* --- pairs ---------------------------------------------------------------------------------------------------------- */

/* The first scenario and the best of its rivals, going by listeners: maps are not there yet. */
static bool choose_pair(es_decision *d) {
  es_ranking ranking;
  es_error err = {0};
  if (d->setup->job->n_scenarios < 2 || d->answers->n_listeners == 0) return true;
  if (es_ranking_make(d->setup, d->percents, d->answers, NULL, &ranking, &err) != 0) return false;
  size_t best = es_ranking_best(&ranking, 0);
  es_ranking_free(&ranking);
  if (best != 0) d->pairs[d->n_pairs++] = (es_pair){0, best};
  return true;
}

es_decision *es_decision_open(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                              es_decision_place place) {
  const es_job *job = setup->job;
  es_decision *d = calloc(1, sizeof *d);
  if (d == NULL) return NULL;
  *d = (es_decision){setup,
                     percents,
                     answers,
                     place,
                     calloc(job->n_pairs + 1, sizeof *d->pairs),
                     0,
                     malloc(job->n_scenarios * sizeof *d->area),
                     calloc(job->n_scenarios, sizeof *d->median),
                     false};
  bool ok = d->pairs != NULL && d->area != NULL && d->median != NULL;
  for (size_t s = 0; ok && s < job->n_scenarios; s++) d->area[s] = (es_area){NAN, NAN, NAN};
  for (size_t i = 0; ok && i < job->n_pairs; i++) d->pairs[d->n_pairs++] = job->pairs[i];
  if (ok && job->n_pairs == 0) ok = choose_pair(d);
  if (ok) return d;
  es_decision_close(d);
  return NULL;
}

void es_decision_close(es_decision *d) {
  if (d == NULL) return;
  for (size_t s = 0; d->median != NULL && s < d->setup->job->n_scenarios; s++) es_large_free(d->median[s]);
  free(d->median);
  free(d->area);
  free(d->pairs);
  free(d);
}

/* --- areas ---------------------------------------------------------------------------------------------------------- */

/* Cells whose median reaches what is needed. */
static double area_above(const es_frame *f, const float *snr_db, double needed_db) {
  size_t n = 0, cells = (size_t)f->cols * (size_t)f->rows;
  for (size_t i = 0; i < cells; i++) n += snr_db[i] >= needed_db;
  return (double)n * f->cell_m * f->cell_m / 1e6;
}

/* Covered for the aim's share of the time, by the map's own mode. What one sigma of power and model does to it is seen on
 * the median. */
static es_area area_of(const es_setup *setup, const es_map_layers *layers) {
  const es_job *job = setup->job;
  const es_frame *f = &setup->frame;
  const es_mode *mode = es_mode_find(&job->modes, job->map.receiver.mode);
  const float *median = layers->snr_db[es_map_median_layer(layers)];
  double needed_db = mode != NULL ? mode->snr_2500_db : NAN;
  double model_db = isnan(job->spread.model_db) ? setup->model_sigma.db[ES_KIND_EDGES] : job->spread.model_db;
  double sigma_db = hypot(model_db, job->beacon.power_sigma_db), middle = area_above(f, median, needed_db);
  double km2 = middle;
  if (layers->heard_percent != NULL) km2 = area_above(f, layers->heard_percent, job->aim.time_percent);
  return (es_area){km2, km2 + area_above(f, median, needed_db + sigma_db) - middle,
                   km2 + area_above(f, median, needed_db - sigma_db) - middle};
}

/* --- maps of pairs -------------------------------------------------------------------------------------------------- */

static bool waits_for(const es_decision *d, size_t scenario, size_t after) {
  for (size_t i = 0; i < d->n_pairs; i++) {
    const es_pair *p = &d->pairs[i];
    size_t later = p->from > p->to ? p->from : p->to;
    if ((p->from == scenario || p->to == scenario) && later > after) return true;
  }
  return false;
}

/* Scenarios come in their order: the later one's plane is that of the picture. */
static int32_t write_change(es_decision *d, size_t number, const es_map_cells *cells, const float *layer,
                            size_t scenario, es_error *err) {
  es_pair pair = d->pairs[number];
  size_t other = pair.from == scenario ? pair.to : pair.from;
  const es_frame *mine = &es_setup_in(d->setup, scenario)->frame, *theirs = &es_setup_in(d->setup, other)->frame;
  bool forward = pair.to == scenario;
  float *change = es_map_layer_create(d->setup, cells->n);
  char *stem = es_format("compare-%02zu", number + 1);
  if (change == NULL || stem == NULL) {
    es_large_free(change);
    free(stem);
    return es_fail(err, ES_E_MEMORY, "out of memory");
  }
  if (forward)
    es_compare_layers(mine, theirs, d->median[other], mine, layer, change);
  else
    es_compare_layers(mine, mine, layer, theirs, d->median[other], change);
  es_change_sheet sheet = {stem, pair, scenario};
  int32_t status = es_change_write(es_setup_in(d->setup, scenario), &sheet, d->percents, cells, change, d->answers,
                                   d->place.folder, d->place.run_id, d->place.threads, err);
  es_large_free(change);
  free(stem);
  return status;
}

static int32_t write_changes(es_decision *d, size_t scenario, const es_map_cells *cells, const float *layer,
                             es_error *err) {
  int32_t status = 0;
  for (size_t i = 0; status == 0 && i < d->n_pairs; i++) {
    const es_pair *p = &d->pairs[i];
    size_t earlier = p->from < p->to ? p->from : p->to, later = p->from < p->to ? p->to : p->from;
    if (later == scenario && d->median[earlier] != NULL) status = write_change(d, i, cells, layer, scenario, err);
  }
  for (size_t s = 0; s < scenario; s++) {
    if (d->median[s] == NULL || waits_for(d, s, scenario)) continue;
    es_large_free(d->median[s]);
    d->median[s] = NULL;
  }
  return status;
}

int32_t es_decision_take_map(es_decision *d, size_t scenario, const es_map_cells *cells, const es_map_layers *layers,
                             es_error *err) {
  if (layers->n_percent == 0) return 0;
  const float *layer = layers->snr_db[es_map_median_layer(layers)];
  d->mapped = true;
  d->area[scenario] = area_of(es_setup_in(d->setup, scenario), layers);
  int32_t status = write_changes(d, scenario, cells, layer, err);
  if (status != 0 || !waits_for(d, scenario, scenario)) return status;
  d->median[scenario] = es_map_layer_create(d->setup, layers->n_cells);
  if (d->median[scenario] == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  memcpy(d->median[scenario], layer, layers->n_cells * sizeof *layer);
  es_large_rest(d->median[scenario]);
  return 0;
}

const es_area *es_decision_areas(const es_decision *d) { return d->mapped ? d->area : NULL; }

/* --- the end -------------------------------------------------------------------------------------------------------- */

int32_t es_decision_finish(es_decision *d, char *sentence, size_t n, es_error *err) {
  sentence[0] = '\0';
  if (d->setup->job->n_scenarios < 2) return 0;
  es_ranking ranking;
  int32_t status = es_ranking_make(d->setup, d->percents, d->answers, es_decision_areas(d), &ranking, err);
  if (status != 0) return status;
  es_ranking_sentence(&ranking, sentence, n);
  status = es_ranking_write(&ranking, d->percents, d->answers, d->place.folder, err);
  for (size_t i = 0; status == 0 && i < d->n_pairs; i++)
    status = es_compare_write(&ranking, d->percents, d->answers, d->pairs[i], i + 1, d->place.folder, err);
  es_ranking_free(&ranking);
  return status;
}
