/* shapes.c - horn, slotted guide, sector, beam, and an all-round antenna with an elevation beam.
 *
 * Sources: aperture theory. Horn without phase error: H plane cos(u)/(1 - (2u/pi)^2), u = pi A sin(th)/lambda; E plane
 * sin(v)/v; the planes multiply; gain 0.51 x 4 pi A B/lambda^2. Slotted guide: array of n half-wave slots a face, half a
 * guide wavelength apart: sin(n psi/2)/(n sin(psi/2)), psi = 2 pi s sin(el)/lambda, times the slot's own
 * cos(pi/2 sin el)/cos el; gain 2 n s/lambda. Beams fall as 12 (angle/width)^2 dB. The floors are common practice, no
 * source: -10 dBi behind a horn, 30 dB under a beam, 25 dB behind a sector, 20 dB above and below an all-round antenna,
 * 40 dB in a slotted guide's nulls. */
#include "station/shapes.h"

#include <math.h>

#include "base/units.h"

static const double HORN_FLOOR_DBI = -10.0, BEAM_FLOOR_DB = -30.0, SECTOR_FLOOR_DB = -25.0, ROUND_FLOOR_DB = -20.0,
                    SLOTTED_FLOOR_DB = -40.0;
static const double HORN_EFFICIENCY = 0.51;     /* uniform by cosine aperture with the usual flare */
static const double APERTURE_EFFICIENCY = 0.55; /* to guess a size from a gain */
static const double PRACTICAL_BEAM = 32000.0, IDEAL_BEAM = 41253.0; /* square degrees; the sphere has 41253 */

static double wavelength_m(double freq_ghz) { return ES_LIGHT_M_S / (1e9 * freq_ghz); }

/* --- making them --------------------------------------------------------------------------------------------------- */

es_antenna es_antenna_horn(double h_plane_m, double e_plane_m, bool e_plane_level, double freq_ghz) {
  double lambda = wavelength_m(freq_ghz);
  return (es_antenna){.shape = ES_SHAPE_HORN,
                      .peak_dbi = es_db(HORN_EFFICIENCY * 4.0 * ES_PI * h_plane_m * e_plane_m / (lambda * lambda)),
                      .width_m = e_plane_level ? e_plane_m : h_plane_m,
                      .height_m = e_plane_level ? h_plane_m : e_plane_m,
                      .e_plane_level = e_plane_level};
}

es_antenna es_antenna_slotted(double slots, double guide_m, double freq_ghz) {
  double lambda = wavelength_m(freq_ghz), cut = lambda / (2.0 * guide_m);
  double spacing = 0.5 * lambda / sqrt(1.0 - cut * cut); /* NaN below cut-off */
  return (es_antenna){.shape = ES_SHAPE_SLOTTED,
                      .peak_dbi = es_db(slots * spacing / lambda),
                      .face_slots = 0.5 * slots,
                      .slot_m = spacing};
}

static es_antenna with_beam(es_shape shape, double beam_az, double beam_el) {
  return (es_antenna){.shape = shape,
                      .peak_dbi = es_db(PRACTICAL_BEAM / (es_deg(beam_az) * es_deg(beam_el))),
                      .beam_az = beam_az,
                      .beam_el = beam_el};
}

es_antenna es_antenna_sector(double beam_az, double beam_el) { return with_beam(ES_SHAPE_SECTOR, beam_az, beam_el); }
es_antenna es_antenna_beam_of(double beam_az, double beam_el) { return with_beam(ES_SHAPE_BEAM, beam_az, beam_el); }

/* --- gains --------------------------------------------------------------------------------------------------------- */

/* Angle folded into -PI..PI. */
static double folded(double angle) { return remainder(angle, 2.0 * ES_PI); }

static double fall_db(double angle, double width) { return -12.0 * (angle / width) * (angle / width); }

/* 20 log10 |x|, no less than floor_db. */
static double voltage_db(double x, double floor_db) { return fmax(20.0 * log10(fabs(x)), floor_db); }

double es_all_round_dbi(const es_antenna *a, double el) {
  return a->beam_el > 0.0 ? a->peak_dbi + fmax(fall_db(el, a->beam_el), ROUND_FLOOR_DB) : a->peak_dbi;
}

double es_beam_dbi(const es_antenna *a, double az, double el) {
  return a->peak_dbi + fmax(fall_db(folded(az), a->beam_az) + fall_db(el, a->beam_el), BEAM_FLOOR_DB);
}

double es_sector_dbi(const es_antenna *a, double az, double el) {
  double level = fmax(fall_db(folded(az), a->beam_az), SECTOR_FLOOR_DB);
  return a->peak_dbi + fmax(level + fmax(fall_db(el, a->beam_el), ROUND_FLOOR_DB), BEAM_FLOOR_DB);
}

