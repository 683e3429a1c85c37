/* mode.h - what a detector needs: SNR thresholds by mode, a data table (core/station/modes.csv) the user can extend. */
#ifndef EARSHOT_STATION_MODE_H
#define EARSHOT_STATION_MODE_H

#include <stddef.h>

#include "base/faults.h"

typedef struct es_mode {
  char id[32];        /* "cw", as written in lists */
  char name[64];      /* "Morse by ear, median operator" */
  double snr_2500_db; /* needed SNR in 2500 Hz */
  double spread_db;   /* of that need from one listener to the next, one standard deviation */
  double bin_hz;      /* width of signal the detector takes in; 0: not stated */
  char source[96];
} es_mode;

typedef struct es_modes {
  es_mode *items;
  size_t n;
} es_modes;

/* The built-in table. Then the user's, whose ids replace built-in ones. */
bool es_modes_builtin(es_modes *out, es_faults *faults);
bool es_modes_read(const char *path, es_modes *modes, es_faults *faults);
/* SNR in 2500 Hz needed by a signal that is spread over width_hz (drift in one look, scatter): a detector narrower than
 * that gains nothing by being narrow. */
double es_mode_needed_db(const es_mode *mode, double width_hz);
const es_mode *es_mode_find(const es_modes *modes, const char *id); /* NULL when unknown */
void es_modes_free(es_modes *modes);

#endif
