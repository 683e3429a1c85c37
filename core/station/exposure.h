/* exposure.h - how near one may stand to a radiating antenna: distances for a rule set's limits. Pure.
 *
 * S = factor x EIRP / (4 pi r^2); factor 1 in free space, 2.56 and 4 with one reflection off the ground. Holds beyond
 * 2 D^2/lambda; nearer the bound is 4 P / A, all power through the aperture. Caution only: local rules decide. */
#ifndef EARSHOT_STATION_EXPOSURE_H
#define EARSHOT_STATION_EXPOSURE_H

#include <stdint.h>

#include "station/antenna.h"

enum { ES_RULES_ICNIRP_2020, ES_RULES_FCC };
typedef struct es_exposure_limit {
  const char *who;   /* "public, whole body" */
  double limit_w_m2; /* NaN: the rule set gives none at this frequency */
  double average_s;  /* averaging time */
} es_exposure_limit;
enum { ES_EXPOSURE_LIMITS = 4 };

/* Limits of a rule set; NaN rows where it has none. Returns how many rows. Sources in exposure.c. */
int es_exposure_limits(int32_t rules, double freq_ghz, es_exposure_limit out[ES_EXPOSURE_LIMITS]);
const char *es_rules_name(int32_t rules);

double es_exposure_distance_m(double eirp_w, double limit_w_m2, double factor);
/* Most that the power density reaches near the antenna, W/m2: 4 P over the aperture's area. */
double es_exposure_near_w_m2(double power_w, const es_antenna *antenna, double freq_ghz);

#endif
