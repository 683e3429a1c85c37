/* draw_sample.c - draws every kind of map sheet over the invented island, to be looked at:
 * draw_sample FOLDER [radius_km [lon lat [scale [marks]]]]                                                              */
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "island.h"

static const char *const NAMES[] = {"level", "heard", "way", "loss", "clearance", "difference"};

static int draw(const char *folder, es_lonlat beacon, double radius_m, int scale, size_t marks, es_map_kind kind) {
  island s = island_make(beacon, radius_m, 1400, kind, marks, 11);
  es_map_ground ground = {s.ground_m, s.zone};
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
  return failed;
}
