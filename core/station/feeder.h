/* feeder.h - loss of a line by kind, length and frequency: a data table (core/station/feeders.csv) the user can extend.
 *
 * Columns line, form, a, b, c, min_mhz, max_mhz, refuse_mhz, source. Forms, in dB/m at f MHz:
 *   coax   a sqrt(f) + b f
 *   guide  wall loss of the TE10 mode in a rectangular guide, a x b mm inside, conductivity c S/m
 *   point  a at b MHz, elsewhere as the square root of frequency (skin effect)
 *   each   a dB a piece: connectors
 * Within min_mhz..max_mhz the line is at home. Outside the answer carries a warning, above refuse_mhz (or below a guide's
 * cut-off) there is none. */
#ifndef EARSHOT_STATION_FEEDER_H
#define EARSHOT_STATION_FEEDER_H

#include <stdbool.h>
#include <stddef.h>

#include "base/faults.h"

typedef enum es_line_form { ES_LINE_COAX, ES_LINE_GUIDE, ES_LINE_POINT, ES_LINE_EACH } es_line_form;

typedef struct es_line_kind {
  char id[48]; /* "waveguide-wr90-copper": size and kind, no maker */
  es_line_form form;
  double a, b, c;
  double min_mhz, max_mhz, refuse_mhz; /* NaN: no such limit */
  char source[128];
} es_line_kind;

typedef struct es_line_kinds {
  es_line_kind *items;
  size_t n;
} es_line_kinds;

typedef enum es_line_fit { ES_LINE_AT_HOME, ES_LINE_OUT_OF_BAND, ES_LINE_REFUSED } es_line_fit;

/* The built-in table. Then the user's, whose lines replace built-in ones of the same name. */
bool es_lines_builtin(es_line_kinds *out, es_faults *faults);
bool es_lines_read(const char *path, es_line_kinds *lines, es_faults *faults);
const es_line_kind *es_line_find(const es_line_kinds *lines, const char *id); /* NULL when unknown */
void es_lines_free(es_line_kinds *lines);

es_line_fit es_line_fit_at(const es_line_kind *line, double freq_ghz);
/* dB/m; NaN where the line is refused, and for pieces. */
double es_line_loss_db_m(const es_line_kind *line, double freq_ghz);
/* Cut-off of a guide's TE10 mode, GHz: c / (2 a). NaN for the other forms. */
double es_line_cutoff_ghz(const es_line_kind *line);

#endif
