#include "radial/blocking.h"

#include <math.h>
#include <stdbool.h>

static const double ZONE_SHARE = 0.6, LEAST_ARM_M = 0.1;
static const double LEAST_LEVER =
    0.25; /* what stands on the horizon itself is not cleared by more height at this end */

/* The ray of one end in parabolic heights, from that end. */
typedef struct ray {
  const es_line *line;
  double half_curvature, from_m, sign, g, slope, reach_m, hinge_m, path_m, wavelength_m;
} ray;

static double meeting_m(const es_radial *radial, size_t r, double k) {
  const es_receivers *rx = &radial->rx;
  double dist = rx->dist_m[r], g_tx = radial->beacon.antenna_m, g_rx = rx->at[r].antenna_m - k * dist * dist;
  double s_tx = rx->el_tx[r], s_rx = rx->el_rx[r] + 2.0 * k * dist;
  double meet = s_tx + s_rx > 1e-9 ? (g_rx + s_rx * dist - g_tx) / (s_tx + s_rx) : rx->d_tx_m[r];
  return fmin(fmax(meet, 0.0), dist);
}

static ray ray_of(const es_radial *radial, size_t r, int32_t end, double wavelength_m) {
  const es_receivers *rx = &radial->rx;
  double k = 0.5e-3 / radial->earth_radius_km, dist = rx->dist_m[r], meet = meeting_m(radial, r, k);
  ray a = {.line = &radial->line, .half_curvature = k, .path_m = dist, .wavelength_m = wavelength_m};
  bool beacon = end == ES_BEACON;
  a.from_m = beacon ? 0.0 : dist;
  a.sign = beacon ? 1.0 : -1.0;
  a.g = beacon ? radial->beacon.antenna_m : rx->at[r].antenna_m - k * dist * dist;
  a.slope = beacon ? rx->el_tx[r] : rx->el_rx[r] + 2.0 * k * dist;
  a.reach_m = beacon ? meet : dist - meet;
  a.hinge_m = rx->los[r] ? dist : beacon ? rx->d_tx_m[r] : rx->d_rx_m[r];
  return a;
}

static double zone_m(const ray *a, double x) {
  return sqrt(a->wavelength_m * fmax(x * (a->path_m - x) / a->path_m, LEAST_ARM_M));
}

/* How far sample i stands above the ray, m; false where nothing stands or the ray does not go. */
static bool above(const ray *a, size_t i, double *x, double *over_m) {
  const es_line *l = a->line;
  *x = (l->dist_m[i] - a->from_m) * a->sign;
  if (l->density == NULL || !(l->density[i] > 0.0) || *x < 0.0 || *x > a->reach_m) return false;
  double g = l->top_m[i] - a->half_curvature * l->dist_m[i] * l->dist_m[i];
  *over_m = g - (a->g + a->slope * *x);
  return true;
}

static bool intrudes(const ray *a, size_t i) {
  double x, over;
  return above(a, i, &x, &over) && over > -ZONE_SHARE * zone_m(a, x);
}

static double lever(const ray *a, double x) { return 1.0 - x / a->hinge_m; }

/* Half an interval to either side belongs to a sample. */
static void measure_run(const ray *a, size_t worst, size_t last, es_blocking *out) {
  const es_line *l = a->line;
  size_t low = worst, high = worst;
  while (low > 0 && intrudes(a, low - 1)) low--;
  while (high < last && intrudes(a, high + 1)) high++;
  double from = low > 0 ? 0.5 * (l->dist_m[low - 1] + l->dist_m[low]) : l->dist_m[0];
  double to = high < last ? 0.5 * (l->dist_m[high] + l->dist_m[high + 1]) : l->dist_m[last];
  double near = a->sign > 0.0 ? from : a->from_m - to;
  out->from_m = fmax(near, 0.0);
  out->depth_m = to - from;
}

void es_blocking_find(const es_radial *radial, size_t r, int32_t end, double wavelength_m, es_blocking *out) {
  ray a = ray_of(radial, r, end, wavelength_m);
  const es_line *l = a.line;
  double best = -INFINITY;
  size_t worst = 0, last = radial->rx.last[r] + 1 < l->n ? radial->rx.last[r] + 1 : l->n - 1;
  bool onward = a.sign > 0.0; /* the ray goes over the samples first.., as far as it reaches */
  size_t first = 0;
  *out = (es_blocking){0};
  while (!onward && first < last && a.from_m - l->dist_m[first] > a.reach_m) first++;
  for (size_t i = first; l->top_m != NULL && i <= last && !(onward && l->dist_m[i] > a.reach_m); i++) {
    double x, over;
    if (l->density == NULL || !(l->density[i] > 0.0)) continue; /* most: not worth a call */
    if (!above(&a, i, &x, &over) || !(over > -ZONE_SHARE * zone_m(&a, x))) continue;
    out->any = 1;
    double hand = lever(&a, x);
    if (hand >= LEAST_LEVER) out->extra_m = fmax(out->extra_m, (over + ZONE_SHARE * zone_m(&a, x)) / hand);
    double zones = over / zone_m(&a, x);
    if (!(zones > best)) continue;
    best = zones;
    worst = i;
    out->below_m = over;
    out->below_f1 = zones;
  }
  if (!out->any) return;
  if (lever(&a, (l->dist_m[worst] - a.from_m) * a.sign) < LEAST_LEVER) out->extra_m = NAN;
  out->at_m = l->dist_m[worst];
  out->top_m = l->top_m[worst];
  out->leaf = l->leaf[worst];
  measure_run(&a, worst, last, out);
}

double es_under_canopy_m(const es_radial *radial, size_t r, int32_t end) {
  const es_line *l = &radial->line;
  if (l->top_m == NULL) return 0.0;
  size_t i = 0;
  if (end == ES_LISTENER) {
    i = radial->rx.last[r];
    if (i + 1 < l->n && l->dist_m[i + 1] - radial->rx.dist_m[r] < radial->rx.dist_m[r] - l->dist_m[i]) i++;
  }
  double antenna = end == ES_BEACON ? radial->beacon.antenna_m : radial->rx.at[r].antenna_m;
  return l->density[i] > 0.0 ? fmax(l->top_m[i] - antenna, 0.0) : 0.0;
}
