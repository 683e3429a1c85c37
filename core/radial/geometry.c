/* geometry.c - the shared geometry of every receiver on a radial. Sources: ITU-R P.2001-6 3.7 (horizons), 3.8 (smooth
 * earth), 3.9 (common volume), attachment H (places on the sphere).                                                      */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/status.h"
#include "base/units.h"
#include "radial/hull.h"
#include "radial/radial.h"
#include "radial/zones.h"

/* The arrays of es_receivers, writable. */
typedef struct table {
  size_t *last;
  es_place *at;
  double *dist, *slant, *el_tx, *el_rx, *d_tx, *d_rx, *horizon_tx, *horizon_rx;
  double *smooth_tx, *smooth_rx, *fit_tx, *fit_rx, *rough, *mid_ground, *mid_lat, *cv_tx, *cv_height;
  double *land, *inland, *sea_tx, *sea_rx, *sea_share, *clear_m, *clear_f1, *worst;
  uint8_t *los, *zone;
} table;

static bool table_create(es_arena *arena, size_t n, table *t) {
  double **columns[] = {&t->dist,   &t->slant,      &t->el_tx,      &t->el_rx,      &t->d_tx,
                        &t->d_rx,   &t->horizon_tx, &t->horizon_rx, &t->smooth_tx,  &t->smooth_rx,
                        &t->fit_tx, &t->fit_rx,     &t->rough,      &t->mid_ground, &t->mid_lat,
                        &t->cv_tx,  &t->cv_height,  &t->land,       &t->inland,     &t->sea_tx,
                        &t->sea_rx, &t->sea_share,  &t->clear_m,    &t->clear_f1,   &t->worst};
  for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
    if ((*columns[i] = ES_NEW(arena, double, n)) == NULL) return false;
  t->last = ES_NEW(arena, size_t, n);
  t->at = ES_NEW(arena, es_place, n);
  t->los = ES_NEW(arena, uint8_t, n);
  t->zone = ES_NEW(arena, uint8_t, n);
  return t->last != NULL && t->at != NULL && t->los != NULL && t->zone != NULL;
}

static es_receivers table_view(const table *t, size_t n) {
  return (es_receivers){.n = n,
                        .last = t->last,
                        .at = t->at,
                        .dist_m = t->dist,
                        .slant_m = t->slant,
                        .el_tx = t->el_tx,
                        .el_rx = t->el_rx,
                        .d_tx_m = t->d_tx,
                        .d_rx_m = t->d_rx,
                        .horizon_tx_m = t->horizon_tx,
                        .horizon_rx_m = t->horizon_rx,
                        .smooth_tx_m = t->smooth_tx,
                        .smooth_rx_m = t->smooth_rx,
                        .fit_tx_m = t->fit_tx,
                        .fit_rx_m = t->fit_rx,
                        .rough_m = t->rough,
                        .mid_ground_m = t->mid_ground,
                        .mid_lat_deg = t->mid_lat,
                        .cv_tx_m = t->cv_tx,
                        .cv_height_m = t->cv_height,
                        .land_m = t->land,
                        .inland_m = t->inland,
                        .sea_tx_m = t->sea_tx,
                        .sea_rx_m = t->sea_rx,
                        .sea_share = t->sea_share,
                        .los = t->los};
}

/* --- places --------------------------------------------------------------------------------------------------------- */

es_lonlat es_sphere_ahead(es_lonlat from, double azimuth, double dist_m) {
  double p = dist_m / (ES_EARTH_KM * 1e3), lat0 = es_rad(from.lat_deg);
  double s = es_clamp(sin(lat0) * cos(p) + cos(lat0) * sin(p) * cos(azimuth), -1.0, 1.0);
  double x = cos(p) - s * sin(lat0), y = cos(lat0) * sin(p) * sin(azimuth);
  double lon = fabs(x) < 1e-9 && fabs(y) < 1e-9 ? es_rad(from.lon_deg) : es_rad(from.lon_deg) + atan2(y, x);
  return (es_lonlat){remainder(es_deg(lon), 360.0), es_deg(asin(s))};
}

