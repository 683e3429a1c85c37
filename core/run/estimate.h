/* estimate.h - the memory a run will take, told before it begins from what is allocated; for its time see trial.h. */
#ifndef EARSHOT_RUN_ESTIMATE_H
#define EARSHOT_RUN_ESTIMATE_H

#include "run/setup.h"

typedef struct es_estimate {
  size_t ground_bytes, ground_peak_bytes; /* held; the most while it is read */
  size_t map_bytes;                       /* one scenario's cells and layers, a sheet and a file in the making */
  size_t answer_bytes;                    /* listeners in all scenarios, and their part of the report */
  size_t peak_bytes;                      /* of the whole program */
  size_t disk_bytes;                      /* of layers in the scratch folder; 0: they are held in memory */
} es_estimate;

/* The bytes alone. The setup must have its ground. */
void es_estimate_bytes(const es_setup *setup, int threads, es_estimate *out);
/* Where that is more than the setup's memory_bytes: layers shall lie in the scratch folder (setup->scratch is set). A fault when
 * it is more even then. [setup] */
bool es_estimate_fits(es_setup *setup, int threads, const char *scratch, es_faults *faults);
#endif
