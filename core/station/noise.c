/* noise.c - system temperature, noise power, and what an antenna on the ground picks up.
 *
 * Sources: definitions of ITU-R P.372 (1)-(8), reference temperature 290 K; k from the SI. Clear air after ITU-R
 * P.2001-6 attachment F: specific attenuation (F.6.1), (F.6.2) and the equivalent slant lengths of (F.4), sea
 * level, 7.5 g/m3. The antenna temperature is an approximation of this house: a Gaussian main lobe that holds 80 %
 * of the pattern, cut by the horizon, and side lobes that see ground and sky alike. Range: 1..50 GHz. Against a
 * line-by-line integration (ITU-R P.676-13 through the mean atmosphere of P.835-6) at 10.368 GHz the sky is within
 * 4 K from the horizon to the zenith, within 13 K at 1.3 to 47 GHz. */
#include "station/noise.h"

#include <math.h>

#include "base/units.h"

static const double REFERENCE_K = 290.0,
                    GROUND_K = 290.0; /* P.372; wet soil or woods at grazing sight, common practice */
static const double MEDIUM_K = 275.0; /* mean temperature of the absorbing air */
static const double COSMIC_K = 2.725;
static const double VAPOUR_G_M3 = 7.5;
static const double MAIN_LOBE = 0.8; /* share of the pattern */
static const double MIN_GHZ = 1.0, MAX_GHZ = 50.0;

double es_system_temperature_k(double antenna_k, double feeder_db, double noise_figure_db) {
  if (!(feeder_db >= 0.0 && noise_figure_db >= 0.0)) return NAN;
  double loss = es_ratio(feeder_db), receiver_k = REFERENCE_K * (es_ratio(noise_figure_db) - 1.0);
  return antenna_k + REFERENCE_K * (loss - 1.0) + loss * receiver_k;
}

double es_noise_dbm(double system_k, double bandwidth_hz) {
  if (!(system_k > 0.0 && bandwidth_hz > 0.0)) return NAN;
  return es_db(1e3 * ES_BOLTZMANN * system_k * bandwidth_hz);
}

/* gamma_o, P.2001 (F.6.1), dB/km. */
static double oxygen_db_km(double f) {
  return (7.2 / (f * f + 0.34) + 0.62 / (pow(54.0 - f, 1.16) + 0.83)) * f * f * 1e-3;
}

/* gamma_w, P.2001 (F.6.2), dB/km. */
static double vapour_db_km(double f, double rho) {
  double eta = 0.955 + 0.006 * rho, off = f - 22.235, image = (f - 22.0) / (f + 22.0);
  return (0.046 + 0.0019 * rho + 3.98 * eta / (off * off + 9.42 * eta * eta) * (1.0 + image * image)) * f * f * rho *
         1e-4;
}

/* Length in km of a slant path through an exponential atmosphere at sea level, P.2001 (F.4); below the horizon: as
 * on it. */
static double slant_km(double scale_km, double bend, double el) {
  double s = sin(es_clamp(el, 0.0, 0.5 * ES_PI));
  return scale_km / (0.65 * s + 0.35 * sqrt(s * s + bend));
}

double es_sky_temperature_k(double el, double freq_ghz) {
  if (!(freq_ghz >= MIN_GHZ && freq_ghz <= MAX_GHZ)) return NAN;
  double loss_db = oxygen_db_km(freq_ghz) * slant_km(5.0, 0.00304, el) +
                   vapour_db_km(freq_ghz, VAPOUR_G_M3) * slant_km(2.0, 0.00122, el);
  double passed = es_ratio(-loss_db);
  return MEDIUM_K * (1.0 - passed) + COSMIC_K * passed;
}

/* The same in every direction: ground below the horizon, sky above, weighted by solid angle in steps of 1 degree. */
static double without_beam_k(double horizon, double freq_ghz) {
  double sum = 0.0, weight = 0.0;
  for (int deg = -90; deg < 90; deg++) {
    double el = es_rad(deg + 0.5), w = cos(el);
    sum += w * (el < horizon ? GROUND_K : es_sky_temperature_k(el, freq_ghz));
    weight += w;
  }
  return sum / weight;
}

double es_antenna_temperature_k(double beam, double el, double horizon, double freq_ghz) {
  if (!(beam > 0.0 && freq_ghz >= MIN_GHZ && freq_ghz <= MAX_GHZ)) return NAN;
  if (beam >= ES_PI) return without_beam_k(horizon, freq_ghz);
  if (el < es_rad(-5.0)) return GROUND_K;
  double below = 0.5 * erfc(sqrt(4.0 * log(2.0)) * (el - horizon) / beam);
  double sky_k = es_sky_temperature_k(fmax(el, horizon + 0.25 * beam), freq_ghz);
  double around_k = 0.5 * (GROUND_K + es_sky_temperature_k(es_rad(30.0), freq_ghz));
  return MAIN_LOBE * ((1.0 - below) * sky_k + below * GROUND_K) + (1.0 - MAIN_LOBE) * around_k;
}