static void set_places(const es_radial_setup *setup, const es_line *line, const es_spot *spots, size_t n, table *t) {
  double h_tx = line->ground_m[0] + setup->beacon_agl_m;
  size_t last = 0;
  for (size_t r = 0; r < n; r++) {
    double dist = spots[r].dist_m, h_rx = spots[r].ground_m + spots[r].antenna_agl_m;
    while (last + 1 < line->n && line->dist_m[last + 1] < dist) last++;
    es_lonlat at = es_sphere_ahead(setup->from, setup->azimuth, dist);
    t->last[r] = last;
    t->at[r] = (es_place){at.lon_deg, at.lat_deg, spots[r].ground_m, h_rx};
    t->dist[r] = dist;
    t->slant[r] = hypot(dist, h_tx - h_rx);
    t->zone[r] = spots[r].zone;
    t->mid_lat[r] = es_sphere_ahead(setup->from, setup->azimuth, 0.5 * dist).lat_deg;
  }
}

static double ground_between(const es_line *line, size_t *i, double dist, double end_dist, double end_ground) {
  while (*i + 1 < line->n && line->dist_m[*i + 1] <= dist) (*i)++;
  bool ends = *i + 1 >= line->n || line->dist_m[*i + 1] >= end_dist; /* a receiver on a sample has ground of its own */
  double x1 = ends ? end_dist : line->dist_m[*i + 1], y1 = ends ? end_ground : line->ground_m[*i + 1];
  double share = (dist - line->dist_m[*i]) / (x1 - line->dist_m[*i]);
  return line->ground_m[*i] + share * (y1 - line->ground_m[*i]);
}

/* P.2001 (3.2.2) takes the middle profile point, or the mean of the middle two. With equal steps that is the ground at half
 * the distance; without, the points are counted. */
static void set_mid_ground(const es_line *line, size_t n, table *t) {
  size_t i = 0;
  for (size_t r = 0; line->step_m == 0.0 && r < n; r++) {
    size_t points = t->last[r] + 2, low = (points - 1) / 2, high = points / 2;
    double second = high <= t->last[r] ? line->ground_m[high] : t->at[r].ground_m;
    t->mid_ground[r] = 0.5 * (line->ground_m[low] + second);
  }
  for (size_t r = 0; line->step_m > 0.0 && r < n; r++)
    t->mid_ground[r] = ground_between(line, &i, 0.5 * t->dist[r], t->dist[r], t->at[r].ground_m);
}

/* --- horizons, P.2001 3.7 -------------------------------------------------------------------------------------------- */

static void set_horizon(const es_radial_setup *setup, const es_line *line, double h_tx, const es_hull *hull, size_t r,
                        table *t) {
  double dist = t->dist[r], bend = dist / (setup->earth_radius_km * 1e3); /* angle between the two verticals */
  double direct = (t->at[r].antenna_m - h_tx) / dist - 0.5 * bend;        /* (3.7.2) */
  bool alone = hull->tx_at == SIZE_MAX;
  t->los[r] = alone || hull->clear_at != SIZE_MAX; /* one judge: at grazing a second one may round the other way */
  if (t->los[r]) {                                 /* (3.7.4), (3.7.5) */
    size_t nearest = alone ? 0 : hull->clear_at;
    t->el_tx[r] = direct;
    t->el_rx[r] = -direct - bend;
    t->d_tx[r] = alone ? dist : line->dist_m[nearest];
    t->d_rx[r] = alone ? dist : dist - line->dist_m[nearest];
    t->horizon_tx[r] = t->horizon_rx[r] = line->ground_m[nearest];
    return;
  }
  t->el_tx[r] = hull->tx_slope; /* (3.7.6) to (3.7.10); the slope of g holds the curvature already */
  t->el_rx[r] = hull->rx_slope - bend;
  t->d_tx[r] = line->dist_m[hull->tx_at];
  t->d_rx[r] = dist - line->dist_m[hull->rx_at];
  t->horizon_tx[r] = line->ground_m[hull->tx_at];
  t->horizon_rx[r] = line->ground_m[hull->rx_at];
}

/* Least clearance for people: metres under the direct line and in first Fresnel zones, negative when blocked. In line of
 * sight the sample is exact; behind an obstacle it is the higher of the two horizons' edges over the direct line. */
static void set_clearance(const es_radial_setup *setup, const es_line *line, double h_tx, const es_hull *hull, size_t r,
                          table *t) {
  double dist = t->dist[r], best = INFINITY;
  size_t candidates[3] = {hull->clear_at, hull->tx_at, hull->rx_at};
  t->clear_m[r] = t->clear_f1[r] = t->worst[r] = NAN;
  for (int i = 0; i < 3; i++) {
    if (candidates[i] == SIZE_MAX) continue;
    double x = line->dist_m[candidates[i]], rest = dist - x;
    double bulge = 0.5 * x * rest / (setup->earth_radius_km * 1e3);
    double clear = h_tx + (t->at[r].antenna_m - h_tx) * x / dist - line->ground_m[candidates[i]] - bulge;
    double zones = clear / sqrt(setup->wavelength_m * x * rest / dist);
    if (zones >= best) continue;
    best = zones;
    t->clear_m[r] = clear;
    t->clear_f1[r] = zones;
    t->worst[r] = x;
  }
}

