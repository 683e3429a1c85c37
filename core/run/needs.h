/* needs.h - what each map depends on, as one number: when that is another the map is computed again, else never. */
#ifndef EARSHOT_RUN_NEEDS_H
#define EARSHOT_RUN_NEEDS_H

#include <jansson.h>

#include "run/setup.h"

typedef struct es_map_need {
  uint64_t key; /* job, scenario, ground, climate, models, and the program itself; not the listeners */
  char id[9];   /* eight hexadecimal digits without the program's part: the same on every machine */
} es_map_need;

/* One for each scenario; inputs: es_record_inputs(). The program and the models count by the checksums of their files.
 * NULL with err. Caller frees. */
es_map_need *es_needs_make(const es_setup *setup, const json_t *inputs, es_error *err);

#endif
