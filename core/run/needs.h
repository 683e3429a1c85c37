/* needs.h - what each file depends on, as one number: when that changes the file is made again, and no other. */
#ifndef EARSHOT_RUN_NEEDS_H
#define EARSHOT_RUN_NEEDS_H

#include <jansson.h>

#include "run/setup.h"

typedef struct es_map_needs {
  uint64_t raster, sheet; /* a sheet shows the listeners too */
  char id[9];             /* of the map, for its foot: the same on every machine */
} es_map_needs;

typedef struct es_needs {
  uint64_t table;     /* listeners.gpkg */
  es_map_needs *maps; /* [scenario] */
} es_needs;

/* inputs: es_record_inputs(). The program and the models count by the checksums of their files. */
int32_t es_needs_make(const es_setup *setup, const json_t *inputs, es_needs *out, es_error *err);
void es_needs_free(es_needs *needs);

#endif