/* --- smooth earth, P.2001 3.8 ----------------------------------------------------------------------------------------- */

/* Prefix sums of (3.8.1a,b) over the samples up to i. */
typedef struct fit {
  double v1, v2;
  size_t i;
} fit;

static void fit_segment(double *v1, double *v2, double x0, double y0, double x1, double y1) {
  *v1 += (x1 - x0) * (y1 + y0);
  *v2 += (x1 - x0) * (y1 * (2.0 * x1 + x0) + y0 * (x1 + 2.0 * x0));
}

static void fit_to(fit *f, const es_line *line, size_t last, double dist, double ground, double *tx, double *rx) {
  for (; f->i < last; f->i++)
    fit_segment(&f->v1, &f->v2, line->dist_m[f->i], line->ground_m[f->i], line->dist_m[f->i + 1],
                line->ground_m[f->i + 1]);
  double v1 = f->v1, v2 = f->v2;
  fit_segment(&v1, &v2, line->dist_m[last], line->ground_m[last], dist, ground);
  *tx = (2.0 * v1 * dist - v2) / (dist * dist); /* (3.8.2a) */
  *rx = (v2 - v1 * dist) / (dist * dist);       /* (3.8.2b) */
}

/* What stands above the straight line between the antennas, without any curvature: (3.8.8), (3.8.9). */
typedef struct obstruction {
  es_hull_stack hull;
  double tx_slope;
  size_t pushed;
} obstruction;

static void obstruct(obstruction *o, const es_line *line, double h_tx, size_t r, table *t, double *smooth_tx,
                     double *smooth_rx) {
  for (; o->pushed < t->last[r]; o->pushed++) {
    size_t i = o->pushed + 1;
    o->tx_slope = fmax(o->tx_slope, (line->ground_m[i] - h_tx) / line->dist_m[i]);
    es_hull_push(&o->hull, line->dist_m[i], line->ground_m[i], i);
  }
  if (o->hull.n == 0) return;
  double h_rx = t->at[r].antenna_m, slope = (h_rx - h_tx) / t->dist[r];
  size_t top = es_hull_support(&o->hull, slope), edge = es_hull_tangent(&o->hull, t->dist[r], h_rx);
  double height = o->hull.y[top] - h_tx - slope * o->hull.x[top];
  if (!(height > 0.0)) return;
  double from_tx = o->tx_slope - slope;
  double from_rx = (o->hull.y[edge] - h_rx) / (t->dist[r] - o->hull.x[edge]) + slope;
  *smooth_tx -= height * from_tx / (from_tx + from_rx);
  *smooth_rx -= height * from_rx / (from_tx + from_rx);
}

static bool set_smooth_earth(es_arena *arena, const es_line *line, double h_tx, size_t n, table *t) {
  es_arena_mark mark = es_arena_now(arena);
  obstruction o = {.tx_slope = -INFINITY};
  o.hull.x = ES_NEW(arena, double, line->n);
  o.hull.y = ES_NEW(arena, double, line->n);
  o.hull.slope = ES_NEW(arena, double, line->n);
  o.hull.at = ES_NEW(arena, size_t, line->n);
  bool ok = o.hull.x != NULL && o.hull.y != NULL && o.hull.slope != NULL && o.hull.at != NULL;
  fit f = {0};
  for (size_t r = 0; ok && r < n; r++) {
    double tx, rx, h0 = line->ground_m[0], hn = t->at[r].ground_m;
    fit_to(&f, line, t->last[r], t->dist[r], hn, &tx, &rx);
    t->fit_tx[r] = fmin(tx, h0); /* (3.8.4) */
    t->fit_rx[r] = fmin(rx, hn);
    obstruct(&o, line, h_tx, r, t, &tx, &rx);
    t->smooth_tx[r] = fmin(tx, h0); /* (3.8.10) */
    t->smooth_rx[r] = fmin(rx, hn);
  }
  es_arena_back_to(arena, mark);
  return ok;
}

/* --- roughness, P.2001 (3.8.7) ------------------------------------------------------------------------------------------ */

enum { BLOCK = 32 };

