#include "link/link.h"

#include <math.h>

#include "base/units.h"
#include "station/noise.h"

const double es_year_percent[ES_YEAR_STEPS] = {0.001, 0.01, 0.1, 1, 5, 10, 20, 50, 80, 90, 95, 99, 99.9, 99.99};

es_receive_noise es_receiver_noise(const es_receiver *rx, double freq_ghz, double el) {
  return es_receiver_noise_over(rx, freq_ghz, el, 0.0);
}

es_receive_noise es_receiver_noise_over(const es_receiver *rx, double freq_ghz, double el, double horizon) {
  double beam = es_antenna_beam(&rx->antenna, freq_ghz);
  es_receive_noise n = {.antenna_k = rx->antenna_k};
  if (isnan(n.antenna_k)) n.antenna_k = es_antenna_temperature_k(beam, el, horizon, freq_ghz);
  n.system_k = es_system_temperature_k(n.antenna_k, rx->feeder_db, rx->noise_figure_db);
  n.noise_2500_dbm = es_noise_dbm(n.system_k, 2500.0);
  return n;
}

double es_level_dbm(double power_dbm, double feeder_db, double system_loss_db) {
  return power_dbm - feeder_db - system_loss_db;
}

static double between(double x, double x0, double y0, double x1, double y1) {
  return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
}

double es_heard_percent(const double *percent, const double *snr_db, size_t n, double needed_db) {
  double previous = INFINITY, heard = -1.0;
  for (size_t k = 0; k < n; k++) {
    if (isnan(snr_db[k])) return NAN;
    double snr = fmin(snr_db[k], previous);
    if (heard < 0.0 && snr < needed_db) {
      if (k == 0)
        heard = 0.0;
      else {
        double z0 = es_normal_deviate(percent[k - 1] / 100.0), z1 = es_normal_deviate(percent[k] / 100.0);
        double z = between(needed_db, previous, z0, snr, z1);
        heard = 100.0 * es_normal_share(z);
      }
    }
    previous = snr;
  }
  return heard < 0.0 ? 100.0 : heard;
}

double es_snr_at(const double *percent, const double *snr_db, size_t n, double p) {
  if (p <= percent[0]) return snr_db[0];
  for (size_t k = 1; k < n; k++)
    if (p <= percent[k])
      return between(es_normal_deviate(p / 100.0), es_normal_deviate(percent[k - 1] / 100.0), snr_db[k - 1],
                     es_normal_deviate(percent[k] / 100.0), snr_db[k]);
  return snr_db[n - 1];
}

const es_mode *es_best_mode(const es_modes *modes, double snr_db, double width_hz) {
  const es_mode *best = NULL;
  double most = -INFINITY;
  for (size_t i = 0; i < modes->n; i++) {
    double needed = es_mode_needed_db(&modes->items[i], width_hz);
    if (!(snr_db >= needed && needed > most)) continue;
    best = &modes->items[i];
    most = needed;
  }
  return best;
}
