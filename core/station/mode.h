/* mode.h - what a detector needs: SNR thresholds by mode, a data table (core/station/modes.csv) the user can extend. */
#ifndef EARSHOT_STATION_MODE_H
#define EARSHOT_STATION_MODE_H

#include <stddef.h>

#include "base/faults.h"

typedef struct es_mode {
  char id[32];        /* "cw", as written in lists */
  char name[64];      /* "Morse by ear, median operator" */
  double snr_2500_db; /* needed SNR in 2500 Hz */
  char source[96];
} es_mode;

typedef struct es_modes {
  es_mode *items;
  size_t n;
} es_modes;

/* The built-in table. Then the user's, whose ids replace built-in ones. */
bool es_modes_builtin(es_modes *out, es_faults *faults);
bool es_modes_read(const char *path, es_modes *modes, es_faults *faults);
const es_mode *es_mode_find(const es_modes *modes, const char *id); /* NULL when unknown */
void es_modes_free(es_modes *modes);

#endif
