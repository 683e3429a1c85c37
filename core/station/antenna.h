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

typedef enum es_shape {
  ES_SHAPE_ALL_ROUND,
  ES_SHAPE_DISH,
  ES_SHAPE_TABLE,
  ES_SHAPE_HORN,
  ES_SHAPE_SLOTTED,
  ES_SHAPE_SECTOR,
  ES_SHAPE_BEAM
} es_shape;
typedef enum es_side_lobes { ES_LOBES_F1245, ES_LOBES_F699 } es_side_lobes; /* average, or envelope */

typedef struct es_cut { /* one pattern cut: gain relative to the peak against angle, uniform in dB */
  size_t n;
  double *angle;  /* radians, increasing */
  double *rel_db; /* <= 0 */
} es_cut;

typedef struct es_antenna {
  es_shape shape;
  double peak_dbi;
  double dish_m, efficiency; /* ES_SHAPE_DISH */
  es_side_lobes lobes;
  es_cut az, el;             /* ES_SHAPE_TABLE; n = 0: none. Owned */
  double width_m, height_m;  /* ES_SHAPE_HORN: aperture as it stands */
  bool e_plane_level;        /* ES_SHAPE_HORN: the field lies level (horizontal polarisation) */
  double beam_az, beam_el;   /* ES_SHAPE_SECTOR, _BEAM: half-power widths; _ALL_ROUND: beam_el, 0 for none */
  double face_slots, slot_m; /* ES_SHAPE_SLOTTED: slots on one face, from one to the next */
  double ripple_db;          /* ES_SHAPE_SLOTTED: azimuth gain falls to twice this under the peak */
  double azimuth, tilt;      /* where the peak points; tilt up is positive */
  bool tracks;               /* points at the other station: azimuth is taken relative to the path */
} es_antenna;

/* Peak gain of a dish: 10 log10(efficiency (pi D / lambda)^2). */
double es_dish_gain_dbi(double dish_m, double efficiency, double freq_ghz);
/* Half-power beam width of a dish, radians: 70 lambda/D degrees (common practice, no source). */
double es_dish_beam(double dish_m, double freq_ghz);

/* Shapes that need no table; pointing north, level, not tracking until the caller says otherwise. */
es_antenna es_antenna_all_round(double gain_dbi);
es_antenna es_antenna_dish(double dish_m, double efficiency, double freq_ghz);
/* Pyramidal horn without phase error: aperture across its H plane and its E plane; gain 0.51 x 4 pi A B / lambda^2. */
es_antenna es_antenna_horn(double h_plane_m, double e_plane_m, bool e_plane_level, double freq_ghz);
/* Upright guide of that inner width with half-wave slots on both faces, `slots` in all, half a guide wavelength apart;
 * gain 10 log10(slots x spacing / lambda). Below the guide's cut-off everything is NaN. */
es_antenna es_antenna_slotted(double slots, double guide_m, double freq_ghz);
/* Half-power widths in radians; gain of a practical beam, 10 log10(32000 / (degrees x degrees)). */
es_antenna es_antenna_sector(double beam_az, double beam_el);
es_antenna es_antenna_beam_of(double beam_az, double beam_el);

/* Half-power beam for what the antenna picks up: geometric mean of both widths; PI or more when it is all round. */
double es_antenna_beam(const es_antenna *antenna, double freq_ghz);
/* Distance beyond which the gain holds, 2 D^2 / lambda, m: D the antenna's largest side, or that which its gain wants. */
double es_antenna_far_m(const es_antenna *antenna, double freq_ghz);
/* Most gain the pattern allows: 4 pi over the solid angle of its two cuts, or 41253 / (degrees x degrees) for widths. NaN
 * when the pattern leaves it open. */
double es_antenna_limit_dbi(const es_antenna *antenna);

/* Gain towards (az, el); `toward` is the azimuth of the other station (used when the antenna tracks). */
double es_antenna_gain(const es_antenna *antenna, double freq_ghz, double az, double el, double toward);

/* Its gain is peak_dbi in every direction. */
bool es_antenna_is_same_everywhere(const es_antenna *antenna);

/* Reads a pattern table: CSV with columns angle_deg,gain_db and cut (azimuth|elevation), gain relative to the peak
 * or in dBi (column gain_dbi). A relative table leaves peak_dbi NaN for the caller to fill. Azimuth angles are
 * relative to where the antenna points, clockwise; elevation angles relative to its tilt. Faults are added with
 * file and line; false when there is any. The pattern points north, level. */
bool es_pattern_read(const char *path, es_antenna *out, es_faults *faults);
void es_antenna_fini(es_antenna *antenna);

#endif
