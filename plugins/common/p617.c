#include "common/p617.h"

#include <math.h>

static const double EARTH_KM = 6370.0, SCALE_HEIGHT_KM = 7.35; /* a, hb */
static const double SMALLEST_ANGLE_MRAD = 1e-6;                /* (7a) divides by its sine */

double p617_ground_km(const es_task *task, size_t r) {
  const es_line *line = task->line;
  double at_m = task->rx->cv_tx_m[r];
  if (!(at_m >= 0.0)) return NAN;
  size_t low = 0, high = line->n - 1;
  while (high - low > 1) { /* the last sample at or before the place */
    size_t middle = low + (high - low) / 2;
    if (line->dist_m[middle] <= at_m)
      low = middle;
    else
      high = middle;
  }
  double span_m = line->dist_m[high] - line->dist_m[low];
  double weight = span_m > 0.0 ? (at_m - line->dist_m[low]) / span_m : 0.0;
  if (weight > 1.0) weight = 1.0;
  if (weight > 0.0 && line->known && !line->known[high]) return NAN;
  if (weight < 1.0 && line->known && !line->known[low]) return NAN;
  if (weight == 0.0) return 0.001 * line->ground_m[low];
  if (weight == 1.0) return 0.001 * line->ground_m[high];
  return 0.001 * ((1.0 - weight) * line->ground_m[low] + weight * line->ground_m[high]);
}

static double climate(const es_task *task, es_climate_key key, size_t r) {
  return task->host->climate(task->ctx, key, ES_AT_COMMON_VOLUME, r);
}

double p617_radius_km(const es_task *task, size_t r, int of_climate) {
  return EARTH_KM * (of_climate ? 157.0 / (157.0 - climate(task, ES_DELTA_N, r)) : 4.0 / 3.0);
}

/* (7a), (7b) Height of the lowest scatter point, km above sea. */
static double scatter_height_km(const es_task *task, size_t r, double theta_mrad, double ka_km) {
  double dist_km = 0.001 * task->rx->dist_m[r];
  double ht_km = 0.001 * task->beacon->antenna_m, hr_km = 0.001 * task->rx->at[r].antenna_m;
  double beta = dist_km / (2.0 * ka_km) + task->rx->el_rx[r] + (hr_km - ht_km) / dist_km;
  double along_km = dist_km * sin(beta) / sin(0.001 * theta_mrad); /* d s */
  return ht_km + along_km * (along_km / (2.0 * ka_km) + sin(task->rx->el_tx[r]));
}

p617_path p617_path_of(const es_task *task, size_t r, double gains_dbi, double ka_km) {
  double dist_km = 0.001 * task->rx->dist_m[r], n0 = climate(task, ES_N0, r);
  double theta_mrad = 1000.0 * (dist_km / ka_km + task->rx->el_tx[r] + task->rx->el_rx[r]);
  p617_path path = {.theta_mrad = theta_mrad < SMALLEST_ANGLE_MRAD ? SMALLEST_ANGLE_MRAD : theta_mrad};
  theta_mrad = path.theta_mrad;
  path.f_db = 0.18 * n0 * exp(-p617_ground_km(task, r) / SCALE_HEIGHT_KM) - 0.23 * climate(task, ES_DELTA_N, r);
  path.h0_km = scatter_height_km(task, r, theta_mrad, ka_km);
  path.lc_db = 0.07 * exp(0.055 * gains_dbi);
  path.median_db = path.f_db + 22.0 * log10(1000.0 * task->freq_ghz) +
                   17.5 * log10(theta_mrad * theta_mrad + 7.0 * theta_mrad + 4.0) + 17.0 * log10(dist_km) + path.lc_db;
  path.spread_db = 0.035 * n0 * exp(-path.h0_km / SCALE_HEIGHT_KM);
  return path;
}

/* How far p is from the median, in decades. */
static double decades_off_median(double p) { return p < 50.0 ? -log10(p / 50.0) : -log10((100.0 - p) / 50.0); }

double p617_yp_db(const p617_path *path, double p) {
  return copysign(path->spread_db, 50.0 - p) * pow(decades_off_median(p), 0.67);
}
