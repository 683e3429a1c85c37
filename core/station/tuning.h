/* tuning.h - where to tune: intermediate frequencies, errors of oscillators, multiplication. Pure; frequencies in Hz
 * where a hertz counts. */
#ifndef EARSHOT_STATION_TUNING_H
#define EARSHOT_STATION_TUNING_H

#include <stdbool.h>

typedef struct es_tuning {
  double if_hz;     /* |f - LO| */
  bool inverted;    /* the LO lies above: the spectrum is turned round */
  double lnb_hz;    /* how far the LNB's oscillator may move it, either way */
  double beacon_hz; /* the same of the beacon */
  double window_hz; /* both: search this far either way */
} es_tuning;

es_tuning es_tune(double freq_hz, double beacon_error_ppm, double lo_hz, double lo_error_ppm);

/* Error at the output of a reference that is off by so much: hertz by hertz it is multiplied by out / reference. */
double es_multiplied_error_hz(double out_hz, double reference_hz, double reference_error_hz);
double es_error_hz(double freq_hz, double error_ppm);

#endif
