#include "station/tuning.h"

#include <math.h>

double es_error_hz(double freq_hz, double error_ppm) { return 1e-6 * error_ppm * freq_hz; }

double es_multiplied_error_hz(double out_hz, double reference_hz, double reference_error_hz) {
  return reference_error_hz * out_hz / reference_hz;
}

es_tuning es_tune(double freq_hz, double beacon_error_ppm, double lo_hz, double lo_error_ppm) {
  es_tuning t = {.if_hz = fabs(freq_hz - lo_hz), .inverted = lo_hz > freq_hz};
  t.lnb_hz = es_error_hz(lo_hz, lo_error_ppm);
  t.beacon_hz = es_error_hz(freq_hz, beacon_error_ppm);
  t.window_hz = t.lnb_hz + t.beacon_hz;
  return t;
}
