/* antenna.c - gain towards a direction: the same all round, a dish, or a table of two cuts; other shapes: shapes.c.
 *
 * Sources: dish main lobe and side lobes after ITU-R F.1245-3, 1-70 GHz (average side lobes: the parabola of the
 * main lobe to phi_m, the average envelope outside) or ITU-R F.699-8 (the envelope of the peaks); off-axis angle by
 * the spherical law of cosines. Tables: two cuts are added in dB, no less than 40 dB under the peak. Peak and width
 * of a dish: aperture theory; 70 lambda/D is common practice. */
#include "station/antenna.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "station/shapes.h"

static const double TABLE_FLOOR_DB = -40.0;

static double diameter_in_waves(double dish_m, double freq_ghz) { return dish_m * freq_ghz * 1e9 / ES_LIGHT_M_S; }

double es_dish_gain_dbi(double dish_m, double efficiency, double freq_ghz) {
  double turns = ES_PI * diameter_in_waves(dish_m, freq_ghz);
  return es_db(efficiency * turns * turns);
}

double es_dish_beam(double dish_m, double freq_ghz) { return es_rad(70.0 / diameter_in_waves(dish_m, freq_ghz)); }

es_antenna es_antenna_all_round(double gain_dbi) {
  return (es_antenna){.shape = ES_SHAPE_ALL_ROUND, .peak_dbi = gain_dbi};
}

es_antenna es_antenna_dish(double dish_m, double efficiency, double freq_ghz) {
  return (es_antenna){.shape = ES_SHAPE_DISH,
                      .peak_dbi = es_dish_gain_dbi(dish_m, efficiency, freq_ghz),
                      .dish_m = dish_m,
                      .efficiency = efficiency};
}

/* Angle between two directions, radians. */
static double off_axis(double az, double el, double az0, double el0) {
  if (az == az0)
    return fabs(el - el0); /* straight up or down from the axis: the usual case, an antenna that points there */
  double c = sin(el) * sin(el0) + cos(el) * cos(el0) * cos(az - az0);
  return acos(es_clamp(c, -1.0, 1.0));
}

/* Average side lobes outside the main lobe, dBi; phi in degrees, above 0. F.1245-3. */
static double side_lobe_dbi(double waves, double phi, double phi_m) {
  if (waves <= 100.0) {
    double far = fmin(phi, 48.0);
    return phi < 48.0 ? 39.0 - 5.0 * log10(waves) - 25.0 * log10(far) : -3.0 - 5.0 * log10(waves);
  }
  double phi_r = 12.02 * pow(waves, -0.6);
  if (phi < fmax(phi_m, phi_r)) return 2.0 + 15.0 * log10(waves); /* G1 */
  return phi < 48.0 ? 29.0 - 25.0 * log10(phi) : -13.0;
}

/* Envelope of the side lobes, dBi; phi in degrees, above 0. F.699-8. */
static double envelope_dbi(double waves, double phi, double phi_m) {
  double g1 = 2.0 + 15.0 * log10(waves);
  if (waves <= 100.0) {
    if (phi < fmax(phi_m, 100.0 / waves)) return g1;
    return phi < 48.0 ? 52.0 - 10.0 * log10(waves) - 25.0 * log10(phi) : 10.0 - 10.0 * log10(waves);
  }
  if (phi < fmax(phi_m, 15.85 * pow(waves, -0.6))) return g1;
  return phi < 48.0 ? 32.0 - 25.0 * log10(phi) : -10.0;
}

static double dish_gain_dbi(const es_antenna *a, double freq_ghz, double phi) {
  double waves = diameter_in_waves(a->dish_m, freq_ghz), g1 = 2.0 + 15.0 * log10(waves);
  double phi_m = 20.0 / waves * sqrt(fmax(a->peak_dbi - g1, 0.0)); /* a tiny dish has no main lobe of its own */
  if (phi < phi_m) return a->peak_dbi - 2.5e-3 * (waves * phi) * (waves * phi);
  if (!(phi > 0.0)) return a->peak_dbi;
  double lobe = a->lobes == ES_LOBES_F699 ? envelope_dbi(waves, phi, phi_m) : side_lobe_dbi(waves, phi, phi_m);
  return fmin(a->peak_dbi, lobe);
}

