/* draw_sample.c - draws every kind of map sheet over the invented island, to be looked at:
 * draw_sample FOLDER [radius_km [lon lat [scale [marks]]]]                                                              */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "island.h"

static const char *const NAMES[] = {"level", "heard", "way", "loss", "clearance", "difference"};

static int draw(const char *folder, es_lonlat beacon, double radius_m, int scale, size_t marks, es_map_kind kind) {
  island s = island_make(beacon, radius_m, 1400, kind, marks, 11);
  es_map_ground ground = {s.ground_m, (size_t)s.frame.cols, s.zone};
  es_sheet sheet = island_sheet(kind);
  sheet.scale = scale;
  char *path = es_format("%s/map-%s.png", folder, NAMES[kind]);
  es_error err = {0};
  int32_t status =
      path == NULL ? 1 : es_map_sheet_write(path, &s.frame, s.values, &ground, s.marks, s.n_marks, &sheet, &err);
  if (status != ES_OK) fprintf(stderr, "%s\n", err.detail);
  free(path);
  island_free(&s);
  return status != ES_OK;
}

enum { SAMPLES = 1249 };

/* A path like the island's: a cliff, a strait, woods, a ridge, a gap without data; trees near the listener. */
static int draw_profile(const char *folder, int scale) {
  static double dist_m[SAMPLES], ground_m[SAMPLES], top_m[SAMPLES];
  static uint8_t zone[SAMPLES], known[SAMPLES];
  for (int i = 0; i < SAMPLES; i++) {
    double km = 0.05 * i, rough = 6.0 * sin(1.1 * km) + 3.0 * sin(2.9 * km + 1.0) + 0.6 * sin(9.0 * km);
    double hill = 26.0 * exp(-pow((km - 41.4) / 3.0, 2.0)), cliff = 168.0 * exp(-pow(km / 3.2, 2.0));
    bool sea = km > 6.5 && km < 16.5;
    dist_m[i] = 1000.0 * km;
    ground_m[i] = sea ? 0.0
                      : cliff + (km > 16.5 ? 30.0 * (1.0 - exp(-(km - 16.5))) + rough + hill +
                                                 30.0 * exp(-pow((km - 62.4) / 4.0, 2.0))
                                           : fmax(0.1 * rough + 1.0, 0.3));
    zone[i] = sea ? ES_ZONE_SEA : ES_ZONE_COAST;
    known[i] = !(km > 51.0 && km < 53.0);
    top_m[i] = ((km > 19 && km < 23) || (km > 33 && km < 36) || (km > 54 && km < 58)) ? ground_m[i] + 17.0 : NAN;
  }
  es_profile_trees trees = {62100.0, 120.0, 14.0, 3.0};
  es_profile_sheet s = {
      .eyebrow = "Q7XAN FROM SKARN HEAD",
      .verdict = "Voice (SSB) 76 % of the year in leaf, 99 % when the trees are bare",
      .limits = "What limits it: the trees 0.30 km in front of Q7XAN. They stand 3.4 m above the sight line and cost "
                "19 dB in leaf.",
      .helps = "What would help most: 5 m more mast at Q7XAN (+18 dB), or trimming those trees to 9 m (+17 dB).",
      .beacon_name = "Skarn Head",
      .listener_name = "Q7XAN",
      .n = SAMPLES,
      .dist_m = dist_m,
      .ground_m = ground_m,
      .top_m = top_m,
      .zone = zone,
      .known = known,
      .beacon_mast_m = 18.0,
      .listener_mast_m = 10.0,
      .freq_ghz = 10.368875,
      .earth_radius_m = 8495e3,
      .radius_note = "median air, 50 % of the time",
      .bearing_deg = 236.9,
      .back_bearing_deg = 56.4,
      .trees = &trees,
      .n_trees = 1,
      .worst = {62160.0, ground_m[1243] + 14.0, "worst point: trees 0.30 km from Q7XAN",
                "3.4 m above the sight line (1.2 of the zone)"},
      .next = {41400.0, ground_m[828], "next closest: ridge at 41.4 km", "6 m below the line (0.30 of the zone)"},
      .near_beacon = "nothing in the zone: nearest ground 17 m below the line",
      .near_listener = "trees from your list: top 14 m, base 3 m, 120 m deep",
      .foot = "Ground: made-up island, 3″ steps, 2024.",
      .scale = scale};
  char *path = es_format("%s/profile.png", folder);
  es_error err = {0};
  int32_t status = path == NULL ? 1 : es_profile_sheet_write(path, &s, &err);
  if (status != ES_OK) fprintf(stderr, "%s\n", err.detail);
  free(path);
  return status != ES_OK;
}

int main(int argc, char **argv) {
  if (argc < 2) {
    fprintf(stderr, "draw_sample FOLDER [radius_km [lon lat [scale [marks]]]]\n");
    return 2;
  }
  double radius_km = argc > 2 ? atof(argv[2]) : 150.0;
  es_lonlat beacon = {argc > 3 ? atof(argv[3]) : -36.1234, argc > 4 ? atof(argv[4]) : 46.5678};
  int scale = argc > 5 ? atoi(argv[5]) : 1, failed = 0;
  size_t marks = argc > 6 ? (size_t)atoi(argv[6]) : 30;
  for (int kind = ES_MAP_LEVEL; kind <= ES_MAP_DIFFERENCE; kind++)
    failed |= draw(argv[1], beacon, radius_km * 1000.0, scale, marks, (es_map_kind)kind);
  return failed | draw_profile(argv[1], scale);
}
