/* make-island.c - makes the samples: make-island FOLDER writes them there; make-island --check FOLDER makes them in
 * memory and compares every pixel with the files in the folder.
 *
 *   elevation/N46W037.tif ...  four tiles of one degree that share their edge rows and columns, metres, Int16
 *   cover.tif, canopy.tif      classes and metres, Byte, over all four
 *   land.geojson               the coast as polygons: what lies outside them is sea, however far                        */
#include "files.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NODATA  (-32768)
#define COAST_M 0.5 /* between the sea, 0, and the lowest land, 1 */

/* The whole: the grid in the types of the files. */
typedef struct island {
  int16_t *elevation_m;
  uint8_t *cover, *canopy_m;
} island;

static void to_metres(const grid *g, int16_t *elevation_m) {
  for (size_t i = 0; i < (size_t)SIDE * SIDE; i++) {
    int16_t rounded = (int16_t)floor((double)g->height_m[i] + 0.5);
    elevation_m[i] = g->height_m[i] > 0.0f && rounded < 1 ? 1 : rounded; /* land is never the sea's 0 */
  }
}

static bool island_make(island *out) {
  size_t n = (size_t)SIDE * SIDE;
  grid g = {.side = SIDE, .every = 1, .height_m = calloc(n, sizeof *g.height_m)};
  bool *lake = calloc(n, sizeof *lake);
  *out = (island){malloc(n * sizeof *out->elevation_m), malloc(n), malloc(n)};
  bool done = g.height_m && lake && out->elevation_m && out->cover && out->canopy_m && relief_make(&g, lake);
  if (done) {
    cover_make(&g, lake, out->cover, out->canopy_m);
    to_metres(&g, out->elevation_m);
  }
  free(g.height_m);
  free(lake);
  return done;
}

static void island_free(island *i) {
  free(i->elevation_m);
  free(i->cover);
  free(i->canopy_m);
}

int main(int argc, char **argv) {
  bool check = argc == 3 && strcmp(argv[1], "--check") == 0;
  if (argc != 2 && !check) {
    fprintf(stderr, "usage: make-island FOLDER, or make-island --check FOLDER\n");
    return 2;
  }
  const char *folder = argv[argc - 1];
  GDALAllRegister();
  island isle;
  bool done = island_make(&isle);
  enum { HALF = STEPS_PER_DEGREE };
  const char *metres = "Skarn islands (invented): elevation, metres above an invented sea level";
  const layer layers[] = {
      {"elevation/N47W037.tif", metres, 0, 0, TILE, GDT_Int16, isle.elevation_m},
      {"elevation/N47W036.tif", metres, HALF, 0, TILE, GDT_Int16, isle.elevation_m},
      {"elevation/N46W037.tif", metres, 0, HALF, TILE, GDT_Int16, isle.elevation_m},
      {"elevation/N46W036.tif", metres, HALF, HALF, TILE, GDT_Int16, isle.elevation_m},
      {"cover.tif", "Skarn islands (invented): 0 sea 1 grass 2 broadleaf 3 conifer 4 lake 5 village", 0, 0, SIDE,
       GDT_Byte, isle.cover},
      {"canopy.tif", "Skarn islands (invented): canopy height, metres above ground", 0, 0, SIDE, GDT_Byte,
       isle.canopy_m},
  };
  const layer whole = {"", metres, 0, 0, SIDE, GDT_Int16, isle.elevation_m};
  for (size_t k = 0; k < sizeof layers / sizeof layers[0] && (done || check); k++)
    done = (check ? layer_check(&layers[k], folder) : layer_write(&layers[k], folder)) && done;
  done = (check ? coast_check(&whole, folder) : coast_write(&whole, folder)) && done;
  island_free(&isle);
  if (!done) fprintf(stderr, "make-island: %s\n", check ? "the files are not what this program makes" : "failed");
  return done ? 0 : 1;
}