/* Linear in dB between the two angles around `angle`; the ends hold. */
static double cut_between(const es_cut *cut, double angle) {
  if (angle <= cut->angle[0]) return cut->rel_db[0];
  size_t low = 0, high = cut->n - 1;
  if (angle >= cut->angle[high]) return cut->rel_db[high];
  while (high - low > 1) {
    size_t mid = low + (high - low) / 2;
    if (cut->angle[mid] <= angle)
      low = mid;
    else
      high = mid;
  }
  double share = (angle - cut->angle[low]) / (cut->angle[high] - cut->angle[low]);
  return cut->rel_db[low] + share * (cut->rel_db[high] - cut->rel_db[low]);
}

/* An azimuth cut closes on itself: past the last angle comes the first again. */
static double cut_around(const es_cut *cut, double angle) {
  double first = cut->angle[0], last = cut->angle[cut->n - 1], turn = 2.0 * ES_PI;
  angle = first + fmod(angle - first, turn);
  if (angle < first) angle += turn;
  if (angle <= last) return cut_between(cut, angle);
  double share = (angle - last) / (first + turn - last);
  return cut->rel_db[cut->n - 1] + share * (cut->rel_db[0] - cut->rel_db[cut->n - 1]);
}

static double table_gain_dbi(const es_antenna *a, double az, double el) {
  double rel_db = 0.0;
  if (a->az.n > 0) rel_db += cut_around(&a->az, az);
  if (a->el.n > 0) rel_db += cut_between(&a->el, el);
  return a->peak_dbi + fmax(rel_db, TABLE_FLOOR_DB);
}

double es_antenna_gain(const es_antenna *a, double freq_ghz, double az, double el, double toward) {
  double axis = a->tracks ? toward + a->azimuth : a->azimuth;
  switch (a->shape) {
  case ES_SHAPE_DISH: return dish_gain_dbi(a, freq_ghz, es_deg(off_axis(az, el, axis, a->tilt)));
  case ES_SHAPE_TABLE: return table_gain_dbi(a, az - axis, el - a->tilt);
  case ES_SHAPE_ALL_ROUND: return es_all_round_dbi(a, el - a->tilt);
  case ES_SHAPE_HORN: return es_horn_dbi(a, freq_ghz, az - axis, el - a->tilt);
  case ES_SHAPE_SLOTTED: return es_slotted_dbi(a, freq_ghz, az - axis, el - a->tilt);
  case ES_SHAPE_SECTOR: return es_sector_dbi(a, az - axis, el - a->tilt);
  case ES_SHAPE_BEAM: return es_beam_dbi(a, az - axis, el - a->tilt);
  default: return a->peak_dbi;
  }
}

bool es_antenna_is_same_everywhere(const es_antenna *a) {
  bool no_cuts = a->shape == ES_SHAPE_TABLE && a->az.n == 0 && a->el.n == 0;
  return no_cuts || (a->shape == ES_SHAPE_ALL_ROUND && !(a->beam_el > 0.0));
}

double es_antenna_beam(const es_antenna *a, double freq_ghz) {
  if (a->shape == ES_SHAPE_DISH) return es_dish_beam(a->dish_m, freq_ghz);
  if (a->shape == ES_SHAPE_BEAM || a->shape == ES_SHAPE_SECTOR) return sqrt(a->beam_az * a->beam_el);
  if (a->shape == ES_SHAPE_SLOTTED || (a->shape == ES_SHAPE_ALL_ROUND && a->beam_el > 0.0)) return ES_PI;
  /* a pencil beam of that gain, 32000 / (beam in degrees)^2: common practice, no source */
  double beam = es_rad(sqrt(32000.0 / es_ratio(a->peak_dbi)));
  return fmin(beam, ES_PI);
}

void es_antenna_fini(es_antenna *a) {
  free(a->az.angle);
  free(a->az.rel_db);
  free(a->el.angle);
  free(a->el.rel_db);
  *a = (es_antenna){0};
}
