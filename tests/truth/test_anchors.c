/* test_anchors.c - reports of what was heard at microwaves, each a row with wide gates and its source.
 *
 * The reports seldom give terrain and heights: the ground is taken smooth and level, heights are those of the row. A gate
 * asks whether the program comes out on the right side, not whether it is exact. What needs aircraft, rain scatter or
 * foliage is tested with those models.                                                                               */
#include "near.h"

#include <stdio.h>
#include <stdlib.h>

#include "run/profile.h"

/* ground: of both ends and the surface between; hill: the ends stand this much higher. */
typedef struct anchor {
  const char *name; /* what was measured, where it is told */
  double freq_ghz, dist_km, lat_deg;
  uint8_t zone;
  double hill_m, tx_agl_m, rx_agl_m, tx_dbi, rx_dbi;
  double percent, less_percent; /* loss at percent, less that at less_percent; 0: free space; negative: nothing */
  double min_db, max_db;
  uint32_t chains;        /* bit 1 << es_chain_kind */
  const char *carried_by; /* the way with the least loss at `percent`; NULL: any */
} anchor;

enum { WHOLE_YEAR = 1 << ES_CHAIN_WHOLE_YEAR, BOTH = WHOLE_YEAR | 1 << ES_CHAIN_OPENINGS };

/* What a listener hears with NF 1 dB and 200 K at the antenna: -154.2 dBm in 100 Hz; an ear needs -0.6 dB there. */
static const anchor anchors[] = {
    /* 250 mW ERP (26.1 dBm EIRP) to a 0.9 m dish, 37.2 dBi: 63.4 + 154.2 + 0.6 = 218.2 dB is audible. */
    {"10 GHz beacon, 250 mW ERP, heard nearly always at 155 km; UK amateur page on the band: within 10 dB of audible",
     10.368, 155, 52, ES_ZONE_INLAND, 0, 30, 10, 2.2, 37.2, 50, -1, 190, 228.2, BOTH, "troposcatter"},
    {"10 GHz, the same path: 30 to 40 dB more in an opening, here of 0.1 % of the time; UK amateur page on the band",
     10.368, 155, 52, ES_ZONE_COAST, 0, 30, 10, 2.2, 37.2, 50, 0.1, 15, 60, BOTH, NULL},
    /* 10 W, 0.6 m dishes, JT65C: 40 + 33.7 + 33.7 + 165.2 dB. */
    {"10 GHz, 526 km by scatter, 10 W and 0.6 m dishes; Australian amateur papers on 10 GHz scatter: possible", 10.368,
     526, -35, ES_ZONE_INLAND, 0, 20, 20, 33.7, 33.7, 50, -1, 230, 272.6, BOTH, "troposcatter"},
    /* 7.7 times the line of sight: 17.3 km, 4.4 m at both ends. */
    {"X band, 133 km over sea, 54 days: loss below 200 dB for half the time; doi 10.3389/fmars.2023.1077470: duct wins",
     9.4, 133, 30, ES_ZONE_SEA, 0, 4.4, 4.4, 30, 30, 10, -1, 130, 200, BOTH, "ducting"},
    {"X band, 53 km over sea: swing of 42 dB between sea and land breeze; paper on rainfall and ducts, South China Sea",
     9.4, 53, 20, ES_ZONE_SEA, 0, 10, 10, 30, 30, 90, 1, 20, 90, WHOLE_YEAR, NULL},
    {"3 cm, Po valley, 100 km of land: not heard in standard air; DTIC ADP003900: far below free space at the median",
     9.4, 100, 45, ES_ZONE_INLAND, 0, 20, 20, 30, 30, 50, 0, 45, 120, BOTH, NULL},
    {"3 cm, Adriatic, 140 km: not heard in standard air; DTIC ADP003900: far below free space at the median", 9.4, 140,
     45, ES_ZONE_SEA, 0, 20, 20, 30, 30, 50, 0, 45, 120, BOTH, NULL},
    {"10 GHz over sea within the horizon: 5 to 30 dB of loss frequent; paper on a 10 Gc/s oversea path", 10.0, 30, 52,
     ES_ZONE_SEA, 0, 30, 30, 30, 30, 99.9, 50, 5, 40, WHOLE_YEAR, NULL},
    {"8.4 GHz, 160 km in line of sight, 18 months: reliable; doi 10.1109/TCOM.1982.1095659: near free space", 8.4, 160,
     35, ES_ZONE_INLAND, 1000, 20, 20, 40, 40, 50, 0, -3, 10, BOTH, "surface"},
    {"8.4 GHz, 160 km in line of sight, 18 months: reliable; doi 10.1109/TCOM.1982.1095659: fades of 1 % of the time",
     8.4, 160, 35, ES_ZONE_INLAND, 1000, 20, 20, 40, 40, 99, 50, 0, 35, WHOLE_YEAR, "surface"},
};