/* Uniform aperture: sin(v)/v. */
static double uniform(double v) { return fabs(v) < 1e-9 ? 1.0 : sin(v) / v; }

/* Cosine aperture: cos(u)/(1 - (2u/pi)^2), pi/4 where both are 0. */
static double cosine(double u) {
  double x = 2.0 * u / ES_PI, below = 1.0 - x * x;
  return fabs(below) < 1e-9 ? ES_PI / 4.0 : cos(u) / below;
}

double es_horn_dbi(const es_antenna *a, double freq_ghz, double az, double el) {
  double lambda = wavelength_m(freq_ghz), turn = folded(az);
  if (fabs(turn) >= 0.5 * ES_PI || fabs(el) >= 0.5 * ES_PI) return fmin(HORN_FLOOR_DBI, a->peak_dbi);
  double level = ES_PI * a->width_m * sin(turn) / lambda, upright = ES_PI * a->height_m * sin(el) / lambda;
  double factor = a->e_plane_level ? uniform(level) * cosine(upright) : cosine(level) * uniform(upright);
  return fmax(a->peak_dbi + voltage_db(factor, -200.0), fmin(HORN_FLOOR_DBI, a->peak_dbi));
}

double es_slotted_dbi(const es_antenna *a, double freq_ghz, double az, double el) {
  double half = ES_PI * a->slot_m * sin(el) / wavelength_m(freq_ghz), n = a->face_slots;
  double array = fabs(sin(half)) < 1e-9 ? 1.0 : sin(n * half) / (n * sin(half));
  double slot = fabs(cos(el)) < 1e-9 ? 0.0 : cos(0.5 * ES_PI * sin(el)) / cos(el);
  double level_db = a->ripple_db * (cos(2.0 * az) - 1.0); /* the peak is the most of all directions */
  return a->peak_dbi + level_db + voltage_db(array * slot, SLOTTED_FLOOR_DB);
}

/* --- size and limit ------------------------------------------------------------------------------------------------ */

static double largest_side_m(const es_antenna *a, double freq_ghz) {
  double lambda = wavelength_m(freq_ghz), gain = es_ratio(a->peak_dbi);
  switch (a->shape) {
  case ES_SHAPE_DISH: return a->dish_m;
  case ES_SHAPE_HORN: return fmax(a->width_m, a->height_m);
  case ES_SHAPE_SLOTTED: return a->face_slots * a->slot_m;
  case ES_SHAPE_SECTOR: return lambda * es_rad(70.0) / fmin(a->beam_az, a->beam_el);
  case ES_SHAPE_ALL_ROUND: return 0.5 * lambda * gain; /* an upright line: gain 2 L / lambda */
  case ES_SHAPE_BEAM:
  case ES_SHAPE_TABLE:
  default: return lambda / ES_PI * sqrt(gain / APERTURE_EFFICIENCY);
  }
}

double es_antenna_far_m(const es_antenna *a, double freq_ghz) {
  double side = largest_side_m(a, freq_ghz);
  return 2.0 * side * side / wavelength_m(freq_ghz);
}

/* Solid angle of a table's two cuts taken as a product, in steps of half a degree. */
static double solid_angle(const es_antenna *table) {
  es_antenna level = *table, upright = *table;
  level.el.n = 0;
  upright.az.n = 0;
  double round = 0.0, high = 0.0, step = es_rad(0.5);
  for (int i = 0; i < 720; i++) {
    double az = es_rad(0.5 * i), el = es_rad(-89.875 + 0.25 * i);
    round += es_ratio(es_antenna_gain(&level, 10.0, az + table->azimuth, 0.0, 0.0) - table->peak_dbi) * step;
    high +=
        es_ratio(es_antenna_gain(&upright, 10.0, 0.0, el + table->tilt, 0.0) - table->peak_dbi) * cos(el) * 0.5 * step;
  }
  return round * high;
}

double es_antenna_limit_dbi(const es_antenna *a) {
  if (a->shape == ES_SHAPE_TABLE && a->el.n > 0) return es_db(4.0 * ES_PI / solid_angle(a));
  if (a->shape == ES_SHAPE_BEAM || a->shape == ES_SHAPE_SECTOR)
    return es_db(IDEAL_BEAM / (es_deg(a->beam_az) * es_deg(a->beam_el)));
  /* 101.5 degrees over the gain's ratio: half-power width of an upright line, aperture theory */
  if (a->shape == ES_SHAPE_ALL_ROUND && a->beam_el > 0.0) return es_db(101.5 / es_deg(a->beam_el));
  return NAN;
}
