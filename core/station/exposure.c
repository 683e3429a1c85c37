/* exposure.c - Sources: ICNIRP 2020 (Health Physics 118, 483): whole body 10 and 50 W/m2 above 2 GHz over 30 min; local, 6 to
 * 300 GHz, 55 and 275 f^-0.177 W/m2 over 6 min. FCC 47 CFR 1.1310, 1.5 to 100 GHz: 1 mW/cm2 for the public over 30 min,
 * 5 mW/cm2 occupational over 6 min. Reflection factors and the bound near an aperture: FCC OET Bulletin 65. The FCC figures
 * are from memory, unverified against the current text. */
#include "station/exposure.h"

#include <math.h>

#include "base/units.h"

const char *es_rules_name(int32_t rules) { return rules == ES_RULES_FCC ? "FCC 47 CFR 1.1310" : "ICNIRP 2020"; }

int es_exposure_limits(int32_t rules, double freq_ghz, es_exposure_limit out[ES_EXPOSURE_LIMITS]) {
  if (rules == ES_RULES_FCC) {
    bool known = freq_ghz >= 1.5 && freq_ghz <= 100.0;
    out[0] = (es_exposure_limit){"public", known ? 10.0 : NAN, 1800.0};
    out[1] = (es_exposure_limit){"occupational", known ? 50.0 : NAN, 360.0};
    return 2;
  }
  bool whole = freq_ghz > 2.0 && freq_ghz <= 300.0, local = freq_ghz > 6.0 && freq_ghz <= 300.0;
  double fall = pow(freq_ghz, -0.177);
  out[0] = (es_exposure_limit){"public, whole body", whole ? 10.0 : NAN, 1800.0};
  out[1] = (es_exposure_limit){"public, local", local ? 55.0 * fall : NAN, 360.0};
  out[2] = (es_exposure_limit){"occupational, whole body", whole ? 50.0 : NAN, 1800.0};
  out[3] = (es_exposure_limit){"occupational, local", local ? 275.0 * fall : NAN, 360.0};
  return 4;
}

double es_exposure_distance_m(double eirp_w, double limit_w_m2, double factor) {
  return sqrt(factor * eirp_w / (4.0 * ES_PI * limit_w_m2));
}

double es_exposure_near_w_m2(double power_w, const es_antenna *a, double freq_ghz) {
  double lambda = ES_LIGHT_M_S / (1e9 * freq_ghz);
  double area = a->shape == ES_SHAPE_DISH   ? 0.25 * ES_PI * a->dish_m * a->dish_m
                : a->shape == ES_SHAPE_HORN ? a->width_m * a->height_m
                                            : lambda * lambda * es_ratio(a->peak_dbi) / (4.0 * ES_PI);
  return 4.0 * power_w / area;
}
