/* bank.h - measured paths and losses, read from the folder that EARSHOT_MEASURED names.
 *
 * Source:  ITU-R Study Group 3 data bank, Table III-1, with terrain profiles: c3_1_paths.csv, c3_1_measured.csv and
 *          c3_1_profiles of that folder (its README has columns, grades and caveats).
 * Grade A: places, antenna heights, gains and terrain all known. Only these are judged.                              */
#ifndef EARSHOT_TRUTH_BANK_H
#define EARSHOT_TRUTH_BANK_H

#include <stdbool.h>
#include <stdint.h>

#include "base/faults.h"
#include "place/geodesic.h"

enum { TRUTH_BASELINES = 3 };
extern const char *const truth_baseline_names[TRUTH_BASELINES]; /* columns of c3_1_measured.csv without "_db" */

typedef struct truth_path {
  int station;
  char group[8]; /* paths over one ground share it */
  double freq_ghz;
  es_lonlat tx, rx;
  double tx_agl_m, rx_agl_m, tx_gain_dbi, rx_gain_dbi;
  double sea_table_km, sea_profile_km; /* cold and warm sea of the bank; runs of zero height in the profile */
  double n0, dn;                       /* NaN: not in the bank */
  bool doubtful;                       /* one of the five stations that every model misses */
  size_t n;
  double *dist_km, *ground_m;
  uint8_t *zone; /* as derived in the profile's file */
} truth_path;

typedef struct truth_value {
  size_t path;
  double percent, measured_db;
  double baseline_db[TRUTH_BASELINES]; /* NaN: not published */
} truth_value;

typedef struct truth_bank {
  truth_path *paths;
  size_t n_paths;
  truth_value *values; /* those of one path follow each other */
  size_t n_values;
} truth_bank;

/* Grade A alone. False with faults. */
bool truth_bank_open(const char *folder, truth_bank *bank, es_faults *faults);
void truth_bank_close(truth_bank *bank);

#endif
