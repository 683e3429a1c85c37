/* cover_table.h - what stands on each class of a ground cover raster: height, base, density and kind of leaf.
 *
 * A table is CSV with the columns class, height_m, base_m, density, leaf and, if wanted, name and source. base_m is 0 and
 * density 1 when absent. leaf: broadleaf, conifer, mixed, opaque (buildings). A class that is not in the table carries
 * nothing. The tables of two open legends are built in; their heights are the project's own, not measured.             */
#ifndef EARSHOT_GROUND_COVER_TABLE_H
#define EARSHOT_GROUND_COVER_TABLE_H

#include <stdint.h>

#include "base/faults.h"

enum { ES_COVER_CLASSES = 256 };
typedef enum es_cover_legend { ES_WORLDCOVER_2021, ES_CORINE_2018, ES_COVER_LEGENDS } es_cover_legend;

typedef struct es_cover_class {
  double height_m, base_m, density;
  uint8_t leaf; /* ES_BROADLEAF ...; ES_NO_LEAF: nothing stands there */
} es_cover_class;

typedef struct es_cover_table {
  bool given;
  es_cover_class of[ES_COVER_CLASSES];
} es_cover_table;

/* Every faulty row is a fault with its line; false when there is any. [setup] */
bool es_cover_table_read(const char *path, es_cover_table *out, es_faults *faults);
bool es_cover_table_builtin(es_cover_legend legend, es_cover_table *out, es_faults *faults);
/* Kind of leaf by its word; -1: no such word. */
int es_leaf_of_word(const char *word);

#endif
