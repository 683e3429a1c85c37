#include "run/trees.h"

#include "output/files.h"

#include <math.h>
#include <string.h>

const char *const es_through_names[ES_THROUGH_METHODS] = {"p833", "weissberger", "cost235", "fitted-itu",
                                                          "radiative-transfer"};
static const char *const way_names[3] = {"surface", "ducting", "troposcatter"};

es_trees_answer es_trees_nothing(void) {
  es_trees_answer t = {.loss_db = NAN,
                       .low_db = NAN,
                       .middle_db = NAN,
                       .high_db = NAN,
                       .no_trees_loss_db = NAN,
                       .no_trees_snr_db = NAN,
                       .trimmed_loss_db = NAN,
                       .trimmed_snr_db = NAN,
                       .flutter_db = NAN,
                       .flutter_hz = NAN};
  for (int w = 0; w < 3; w++) {
    t.end_db[w] = NAN;
    for (int m = 0; m < ES_THROUGH_METHODS; m++) t.method_db[w][m] = NAN;
  }
  return t;
}

/* "foliage troposcatter cost235" */
bool es_trees_note(es_trees_answer *t, const char *symbol, double value) {
  static const char prefix[] = "foliage ";
  if (strncmp(symbol, prefix, sizeof prefix - 1) != 0) return false;
  const char *way = symbol + sizeof prefix - 1, *method = strchr(way, ' ');
  for (int w = 0; w < 3 && method != NULL; w++)
    for (int m = 0; m < ES_THROUGH_METHODS; m++)
      if (strncmp(way, way_names[w], strlen(way_names[w])) == 0 && strcmp(method + 1, es_through_names[m]) == 0)
        t->method_db[w][m] = value;
  return true;
}

static void sort(double *v, int n) {
  for (int i = 1; i < n; i++)
    for (int j = i; j > 0 && v[j - 1] > v[j]; j--) {
      double keep = v[j];
      v[j] = v[j - 1];
      v[j - 1] = keep;
    }
}

void es_flutter(double wind_m_s, double *db, double *hz) {
  *db = fmin(0.25 * wind_m_s, 6.0);
  *hz = 0.1 * pow(100.0, fmin(wind_m_s, 10.0) / 10.0); /* 0.1 Hz in calm air to 10 Hz at 10 m/s */
}

void es_trees_close(es_trees_answer *t, int way, double wind_m_s) {
  double methods[ES_THROUGH_METHODS];
  int n = 0;
  t->loss_db = t->end_db[way];
  for (int m = 0; m < ES_THROUGH_METHODS; m++)
    if (!isnan(t->method_db[way][m])) methods[n++] = t->method_db[way][m];
  if (n > 0) {
    sort(methods, n);
    t->low_db = methods[0];
    t->middle_db = methods[n / 2];
    t->high_db = methods[n - 1];
  }
  if (!isnan(wind_m_s) && t->loss_db > 0.0) es_flutter(wind_m_s, &t->flutter_db, &t->flutter_hz);
}

/* --- record ------------------------------------------------------------------------------------------------------------- */

static json_t *block_record(const es_blocking *b, double under_m) {
  static const char *const kinds[] = {"nothing", "broadleaf", "conifer", "mixed", "building or ridge"};
  json_t *record = json_object();
  json_object_set_new(record, "antenna_below_own_canopy_m", es_json_number(under_m));
  if (!b->any) return record;
  json_object_set_new(record, "kind", json_string(kinds[b->leaf <= 4 ? b->leaf : 0]));
  json_object_set_new(record, "from_m", es_json_number(b->from_m));
  json_object_set_new(record, "depth_m", es_json_number(b->depth_m));
  json_object_set_new(record, "ray_below_top_m", es_json_number(b->below_m));
  json_object_set_new(record, "ray_below_top_f1", es_json_number(b->below_f1));
  json_object_set_new(record, "extra_height_m", es_json_number(b->extra_m));
  return record;
}

json_t *es_trees_record(const es_trees_answer *t, const es_trees_plan *plan) {
  json_t *ways = json_object(), *methods = json_object();
  for (int w = 0; w < 3; w++) {
    if (isnan(t->end_db[w])) continue;
    json_object_set_new(ways, way_names[w], es_json_number(t->end_db[w]));
    json_t *of = json_object();
    for (int m = 0; m < ES_THROUGH_METHODS; m++)
      json_object_set_new(of, es_through_names[m], es_json_number(t->method_db[w][m]));
    json_object_set_new(methods, way_names[w], of);
  }
  json_t *record = json_pack(
      "{s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:{s:o,s:o}}", "loss_db", es_json_number(t->loss_db), "low_db",
      es_json_number(t->low_db), "middle_db", es_json_number(t->middle_db), "high_db", es_json_number(t->high_db),
      "by_way_db", ways, "by_method_db", methods, "no_trees_loss_db", es_json_number(t->no_trees_loss_db),
      "no_trees_snr_2500hz_db", es_json_number(t->no_trees_snr_db), "blocking", "beacon",
      block_record(&t->block[0], t->under_m[0]), "listener", block_record(&t->block[1], t->under_m[1]));
  if (!isnan(plan->trim_to_m))
    json_object_set_new(record, "trimmed",
                        json_pack("{s:o,s:o,s:o}", "to_m", es_json_number(plan->trim_to_m), "basic_loss_db",
                                  es_json_number(t->trimmed_loss_db), "snr_2500hz_db",
                                  es_json_number(t->trimmed_snr_db)));
  if (!isnan(t->flutter_db))
    json_object_set_new(record, "wind_unverified",
                        json_pack("{s:o,s:o,s:o}", "wind_m_s", es_json_number(plan->wind_m_s), "flutter_sigma_db",
                                  es_json_number(t->flutter_db), "flutter_rate_hz", es_json_number(t->flutter_hz)));
  if (t->loss_db > 0.0)
    json_object_set_new(record, "wet_leaves_unverified", json_string("2 to 5 dB more for some 10 m of leaves"));
  return record;
}
