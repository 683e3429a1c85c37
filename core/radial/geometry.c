/* geometry.c - the shared geometry of every receiver on a radial. Sources: ITU-R P.2001-6 3.7 (horizons), 3.8 (smooth
 * earth), 3.9 (common volume), attachment H (places on the sphere).                                                      */
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/status.h"
#include "base/units.h"
#include "radial/kernel.h"
#include "radial/outline.h"
#include "radial/radial.h"
#include "radial/zones.h"

static inline double higher(double a, double b) { return a > b ? a : b; }

/* The arrays of es_receivers, writable. */
typedef struct table {
  size_t *last;
  es_place *at;
  double *dist, *slant, *el_tx, *el_rx, *d_tx, *d_rx, *horizon_tx, *horizon_rx;
  double *smooth_tx, *smooth_rx, *fit_tx, *fit_rx, *rough, *mid_ground, *mid_lat, *cv_tx, *cv_height;
  double *land, *inland, *sea_tx, *sea_rx, *sea_share, *clear_m, *clear_f1, *worst;
  uint8_t *los, *zone;
} table;

/* A column that is NaN from end to end: all that nobody reads share it. */
static double *unknown_column(es_arena *arena, size_t n) {
  double *column = ES_NEW(arena, double, n);
  for (size_t i = 0; column != NULL && i < n; i++) column[i] = NAN;
  return column;
}

