/* rain.h - the slope of rain attenuation: sum of measured over sum of predicted, over all links.
 *
 * Source:  measurements, rain_links.csv and rain_samples.csv of the measured folder (OpenRainER example, CC BY 4.0, Lepida
 *          ScpA and ARPAE-SIMC); prediction k R^alpha L, ITU-R P.838-3, with the gauges' rain over the whole link.   */
#ifndef EARSHOT_TRUTH_RAIN_H
#define EARSHOT_TRUTH_RAIN_H

#include "base/faults.h"

typedef struct truth_rain {
  size_t links, samples;
  double measured_db, predicted_db; /* sums */
} truth_rain;

bool truth_rain_judge(const char *folder, truth_rain *out, es_faults *faults);

#endif