/* Highest ground of each block of samples, so that most blocks are passed over unread. */
static double *block_tops(es_arena *arena, const es_line *line) {
  double *tops = ES_NEW(arena, double, line->n / BLOCK + 1);
  for (size_t b = 0; tops != NULL && b * BLOCK < line->n; b++) {
    double top = line->ground_m[b * BLOCK];
    for (size_t i = b * BLOCK + 1; i < line->n && i < (b + 1) * BLOCK; i++) top = fmax(top, line->ground_m[i]);
    tops[b] = top;
  }
  return tops;
}

/* Largest height of samples from..to over the line base + slope x. */
static double highest_over(const es_line *line, const double *tops, size_t from, size_t to, double base, double slope) {
  double best = -INFINITY;
  for (size_t i = from; i <= to;) {
    size_t end = (i / BLOCK + 1) * BLOCK - 1;
    if (end > to) end = to;
    double lowest_base = base + fmin(slope * line->dist_m[i], slope * line->dist_m[end]);
    if (tops[i / BLOCK] - lowest_base > best)
      for (; i <= end; i++) best = fmax(best, line->ground_m[i] - base - slope * line->dist_m[i]);
    i = end + 1;
  }
  return best;
}

static void set_roughness(const es_line *line, const double *tops, const es_hull *hull, size_t r, table *t) {
  double slope = (t->fit_rx[r] - t->fit_tx[r]) / t->dist[r];
  size_t from = t->los[r] ? hull->clear_at : hull->tx_at, to = t->los[r] ? hull->clear_at : hull->rx_at;
  if (from == SIZE_MAX) {
    t->rough[r] = 0.0;
    return;
  }
  if (from > to) { /* the two horizons overlap */
    size_t swap = from;
    from = to;
    to = swap;
  }
  t->rough[r] = highest_over(line, tops, from, to, t->fit_tx[r], slope);
}

/* --- common volume, P.2001 3.9 ------------------------------------------------------------------------------------------- */

static void set_common_volume(const es_radial_setup *setup, double h_tx, size_t r, table *t) {
  double dist = t->dist[r], radius = setup->earth_radius_km * 1e3, half = 0.5 * dist / radius;
  double up_tx = fmax(t->el_tx[r], 0.0), up_rx = fmax(t->el_rx[r], 0.0);
  double a = tan(up_tx + half), b = tan(up_rx + half);
  double d = (dist * b - (h_tx - t->at[r].antenna_m)) / (a + b);
  d = a + b > 0.0 ? es_clamp(d, 0.0, dist) : 0.5 * dist; /* flat or hollow earth: both rays level */
  t->cv_tx[r] = d;
  t->cv_height[r] = h_tx + d * tan(up_tx) + 0.5 * d * d / radius;
}

/* --- all together --------------------------------------------------------------------------------------------------------- */

int32_t es_radial_place(es_arena *arena, const es_radial_setup *setup, const es_line *line, const es_spot *spots,
                        size_t n, es_radial *out) {
  table t;
  double *tops = block_tops(arena, line);
  es_hull *hulls = ES_NEW(arena, es_hull, n);
  if (tops == NULL || hulls == NULL || !table_create(arena, n, &t)) return ES_E_MEMORY;
  double h_tx = line->ground_m[0] + setup->beacon_agl_m;
  set_places(setup, line, spots, n, &t);
  *out =
      (es_radial){setup->from, setup->azimuth,    {setup->from.lon_deg, setup->from.lat_deg, line->ground_m[0], h_tx},
                  *line,       table_view(&t, n), setup->earth_radius_km,
                  t.clear_m,   t.clear_f1,        t.worst};
  if (es_tangents(arena, out, 1.0 / setup->earth_radius_km, 0, 0.0, hulls) != 0) return ES_E_MEMORY;
  if (!set_smooth_earth(arena, line, h_tx, n, &t)) return ES_E_MEMORY;
  set_mid_ground(line, n, &t);
  for (size_t r = 0; r < n; r++) {
    set_horizon(setup, line, h_tx, &hulls[r], r, &t);
    set_clearance(setup, line, h_tx, &hulls[r], r, &t);
    set_roughness(line, tops, &hulls[r], r, &t);
    set_common_volume(setup, h_tx, r, &t);
  }
  es_zone_lengths lengths = {t.land, t.inland, t.sea_tx, t.sea_rx, t.sea_share};
  es_zone_lengths_fill(line, &out->rx, t.zone, &lengths);
  return 0;
}