static bool table_create(es_arena *arena, size_t n, uint32_t unread, table *t) {
  const struct {
    double **column;
    uint32_t group; /* 0: always computed */
  } columns[] = {{&t->dist, 0},
                 {&t->slant, 0},
                 {&t->el_tx, 0},
                 {&t->el_rx, 0},
                 {&t->d_tx, ES_UNREAD_HORIZONS},
                 {&t->d_rx, ES_UNREAD_HORIZONS},
                 {&t->horizon_tx, ES_UNREAD_HORIZONS},
                 {&t->horizon_rx, ES_UNREAD_HORIZONS},
                 {&t->smooth_tx, 0},
                 {&t->smooth_rx, 0},
                 {&t->fit_tx, 0},
                 {&t->fit_rx, 0},
                 {&t->rough, ES_UNREAD_ROUGH},
                 {&t->mid_ground, ES_UNREAD_MIDDLE},
                 {&t->mid_lat, ES_UNREAD_MIDDLE},
                 {&t->cv_tx, ES_UNREAD_VOLUME},
                 {&t->cv_height, ES_UNREAD_VOLUME},
                 {&t->land, ES_UNREAD_ZONES},
                 {&t->inland, ES_UNREAD_ZONES},
                 {&t->sea_tx, ES_UNREAD_ZONES},
                 {&t->sea_rx, ES_UNREAD_ZONES},
                 {&t->sea_share, 0},
                 {&t->clear_m, ES_UNREAD_CLEARANCE},
                 {&t->clear_f1, ES_UNREAD_CLEARANCE},
                 {&t->worst, ES_UNREAD_CLEARANCE}};
  double *unknown = unread != 0 ? unknown_column(arena, n) : NULL;
  for (size_t i = 0; i < sizeof columns / sizeof *columns; i++) {
    *columns[i].column = (columns[i].group & unread) != 0 ? unknown : ES_NEW(arena, double, n);
    if (*columns[i].column == NULL) return false;
  }
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

enum { FAR_AHEAD = 64 };

/* The last sample before limit_m, from `last` on: a few steps, or with equal steps a jump and a few. */
static size_t last_before(const es_line *line, size_t last, double limit_m) {
  double ahead = line->step_m > 0.0 ? limit_m - line->dist_m[last] : 0.0;
  if (ahead > FAR_AHEAD * line->step_m) {
    size_t jump = last + (size_t)(ahead / line->step_m) - 1;
    jump = jump < line->n - 1 ? jump : line->n - 1;
    while (jump > last && line->dist_m[jump] >= limit_m) jump--;
    last = jump;
  }
  while (last + 1 < line->n && line->dist_m[last + 1] < limit_m) last++;
  return last;
}

static void set_spots(const es_line *line, double h_tx, const es_spot *spots, size_t n, table *t) {
  size_t last = 0;
  for (size_t r = 0; r < n; r++) {
    double dist = spots[r].dist_m, h_rx = spots[r].ground_m + spots[r].antenna_agl_m;
    t->last[r] = last = last_before(line, last, dist - spots[r].foot_m);
    t->at[r] = (es_place){NAN, NAN, spots[r].ground_m, h_rx};
    t->dist[r] = dist;
    t->slant[r] = sqrt(dist * dist + (h_tx - h_rx) * (h_tx - h_rx));
    t->zone[r] = spots[r].zone;
  }
}

static void set_places(const es_radial_setup *setup, size_t n, table *t) {
  for (size_t r = 0; r < n; r++) {
    es_lonlat at = es_sphere_ahead(setup->from, setup->azimuth, t->dist[r]);
    t->at[r].lon_deg = at.lon_deg;
    t->at[r].lat_deg = at.lat_deg;
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
static void set_middle(const es_radial_setup *setup, const es_line *line, size_t n, table *t) {
  size_t i = 0;
  for (size_t r = 0; r < n; r++) t->mid_lat[r] = es_sphere_ahead(setup->from, setup->azimuth, 0.5 * t->dist[r]).lat_deg;
  for (size_t r = 0; line->step_m == 0.0 && r < n; r++) {
    size_t points = t->last[r] + 2, low = (points - 1) / 2, high = points / 2;
    double second = high <= t->last[r] ? line->ground_m[high] : t->at[r].ground_m;
    t->mid_ground[r] = 0.5 * (line->ground_m[low] + second);
  }
  for (size_t r = 0; line->step_m > 0.0 && r < n; r++)
    t->mid_ground[r] = ground_between(line, &i, 0.5 * t->dist[r], t->dist[r], t->at[r].ground_m);
}

/* --- horizons, P.2001 3.7 -------------------------------------------------------------------------------------------- */

/* Elevations of the horizons, or of the other antenna in line of sight. */
static void set_elevations(const es_radial_setup *setup, double h_tx, const es_hull *hulls, size_t n, table *t) {
  double per_m = 1.0 / (setup->earth_radius_km * 1e3);
  for (size_t r = 0; r < n; r++) {
    const es_hull *hull = &hulls[r];
    double dist = t->dist[r], bend = dist * per_m;                   /* angle between the two verticals */
    double direct = (t->at[r].antenna_m - h_tx) / dist - 0.5 * bend; /* (3.7.2) */
    bool los =
        hull->tx_at == SIZE_MAX || hull->clear_at != SIZE_MAX; /* one judge: a second one may round the other way */
    t->los[r] = los;
    t->el_tx[r] = los ? direct : hull->tx_slope;                /* (3.7.6); the slope of g holds the curvature */
    t->el_rx[r] = los ? -direct - bend : hull->rx_slope - bend; /* (3.7.8) */
  }
}

/* Where the horizons are, or the sample with the least clearance: (3.7.4), (3.7.5), (3.7.7), (3.7.9). */
static void set_horizons(const es_line *line, const es_hull *hulls, size_t n, table *t) {
  for (size_t r = 0; r < n; r++) {
    const es_hull *hull = &hulls[r];
    bool alone = hull->tx_at == SIZE_MAX;
    size_t tx = alone ? 0 : t->los[r] ? hull->clear_at : hull->tx_at;
    size_t rx = alone ? 0 : t->los[r] ? hull->clear_at : hull->rx_at;
    t->d_tx[r] = alone ? t->dist[r] : line->dist_m[tx];
    t->d_rx[r] = alone ? t->dist[r] : t->dist[r] - line->dist_m[rx];
    t->horizon_tx[r] = line->ground_m[tx];
    t->horizon_rx[r] = line->ground_m[rx];
  }
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

/* --- roughness, P.2001 (3.8.7) ------------------------------------------------------------------------------------------ */

enum { BLOCK = 32 };

/* Highest ground of each block of samples, so that most blocks are passed over unread. */
static double *block_tops(es_arena *arena, const es_line *line) {
  double *tops = ES_NEW(arena, double, line->n / BLOCK + 1);
  for (size_t b = 0; tops != NULL && b * BLOCK < line->n; b++) {
    double top = line->ground_m[b * BLOCK];
    for (size_t i = b * BLOCK + 1; i < line->n && i < (b + 1) * BLOCK; i++) top = higher(top, line->ground_m[i]);
    tops[b] = top;
  }
  return tops;
}

/* The smooth earth under a path. */
typedef struct smooth_line {
  double base, slope;
} smooth_line;

static inline double over(const es_line *line, const smooth_line *s, size_t i) {
  return line->ground_m[i] - s->base - s->slope * line->dist_m[i];
}

/* Highest sample of from..to over the smooth line. `best` is where the receiver before had its own: with it as a start, few
 * blocks can hold anything higher. */
static size_t highest_over(const es_line *line, const double *tops, size_t from, size_t to, const smooth_line *s,
                           size_t best) {
  if (best < from || best > to) best = from;
  double most = over(line, s, best);
  for (size_t i = from; i <= to;) {
    size_t block = i / BLOCK, end = (block + 1) * BLOCK - 1;
    if (end > to) end = to;
    double lowest = s->base + s->slope * line->dist_m[s->slope > 0.0 ? i : end];
    if (tops[block] - lowest > most)
      for (size_t j = i; j <= end; j++)
        if (over(line, s, j) > most) most = over(line, s, j), best = j;
    i = end + 1;
  }
  return best;
}

static void set_roughness(const es_line *line, const double *tops, const es_hull *hulls, size_t n, table *t) {
  size_t best = 0;
  for (size_t r = 0; r < n; r++) {
    smooth_line s = {t->fit_tx[r], (t->fit_rx[r] - t->fit_tx[r]) / t->dist[r]};
    const es_hull *hull = &hulls[r];
    size_t from = t->los[r] ? hull->clear_at : hull->tx_at, to = t->los[r] ? hull->clear_at : hull->rx_at;
    t->rough[r] = 0.0;
    if (from == SIZE_MAX) continue;
    best = from <= to ? highest_over(line, tops, from, to, &s, best) /* else the two horizons overlap */
                      : highest_over(line, tops, to, from, &s, best);
    t->rough[r] = over(line, &s, best);
  }
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

/* More clearance than this, as 2 D clear_v2 in wavelengths, loses nothing: nu = -0.78, with room for rounded constants. */
static const double ENOUGH_WAVES = 0.63;

static void set_rest(const es_radial_setup *setup, uint32_t unread, const es_line *line, double h_tx,
                     const es_hull *hulls, const double *tops, size_t n, table *t) {
  if ((unread & ES_UNREAD_PLACES) == 0) set_places(setup, n, t);
  if ((unread & ES_UNREAD_HORIZONS) == 0) set_horizons(line, hulls, n, t);
  if ((unread & ES_UNREAD_MIDDLE) == 0) set_middle(setup, line, n, t);
  if ((unread & ES_UNREAD_ROUGH) == 0) set_roughness(line, tops, hulls, n, t);
  for (size_t r = 0; (unread & ES_UNREAD_CLEARANCE) == 0 && r < n; r++)
    set_clearance(setup, line, h_tx, &hulls[r], r, t);
  for (size_t r = 0; (unread & ES_UNREAD_VOLUME) == 0 && r < n; r++) set_common_volume(setup, h_tx, r, t);
}

/* A radial on its way through the stages below. */
typedef struct work {
  const es_placing *of;
  table t;
  double *tops, h_tx, enough_m;
  es_hull *hulls;
} work;

static bool begin(es_arena *arena, uint32_t unread, const es_placing *p, work *w) {
  const uint32_t exact = ES_UNREAD_HORIZONS | ES_UNREAD_ROUGH | ES_UNREAD_CLEARANCE; /* these ask where exactly */
  w->of = p;
  w->h_tx = p->line->ground_m[0] + p->setup.beacon_agl_m;
  w->enough_m = (unread & exact) == exact ? ENOUGH_WAVES * p->setup.wavelength_m : INFINITY;
  w->tops = (unread & ES_UNREAD_ROUGH) == 0 ? block_tops(arena, p->line) : NULL;
  w->hulls = ES_NEW(arena, es_hull, p->n);
  if (w->hulls == NULL || ((unread & ES_UNREAD_ROUGH) == 0 && w->tops == NULL)) return false;
  if (!table_create(arena, p->n, unread, &w->t)) return false;
  set_spots(p->line, w->h_tx, p->spots, p->n, &w->t);
  return true;
}

static es_median_walk walk_of(const work *w) {
  const table *t = &w->t;
  double curvature = 1.0 / w->of->setup.earth_radius_km; /* k as es_tangents() makes it, so that ties break alike */
  return (es_median_walk){{w->of->line, w->of->n, t->last, t->dist, t->at, w->h_tx, w->enough_m},
                          0.5e-3 * curvature,
                          w->hulls,
                          {t->fit_tx, t->fit_rx, t->smooth_tx, t->smooth_rx}};
}

static void finish(uint32_t unread, work *w) {
  const es_placing *p = w->of;
  const es_radial_setup *setup = &p->setup;
  table *t = &w->t;
  set_elevations(setup, w->h_tx, w->hulls, p->n, t);
  set_rest(setup, unread, p->line, w->h_tx, w->hulls, w->tops, p->n, t);
  *p->out = (es_radial){.from = setup->from,
                        .azimuth = setup->azimuth,
                        .beacon = {setup->from.lon_deg, setup->from.lat_deg, p->line->ground_m[0], w->h_tx},
                        .line = *p->line,
                        .rx = table_view(t, p->n),
                        .earth_radius_km = setup->earth_radius_km,
                        .hulls = w->hulls,
                        .enough_m = w->enough_m,
                        .clearance_m = t->clear_m,
                        .clearance_f1 = t->clear_f1,
                        .worst_m = t->worst,
                        .outlines = setup->outlines};
  es_zone_lengths lengths = {t->land, t->inland, t->sea_tx, t->sea_rx, t->sea_share};
  if ((unread & ES_UNREAD_ZONES) == 0)
    es_zone_lengths_fill(p->line, &p->out->rx, t->zone, &lengths);
  else
    es_sea_share_fill(p->line, &p->out->rx, t->zone, t->sea_share);
}

static int32_t place_group(es_arena *arena, uint32_t unread, const es_placing *all, size_t n) {
  work w[ES_SIDE_BY_SIDE];
  es_median_walk walks[ES_SIDE_BY_SIDE];
  for (size_t i = 0; i < n; i++) {
    if (!begin(arena, unread, &all[i], &w[i])) return ES_E_MEMORY;
    walks[i] = walk_of(&w[i]);
  }
  es_outlines *kept = all[0].setup.outlines;
  bool ok = kept != NULL ? es_outlines_median(kept, walks) : es_kernel_best()->median(arena, walks, n);
  if (!ok) return ES_E_MEMORY;
  for (size_t i = 0; i < n; i++) finish(unread, &w[i]);
  return 0;
}

int32_t es_radials_place(es_arena *arena, uint32_t unread, const es_placing *all, size_t n) {
  int32_t status = 0;
  for (size_t i = 0; status == 0 && i < n; i += ES_SIDE_BY_SIDE)
    status = place_group(arena, unread, all + i, n - i < ES_SIDE_BY_SIDE ? n - i : ES_SIDE_BY_SIDE);
  return status;
}

int32_t es_radial_place(es_arena *arena, const es_radial_setup *setup, const es_line *line, const es_spot *spots,
                        size_t n, es_radial *out) {
  es_placing one = {*setup, line, spots, n, out};
  return es_radials_place(arena, 0, &one, 1);
}
