/* antenna.h - gain towards a direction. Angles in radians, azimuth from true north, elevation up; gains in dBi.
 *
 * An antenna is a shape and where it points. A shape without azimuth pattern is the same all round; one without
 * elevation pattern is the same at every elevation. Const after creation; es_antenna_gain() [any
 * thread]. */
#ifndef EARSHOT_STATION_ANTENNA_H
#define EARSHOT_STATION_ANTENNA_H

#include <stdbool.h>
#include <stddef.h>

#include "base/faults.h"

typedef enum es_shape { ES_SHAPE_ALL_ROUND, ES_SHAPE_DISH, ES_SHAPE_TABLE } es_shape;

typedef struct es_cut { /* one pattern cut: gain relative to the peak against angle, uniform in dB */
  size_t n;
  double *angle;  /* radians, increasing */
  double *rel_db; /* <= 0 */
} es_cut;

typedef struct es_antenna {
  es_shape shape;
  double peak_dbi;
  double dish_m, efficiency; /* ES_SHAPE_DISH */
  es_cut az, el;             /* ES_SHAPE_TABLE; n = 0: none. Owned */
  double azimuth, tilt;      /* where the peak points; tilt up is positive */
  bool tracks;               /* points at the other station: azimuth is taken relative to the path */
} es_antenna;

/* Peak gain of a dish: 10 log10(efficiency (pi D / lambda)^2). */
double es_dish_gain_dbi(double dish_m, double efficiency, double freq_ghz);
/* Half-power beam width of a dish, radians: 70 lambda/D degrees (common practice, no source). */
double es_dish_beam(double dish_m, double freq_ghz);

/* The two shapes that need no table; pointing north, level, not tracking until the caller says otherwise. */
es_antenna es_antenna_all_round(double gain_dbi);
es_antenna es_antenna_dish(double dish_m, double efficiency, double freq_ghz);

/* Gain towards (az, el); `toward` is the azimuth of the other station (used when the antenna tracks). */
double es_antenna_gain(const es_antenna *antenna, double freq_ghz, double az, double el, double toward);

/* Reads a pattern table: CSV with columns angle_deg,gain_db and cut (azimuth|elevation), gain relative to the peak
 * or in dBi (column gain_dbi). A relative table leaves peak_dbi NaN for the caller to fill. Azimuth angles are
 * relative to where the antenna points, clockwise; elevation angles relative to its tilt. Faults are added with
 * file and line; false when there is any. The pattern points north, level. */
bool es_pattern_read(const char *path, es_antenna *out, es_faults *faults);
void es_antenna_fini(es_antenna *antenna);

#endif
