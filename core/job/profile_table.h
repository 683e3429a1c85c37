/* profile_table.h - a profile given as numbers: CSV with d_km, h_m, and zones and ground cover if there are any. */
#ifndef EARSHOT_JOB_PROFILE_TABLE_H
#define EARSHOT_JOB_PROFILE_TABLE_H

#include <stdint.h>

#include "base/faults.h"

typedef struct es_profile_table {
  size_t n;
  double *dist_km, *ground_m, *cover_m; /* cover_m NULL without such a column */
  uint8_t *zone;                        /* ES_ZONE_*; inland without such a column */
} es_profile_table;

/* False when there is any fault; at most 20 rows of a file are told. Caller frees in both cases. */
bool es_profile_table_read(const char *path, es_profile_table *out, es_faults *faults);
void es_profile_table_free(es_profile_table *table);

#endif
