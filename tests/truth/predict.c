#include "predict.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "run/profile.h"

const char *const truth_way_names[TRUTH_WAYS] = {"surface", "ducting", "troposcatter"};

enum { MOST_PERCENTAGES = 64 };

/* --- which way carries the answer --------------------------------------------------------------------------------- */

static double real_of(const json_t *object, const char *key) {
  const json_t *value = json_object_get(object, key);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

/* The gains are constants here, so the least basic loss is the least system loss too. */
static uint8_t least_way(const json_t *ways) {
  double least = INFINITY;
  uint8_t at = TRUTH_SURFACE;
  for (uint8_t i = 0; i < TRUTH_WAYS; i++) {
    double loss = real_of(json_object_get(ways, truth_way_names[i]), "basic_loss_db");
    if (!(loss < least)) continue;
    least = loss;
    at = i;
  }
  return at;
}

/* The rule of the openings model, from the letters it reports. */
static uint8_t blended_way(const json_t *of) {
  if (real_of(of, "Lbs") < real_of(of, "Lbam")) return TRUTH_SCATTER;
  bool duct =
      real_of(of, "Lminbap") <= real_of(of, "Lbd") && (1.0 - real_of(of, "Fk")) * (1.0 - real_of(of, "Fj")) > 0.5;
  return duct ? TRUTH_DUCT : TRUTH_SURFACE;
}

/* --- one path as a job -------------------------------------------------------------------------------------------- */

typedef struct request {
  es_profile_job job;
  double percent[MOST_PERCENTAGES];
  es_model_setting settings[TRUTH_SETTINGS];
  char words[TRUTH_SETTINGS][3][24]; /* a setting's strings belong to the job and are not const there */
} request;

static void set_climate(const truth_path *path, const truth_form *form, es_climate_plan *plan) {
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) plan->value[side][key] = NAN;
  if (form->climate != TRUTH_CLIMATE_BANK) return;
  plan->value[0][ES_N0] = path->n0;
  plan->value[0][ES_DELTA_N] = path->dn;
  plan->value[0][ES_DELTA_N_MEDIAN] = path->dn;
}

static void set_settings(const truth_form *form, request *r) {
  for (int i = 0; i < TRUTH_SETTINGS && form->set[i].model != NULL; i++) {
    const char *const text[3] = {form->set[i].model, form->set[i].key, form->set[i].value};
    for (int k = 0; k < 3; k++) snprintf(r->words[i][k], sizeof r->words[i][k], "%s", text[k]);
    r->settings[i] = (es_model_setting){r->words[i][0], r->words[i][1], r->words[i][2], 0};
    r->job.n_settings++;
  }
  r->job.settings = r->settings;
}

static void make_request(const truth_path *path, const truth_form *form, uint8_t *zone, request *r) {
  static char name[] = "measured path";
  r->job = (es_profile_job){.path = name,
                            .profile_path = name,
                            .n = path->n,
                            .dist_km = path->dist_km,
                            .ground_m = path->ground_m,
                            .zone = zone,
                            .freq_ghz = path->freq_ghz,
                            .polarisation = ES_VERTICAL,
                            .chain = form->chain,
                            .convention = (int32_t)form->chain,
                            .earth_radius_km = NAN,
                            .time_percent = r->percent,
                            .beacon_at = path->tx,
                            .listener_at = path->rx,
                            .has_positions = true,
                            .beacon_height_m = path->tx_agl_m,
                            .listener_height_m = path->rx_agl_m,
                            .beacon_gain_dbi = path->tx_gain_dbi,
                            .listener_gain_dbi = path->rx_gain_dbi,
                            .sea_distance_km = {NAN, NAN}};
  set_climate(path, form, &r->job.climate);
  set_settings(form, r);
}

/* --- all paths ---------------------------------------------------------------------------------------------------- */

static void take_results(const json_t *answer, const truth_form *form, size_t from, size_t n, truth_answer *out) {
  const json_t *results = json_object_get(answer, "results");
  for (size_t k = 0; k < n; k++) {
    const json_t *one = json_array_get(results, k);
    out->loss_db[from + k] = real_of(one, "basic_loss_db");
    out->way[from + k] = form->chain == ES_CHAIN_OPENINGS ? blended_way(json_object_get(one, "symbols"))
                                                          : least_way(json_object_get(one, "ways"));
  }
}

/* Values from..from+n belong to one path. */
static void predict_path(const truth_bank *bank, const truth_form *form, const es_model_folders *folders,
                         const truth_zone_set *zones, size_t from, size_t n, truth_answer *out, es_faults *faults) {
  const truth_path *path = &bank->paths[bank->values[from].path];
  request *r = calloc(1, sizeof *r);
  if (r == NULL)
    es_fault_add(faults, NULL, 0, "out of memory");
  else {
    make_request(path, form, zones->zone[form->zoning][bank->values[from].path], r);
    for (size_t k = 0; k < n; k++) r->percent[k] = bank->values[from + k].percent;
    r->job.n_time_percent = n;
    json_t *answer = es_profile_evaluate(&r->job, folders, faults);
    take_results(answer, form, from, n, out);
    json_decref(answer);
  }
  free(r);
}

bool truth_predict(const truth_bank *bank, const truth_form *form, const truth_zone_set *zones, const char *models,
                   truth_answer *out, es_faults *faults) {
  size_t before = faults->n_faults;
  es_model_folders folders = {.named = &models, .n_named = 1};
  *out = (truth_answer){calloc(bank->n_values, sizeof *out->loss_db), calloc(bank->n_values, 1)};
  if (out->loss_db == NULL || out->way == NULL) {
    es_fault_add(faults, NULL, 0, "out of memory");
    return false;
  }
  for (size_t from = 0, n; from < bank->n_values; from += n) {
    for (n = 1; from + n < bank->n_values && bank->values[from + n].path == bank->values[from].path;) n++;
    if (n > MOST_PERCENTAGES)
      es_fault_add(faults, NULL, 0, "more than %d values of one path", MOST_PERCENTAGES);
    else
      predict_path(bank, form, &folders, zones, from, n, out, faults);
  }
  return faults->n_faults == before;
}

void truth_answer_fini(truth_answer *answer) {
  free(answer->loss_db);
  free(answer->way);
  *answer = (truth_answer){0};
}