enum { POINTS = 501, ANCHORS = sizeof anchors / sizeof *anchors };

typedef struct ground {
  double dist_km[POINTS], ground_m[POINTS];
  uint8_t zone[POINTS];
} ground;

/* Hills of 2 % of the length at either end. */
static void make_ground(const anchor *a, ground *g) {
  for (int i = 0; i < POINTS; i++) {
    g->dist_km[i] = a->dist_km * i / (POINTS - 1);
    int from_end = i < POINTS - 1 - i ? i : POINTS - 1 - i;
    g->ground_m[i] = fmax(0.0, a->hill_m * (1.0 - from_end / 10.0));
    g->zone[i] = a->zone;
  }
}

static es_profile_job job_of(const anchor *a, ground *g, es_chain_kind chain, double percent[2]) {
  static char name[] = "anchor";
  double lon_deg = a->dist_km / (111.3 * cos(a->lat_deg * 3.14159265358979 / 180.0));
  es_profile_job job = {.path = name,
                        .profile_path = name,
                        .n = POINTS,
                        .dist_km = g->dist_km,
                        .ground_m = g->ground_m,
                        .zone = g->zone,
                        .freq_ghz = a->freq_ghz,
                        .polarisation = ES_HORIZONTAL,
                        .chain = chain,
                        .convention = (int32_t)chain,
                        .earth_radius_km = NAN,
                        .time_percent = percent,
                        .n_time_percent = 2,
                        .beacon_at = {0.0, a->lat_deg},
                        .listener_at = {lon_deg, a->lat_deg},
                        .has_positions = true,
                        .beacon_height_m = a->tx_agl_m,
                        .listener_height_m = a->rx_agl_m,
                        .beacon_gain_dbi = a->tx_dbi,
                        .listener_gain_dbi = a->rx_dbi,
                        .sea_distance_km = {NAN, NAN}};
  for (int side = 0; side < 3; side++)
    for (int key = 0; key < ES_CLIMATE_KEYS; key++) job.climate.value[side][key] = NAN;
  return job;
}

static double real_of(const json_t *object, const char *key) {
  const json_t *value = json_object_get(object, key);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

static const char *least_way(const json_t *ways) {
  const char *name, *least = "none";
  json_t *way;
  double loss = INFINITY;
  json_object_foreach((json_t *)(uintptr_t)ways, name, way) {
    if (!(real_of(way, "basic_loss_db") < loss)) continue;
    loss = real_of(way, "basic_loss_db");
    least = name;
  }
  return least;
}

static double free_space_db(const anchor *a) { return 92.448 + 20.0 * log10(a->freq_ghz * a->dist_km); }

static void check(const anchor *a, es_chain_kind chain) {
  const char *models = ES_MODELS;
  es_model_folders folders = {.named = &models, .n_named = 1};
  es_faults faults = {0};
  double percent[2] = {a->percent, a->less_percent > 0.0 ? a->less_percent : a->percent};
  ground *g = malloc(sizeof *g);
  assert_non_null(g);
  make_ground(a, g);
  es_profile_job job = job_of(a, g, chain, percent);
  json_t *answer = es_profile_evaluate(&job, &folders, &faults);
  assert_int_equal(faults.n_faults, 0);
  const json_t *results = json_object_get(answer, "results"), *first = json_array_get(results, 0);
  double db = real_of(first, "basic_loss_db");
  if (a->less_percent > 0.0) db -= real_of(json_array_get(results, 1), "basic_loss_db");
  if (a->less_percent == 0.0) db -= free_space_db(a);
  const char *way = least_way(json_object_get(first, "ways"));
  if (!(db >= a->min_db && db <= a->max_db)) fail_msg("%s: %.1f dB, want %g to %g", a->name, db, a->min_db, a->max_db);
  if (a->carried_by != NULL) assert_string_equal(way, a->carried_by);
  json_decref(answer);
  es_faults_free(&faults);
  free(g);
}

static void holds(void **state) {
  const anchor *a = *state;
  for (int chain = ES_CHAIN_WHOLE_YEAR; chain <= ES_CHAIN_OPENINGS; chain++)
    if ((a->chains >> chain & 1) != 0) check(a, (es_chain_kind)chain);
}

int main(void) {
  struct CMUnitTest tests[ANCHORS];
  for (size_t i = 0; i < ANCHORS; i++)
    tests[i] = (struct CMUnitTest){anchors[i].name, holds, NULL, NULL, (void *)(uintptr_t)&anchors[i]};
  return cmocka_run_group_tests_name("anchors", tests, NULL, NULL);
}
