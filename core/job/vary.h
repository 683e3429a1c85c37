/* vary.h - the section `vary`: what of the beacon is compared, besides height, power and season.
 *
 * Each key is an axis with its values. A choice is one value of each axis; all of them, the last axis running fastest, make
 * the variants of a job. An axis that is absent leaves the beacon's own. */
#ifndef EARSHOT_JOB_VARY_H
#define EARSHOT_JOB_VARY_H

#include "job/job.h"
#include "job/read.h"

/* The greatest number of scenarios of one job. */
enum { ES_MOST_SCENARIOS = 500 };

typedef enum es_axis_id {
  ES_AXIS_SITE,
  ES_AXIS_FREQUENCY,
  ES_AXIS_POLARISATION,
  ES_AXIS_ANTENNA,
  ES_AXIS_AZIMUTH,
  ES_AXIS_TILT,
  ES_AXIS_FEEDER,
  ES_AXIS_AMPLIFIER,
  ES_AXIS_YEARS,
  ES_AXES
} es_axis_id;

typedef struct es_axis {
  size_t n;       /* 0: does not vary */
  double *number; /* NaN where it is none; owned */
  es_node *node;  /* owned */
  char **label;   /* part of a scenario's name, or the words of the job: letters, digits, points, hyphens. Owned */
} es_axis;

typedef struct es_vary {
  es_axis axis[ES_AXES];
  es_node height_m, power_dbm, season; /* read with the scenarios */
} es_vary;

/* One choice: NaN, -1 and ES_NO_NODE leave the beacon's own. */
typedef struct es_choice {
  es_node site, antenna, feeder;
  double frequency_mhz, azimuth_deg, tilt_deg, years;
  int32_t polarisation, amplifier;
  size_t site_index,
      beam_index; /* equal indices: the same place; the same antenna, direction, polarisation, frequency */
} es_choice;

void es_vary_read(const es_reader *reader, es_node node, es_vary *out);
void es_vary_fini(es_vary *vary);
double es_vary_count(const es_vary *vary); /* choices, however many; at least one */
es_choice es_vary_choice(const es_vary *vary, size_t i);
/* "north-hill-10368mhz-dish": what is special about a choice. "" when nothing varies. Caller frees; NULL out of memory. */
char *es_vary_name(const es_vary *vary, size_t i);
bool es_vary_has(const es_vary *vary, es_axis_id axis);

#endif
