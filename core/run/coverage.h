/* coverage.h - one scenario's map in figures: by bearing sector and distance ring, and by 4-character locator square.
 *
 * A cell counts as covered when the standard listener of the map hears it in the wanted mode more than half the year (a chain
 * without time: when its SNR is enough). Medians are over cells with an answer, in steps of half a decibel.               */
#ifndef EARSHOT_RUN_COVERAGE_H
#define EARSHOT_RUN_COVERAGE_H

#include "run/map.h"

enum { ES_SECTORS = 24, ES_RINGS = 5 }; /* 15 degrees each; fifths of the radius */

typedef struct es_patch {
  size_t cells, answered, covered;                 /* inside the map; with an answer; covered */
  double best_snr_db, median_snr_db, median_heard; /* NaN without an answer */
} es_patch;

typedef struct es_square {
  char locator[5];
  double inside; /* share of the square that lies on the map, 0..1 */
  es_patch is;
} es_square;

typedef struct es_coverage {
  es_patch all, land;
  es_patch sector[ES_SECTORS][ES_RINGS];
  es_square *squares; /* by locator; owned */
  size_t n_squares;
  double covered_km2;
} es_coverage;

int32_t es_coverage_make(const es_setup *setup, const es_map_cells *cells, const es_map_layers *layers,
                         es_coverage *out, es_error *err);
void es_coverage_free(es_coverage *coverage);
/* Writes coverage-sectors-<scenario>.csv and coverage-squares-<scenario>.csv into the folder. */
int32_t es_coverage_write(const es_setup *setup, const es_scenario *scenario, const es_coverage *coverage,
                          const char *folder, es_error *err);

#endif
