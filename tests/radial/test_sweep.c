/* test_sweep.c - the sweep along a radial against the plain formulas of each path by itself. */
#include "near.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/units.h"
#include "common/delta_bullington.h"
#include "families.h"
#include "plain.h"
#include "radial/outline.h"
#include "radial/radial.h"

enum { CASES = 6000, MOST_SAMPLES = 3000, MOST_SPOTS = 8 };

/* One invented radial with all that is asked of it. */
typedef struct trial {
  unsigned long number;
  size_t family;
  es_samples samples;
  double dist_m[MOST_SAMPLES], ground_m[MOST_SAMPLES];
  uint8_t zone[MOST_SAMPLES];
  es_spot spots[MOST_SPOTS];
  size_t n_spots;
  es_radial_setup setup;
  db_setup loss;
  es_line line;
  es_radial radial;
  es_hull median[MOST_SPOTS], hull[MOST_SPOTS];
} trial;

/* --- inventing ------------------------------------------------------------------------------------------------------ */

static size_t sample_count(dice *d) {
  size_t kind = dice_whole(d, 0, 9);
  return kind < 4 ? dice_whole(d, 2, 7) : kind < 9 ? dice_whole(d, 8, 250) : dice_whole(d, 251, MOST_SAMPLES);
}

static void invent_line(trial *t, dice *d) {
  size_t n = sample_count(d);
  double step = dice_log_between(d, 5.0, 900e3 / (double)(n + 400));
  bool uniform = dice_whole(d, 0, 2) > 0;
  for (size_t i = 0; i < n; i++) {
    t->dist_m[i] = i == 0 ? 0.0 : uniform ? step * (double)i : t->dist_m[i - 1] + step * dice_between(d, 0.2, 1.8);
    t->zone[i] = i > 0 && dice_whole(d, 0, 4) > 0 ? t->zone[i - 1] : (uint8_t[]){1, 3, 4}[dice_whole(d, 0, 2)];
  }
  t->family = dice_whole(d, 0, FAMILIES - 1);
  family_fill(t->family, d, n, t->ground_m);
  t->samples = (es_samples){
      .n = n, .step_m = uniform ? step : 0.0, .dist_m = t->dist_m, .ground_m = t->ground_m, .zone = t->zone};
}

static double antenna_height(dice *d) { return dice_whole(d, 0, 3) == 0 ? 10.0 : dice_log_between(d, 0.3, 100.0); }

/* Receivers on the samples and between them, on the line's ground or on ground of their own. */
static void invent_spots(trial *t, dice *d) {
  size_t n = t->samples.n;
  double step = t->dist_m[1], end = t->dist_m[n - 1];
  for (size_t i = 1; i < n && t->n_spots < MOST_SPOTS; i++) {
    bool last = i + 1 == n;
    if (!last && dice_whole(d, 0, n / 4) > 0) continue;
    bool shifted = dice_whole(d, 0, 2) == 0, own = dice_whole(d, 0, 2) == 0;
    double dist = t->dist_m[i] + (shifted ? dice_between(d, -0.1, last ? 0.0 : 0.1) * step : 0.0);
    dist = fmin(dist, end);
    if (dist <= 0.0 || (t->n_spots > 0 && dist <= t->spots[t->n_spots - 1].dist_m)) continue;
    t->spots[t->n_spots++] = (es_spot){dist, t->ground_m[i] + (own ? dice_between(d, -20.0, 20.0) : 0.0),
                                       antenna_height(d), (uint8_t[]){1, 3, 4}[dice_whole(d, 0, 2)], 0.0};
  }
}

static double invent_curvature(dice *d) {
  size_t kind = dice_whole(d, 0, 9);
  if (kind == 0) return 0.0;
  if (kind == 1) return 1e-6;
  return kind < 4 ? 1.0 / 8500.0 : dice_between(d, -3e-5, 2.2e-4);
}

static void invent(trial *t, unsigned long number) {
  dice d = {number * 7919 + 1};
  *t = (trial){.number = number};
  invent_line(t, &d);
  invent_spots(t, &d);
  double freq = dice_log_between(&d, 0.1, 40.0), curvature = invent_curvature(&d);
  t->loss = (db_setup){.convention = (db_convention)dice_whole(&d, 0, 2),
                       .beta1 = (int)dice_whole(&d, 0, 1),
                       .freq_ghz = freq,
                       .polarisation = (int32_t)dice_whole(&d, 0, 1),
                       .curvature_per_km = curvature,
                       .radius_km = curvature > 1e-6 ? 1.0 / curvature : 1e6};
  t->setup = (es_radial_setup){.from = {-36.0, 46.0},
                               .azimuth = dice_between(&d, 0.0, 6.28),
                               .beacon_agl_m = antenna_height(&d),
                               .freq_ghz = freq,
                               .earth_radius_km = ES_EARTH_KM * dice_between(&d, 0.7, 3.7),
                               .wavelength_m = ES_LIGHT_M_S / (freq * 1e9)};
}

/* --- the same path, plainly --------------------------------------------------------------------------------------------- */

static real plain_d[MOST_SAMPLES + 1], plain_h[MOST_SAMPLES + 1];
static uint8_t plain_z[MOST_SAMPLES + 1];

/* Samples before receiver r, then the receiver itself. */
static plain_path path_of(const trial *t, size_t r) {
  const es_spot *spot = &t->spots[r];
  size_t n = 0;
  for (; n < t->samples.n && t->dist_m[n] < spot->dist_m; n++) {
    plain_d[n] = 1e-3L * t->dist_m[n];
    plain_h[n] = t->ground_m[n];
    plain_z[n] = t->zone[n];
  }
  plain_d[n] = 1e-3L * spot->dist_m;
  plain_h[n] = spot->ground_m;
  plain_z[n] = spot->zone;
  return (plain_path){n + 1,
                      plain_d,
                      plain_h,
                      plain_z,
                      (real)t->ground_m[0] + t->setup.beacon_agl_m,
                      (real)spot->ground_m + spot->antenna_agl_m};
}

/* --- comparing ------------------------------------------------------------------------------------------------------------ */

static const trial *now; /* for the messages of a failure */

static void near_value(const char *what, size_t r, double got, real want, real tolerance) {
  if (fabsl((real)got - want) <= tolerance) return;
  fail_msg("case %lu (%s, n %zu, C %g, f %g), receiver %zu: %s = %.12g, want %.12Lg (off %.3Lg)", now->number,
           family_name(now->family), now->samples.n, now->loss.curvature_per_km, now->loss.freq_ghz, r, what, got, want,
           (real)got - want);
}

/* Rounding of a slope near the closest sample, m/m. */
static real slope_noise(const plain_path *p, real curvature) {
  real total = p->d_km[p->n - 1], shortest = total, size = fabsl(p->tx_m) + fabsl(p->rx_m);
  for (size_t i = 1; i + 1 < p->n; i++) {
    if (p->d_km[i] < shortest) shortest = p->d_km[i];
    if (total - p->d_km[i] < shortest) shortest = total - p->d_km[i];
    if (fabsl(p->h_m[i]) > size) size = fabsl(p->h_m[i]);
  }
  return 1e-15L * (size + 500.0L * fabsl(curvature) * total * total) / (1e3L * shortest) + 1e-15L;
}

static void compare_hull(const plain_path *p, size_t r, const es_hull *got, real c) {
  real total = p->d_km[p->n - 1], best_tx = -INFINITY, best_rx = -INFINITY, best_nu = -INFINITY;
  if (p->n == 2) {
    assert_true(got->tx_at == SIZE_MAX && got->rx_at == SIZE_MAX && got->clear_at == SIZE_MAX);
    return;
  }
  for (size_t i = 1; i + 1 < p->n; i++) {
    best_tx = fmaxl(best_tx, plain_from_tx(p, c, i));
    best_rx = fmaxl(best_rx, plain_from_rx(p, c, i));
    best_nu = fmaxl(best_nu, plain_nu(p, c, 0.03L, i));
  }
  real noise = slope_noise(p, c), direct = (p->rx_m - p->tx_m) / total - 500.0L * total * c;
  assert_true(got->tx_at > 0 && got->tx_at + 1 < p->n && got->rx_at > 0 && got->rx_at + 1 < p->n);
  near_value("slope from the beacon", r, got->tx_slope, 1e-3L * best_tx, noise);
  near_value("point seen from the beacon", r, (double)plain_from_tx(p, c, got->tx_at), best_tx, 2e3L * noise);
  /* the receiver's slope is in parabolic heights: its own level lies 1000 C D mrad lower */
  near_value("slope from the receiver", r, got->rx_slope - 1e-3 * (double)(1000.0L * total * c), 1e-3L * best_rx,
             noise);
  near_value("point seen from the receiver", r, (double)plain_from_rx(p, c, got->rx_at), best_rx, 2e3L * noise);
  if (fabsl(best_tx - direct) < 2e3L * noise) return; /* grazing: either side of the line is right */
  assert_int_equal(isnan(got->clear_v2), best_tx >= direct);
  assert_int_equal(got->clear_at == SIZE_MAX, best_tx >= direct);
  if (best_tx >= direct) return;
  real nu = sqrtl(2e3L * total * (real)got->clear_v2 / 0.03L);
  near_value("least clearance", r, (double)-nu, best_nu, 1e-9L * (1.0L + nu) + 1e5L * noise);
  near_value("point of least clearance", r, (double)plain_nu(p, c, 0.03L, got->clear_at), best_nu,
             1e-9L * (1.0L + nu) + 1e5L * noise);
}

static void compare_geometry(const trial *t, const plain_path *p, size_t r) {
  const es_receivers *rx = &t->radial.rx;
  const es_hull *hull = &t->median[r];
  real radius = t->setup.earth_radius_km, lambda = t->setup.wavelength_m, total = p->d_km[p->n - 1];
  plain_horizons h = plain_horizons_of(p, radius, lambda);
  real noise = slope_noise(p, 1.0L / radius);
  bool alone = p->n == 2;
  real direct = (p->rx_m - p->tx_m) / total - 500.0L * total / radius;
  bool grazing = !alone && fabsl(plain_from_tx(p, 1.0L / radius, hull->tx_at) - direct) < 2e3L * noise;
  if (!grazing) {
    assert_int_equal(rx->los[r], h.los);
    near_value("elevation of the beacon", r, rx->el_tx[r], 1e-3L * h.theta_t, 2.0L * noise);
    near_value("elevation of the receiver", r, rx->el_rx[r], 1e-3L * h.theta_r, 2.0L * noise);
  }
  /* of tied horizons any will do: compare_hull() has shown that those taken are the highest */
  size_t tx_at = rx->los[r] ? hull->clear_at : hull->tx_at, rx_at = rx->los[r] ? hull->clear_at : hull->rx_at;
  near_value("horizon of the beacon", r, rx->d_tx_m[r], alone ? 1e3L * total : 1e3L * p->d_km[tx_at], 1e-6L);
  near_value("horizon of the receiver", r, rx->d_rx_m[r], alone ? 1e3L * total : 1e3L * (total - p->d_km[rx_at]),
             1e-6L);
  near_value("height of the beacon's horizon", r, rx->horizon_tx_m[r], p->h_m[alone ? 0 : tx_at], 1e-9L);
  near_value("height of the receiver's horizon", r, rx->horizon_rx_m[r], p->h_m[alone ? 0 : rx_at], 1e-9L);
  plain_smooth s = plain_smooth_of(p);
  near_value("fit at the beacon", r, rx->fit_tx_m[r], s.fit_tx_m, 1e-6L);
  near_value("fit at the receiver", r, rx->fit_rx_m[r], s.fit_rx_m, 1e-6L);
  near_value("smooth earth at the beacon", r, rx->smooth_tx_m[r], s.tx_m, 1e-6L);
  near_value("smooth earth at the receiver", r, rx->smooth_rx_m[r], s.rx_m, 1e-6L);
  near_value("roughness", r, rx->rough_m[r], alone ? 0.0L : plain_roughness(p, &s, tx_at, rx_at), 1e-6L);
  plain_volume v = plain_volume_of(p, radius, 1e3L * rx->el_tx[r], 1e3L * rx->el_rx[r]);
  if (rx->el_tx[r] < 1.0 && rx->el_rx[r] < 1.0) { /* the slopes that stand for angles are none beside a wall */
    near_value("common volume", r, rx->cv_tx_m[r], 1e3L * v.d_tx_km, 1e-6L * (1.0L + 1e-3L * fabsl(v.d_tx_km)));
    near_value("height of the common volume", r, rx->cv_height_m[r], v.height_m, 1e-6L);
  }
  near_value("ground in the middle", r, rx->mid_ground_m[r], plain_mid_ground(p, t->line.step_m > 0.0), 1e-6L);
  near_value("slant distance", r, rx->slant_m[r], hypotl(1e3L * total, p->tx_m - p->rx_m), 1e-6L);
  plain_zones z = plain_zones_of(p);
  near_value("land", r, rx->land_m[r], 1e3L * z.land_km, 1e-6L);
  near_value("inland", r, rx->inland_m[r], 1e3L * z.inland_km, 1e-6L);
  near_value("sea from the beacon", r, rx->sea_tx_m[r], 1e3L * z.sea_tx_km, 1e-6L);
  near_value("sea from the receiver", r, rx->sea_rx_m[r], 1e3L * z.sea_rx_km, 1e-6L);
  near_value("sea share", r, rx->sea_share[r], z.sea_share, 1e-12L);
  if (!rx->los[r] || alone) return;
  real zones = -plain_nu(p, 1.0L / radius, lambda, hull->clear_at) / sqrtl(2.0L); /* nu = -sqrt(2) clearance / F1 */
  near_value("clearance in Fresnel zones", r, t->radial.clearance_f1[r], zones, 1e-6L * (1.0L + zones));
  size_t worst = 1; /* of equals any will do */
  while (worst + 2 < p->n && 1e3L * p->d_km[worst] < t->radial.worst_m[r] - 1e-6L) worst++;
  near_value("worst point", r, t->radial.worst_m[r], 1e3L * p->d_km[worst], 1e-6L);
  near_value("clearance of the worst point", r, (double)(-plain_nu(p, 1.0L / radius, lambda, worst) / sqrtl(2.0L)),
             zones, 1e-6L * (1.0L + zones));
}

/* What rounding of nu^2 may change in a loss near grazing, where nu is a root of almost nothing. */
static real knife_noise(real nu, real nu2_error) {
  real root = sqrtl(nu2_error), small = fabsl(nu) > 0.0L ? nu2_error / fabsl(nu) : root;
  return 40.0L * fminl(root, small);
}

static real compare_loss(const trial *t, const plain_path *p, size_t r) {
  const db_setup *s = &t->loss;
  es_task task = {.beacon = &t->radial.beacon, .line = &t->radial.line, .rx = &t->radial.rx};
  db_terms got;
  db_loss(s, &task, &t->hull[r], r, &got);
  plain_smooth smooth = plain_smooth_of(p);
  plain_setup setup = {
      s->convention != DB_P526, s->beta1 != 0, s->polarisation == ES_VERTICAL, s->freq_ghz, db_wavelength_m(s),
      s->curvature_per_km,      s->radius_km,  plain_zones_of(p).sea_share};
  plain_loss want = plain_delta_bullington(&setup, p, &smooth);
  real at_actual = 1e-6L + knife_noise(want.nu_actual, want.nu2_error_actual);
  real at_smooth = 1e-6L + knife_noise(want.nu_smooth, want.nu2_error_smooth);
  if (fabsl(want.nu_actual + 0.78L) < 1e-9L || fabsl(want.nu_smooth + 0.78L) < 1e-9L) return 0.0L; /* J jumps there */
  near_value("Bullington loss, actual", r, got.actual, want.actual, at_actual);
  near_value("Bullington loss, smooth", r, got.smooth, want.smooth, at_smooth);
  near_value("spherical earth", r, got.spherical, want.spherical, 1e-6L + 1e-12L * want.spherical);
  near_value("delta-Bullington loss", r, got.loss, want.loss, at_actual + at_smooth);
  return fabsl((real)got.loss - want.loss);
}

/* All receivers at once, in every form this processor runs, against one by one. */
static real compare_all(const trial *t) {
  typedef void (*loss_all)(const db_setup *, const es_task *, const es_hull *, double *);
  loss_all forms[3] = {db_loss_all};
  size_t n_forms = 1;
#ifdef ES_X86_LEVELS
  extern const db_kernel db_kernel_v2, db_kernel_v3;
  if (t->line.step_m > 0.0) forms[n_forms++] = db_kernel_v2.loss_all;
  if (t->line.step_m > 0.0 && __builtin_cpu_supports("avx2")) forms[n_forms++] = db_kernel_v3.loss_all;
#endif
  es_task task = {.beacon = &t->radial.beacon, .line = &t->radial.line, .rx = &t->radial.rx};
  real worst = 0.0L;
  for (size_t f = 0; f < n_forms; f++) {
    double loss[MOST_SPOTS];
    forms[f](&t->loss, &task, t->hull, loss);
    for (size_t r = 0; r < t->n_spots; r++) {
      db_terms alone;
      db_loss(&t->loss, &task, &t->hull[r], r, &alone);
      near_value("loss, all at once", r, loss[r], alone.loss, 1e-9L * (1.0L + alone.loss));
      worst = fmaxl(worst, fabsl((real)loss[r] - alone.loss));
    }
  }
  return worst;
}

static void compute(trial *t, es_arena *arena) {
  assert_int_equal(es_line_make(arena, &t->samples, 200.0, &t->line), 0);
  assert_int_equal(t->line.n, t->samples.n);
  assert_int_equal(es_radial_place(arena, &t->setup, &t->line, t->spots, t->n_spots, &t->radial), 0);
  assert_int_equal(es_tangents(arena, &t->radial, 1.0 / t->setup.earth_radius_km, 0, 0.0, t->median), 0);
  assert_int_equal(es_tangents(arena, &t->radial, t->loss.curvature_per_km, 0, 0.0, t->hull), 0);
}

static void sweep_equals_plain_formulas(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  trial *t = malloc(sizeof *t);
  assert_true(arena != NULL && t != NULL);
  size_t paths = 0, in_sight = 0;
  real worst = 0.0L, worst_all = 0.0L;
  for (unsigned long number = 0; number < CASES; number++) {
    invent(t, number);
    now = t;
    es_arena_back_to(arena, (es_arena_mark){0});
    if (t->n_spots == 0) continue;
    compute(t, arena);
    for (size_t r = 0; r < t->n_spots; r++, paths++) {
      plain_path p = path_of(t, r);
      compare_hull(&p, r, &t->median[r], 1.0L / t->setup.earth_radius_km);
      compare_hull(&p, r, &t->hull[r], t->loss.curvature_per_km);
      compare_geometry(t, &p, r);
      worst = fmaxl(worst, compare_loss(t, &p, r));
      in_sight += t->radial.rx.los[r];
    }
    worst_all = fmaxl(worst_all, compare_all(t));
  }
  print_message("%zu paths, %zu in line of sight, largest difference %.2Lg dB\n", paths, in_sight, worst);
  print_message("all at once: largest difference %.2Lg dB\n", worst_all);
  assert_true(paths > 10000 && in_sight > paths / 10 && in_sight < paths - paths / 10); /* both kinds were met */
  free(t);
  es_arena_destroy(arena);
}

/* --- outlines ---------------------------------------------------------------------------------------------------------------- */

static void compare_path(trial *t) {
  plain_path p = path_of(t, 0);
  compare_hull(&p, 0, &t->median[0], 1.0L / t->setup.earth_radius_km);
  compare_hull(&p, 0, &t->hull[0], t->loss.curvature_per_km);
  compare_geometry(t, &p, 0);
  compare_loss(t, &p, 0);
}

/* One path, other antennas and other curvatures again and again, and once another receiver on its line: each answer as the
 * plain formulas have it, and the first question, asked once more at the end, to the last bit as at first. */
static void kept_outlines_equal_plain_formulas(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  es_outlines *kept = es_outlines_create();
  trial *t = malloc(sizeof *t);
  assert_true(arena != NULL && kept != NULL && t != NULL);
  size_t in_sight = 0, paths = 0;
  for (unsigned long number = 0; number < CASES / 2; number++) {
    invent(t, number);
    now = t;
    if (t->n_spots == 0) continue;
    dice d = {number + 99991};
    es_outlines_forget(kept);
    t->setup.outlines = kept;
    const es_spot here = t->spots[dice_whole(&d, 0, t->n_spots - 1)], other = t->spots[t->n_spots - 1];
    t->n_spots = 1;
    const double beacon_m = t->setup.beacon_agl_m, c = t->loss.curvature_per_km;
    es_hull first_median = {0}, first = {0};
    double first_smooth = 0.0;
    for (size_t question = 0; question < 5; question++, paths++) {
      bool same = question == 0 || question == 4;
      t->setup.beacon_agl_m = same ? beacon_m : antenna_height(&d);
      t->spots[0] = question == 3 ? other : here;
      if (!same) t->spots[0].antenna_agl_m = antenna_height(&d);
      t->loss.curvature_per_km = same ? c : invent_curvature(&d);
      t->loss.radius_km = t->loss.curvature_per_km > 1e-6 ? 1.0 / t->loss.curvature_per_km : 1e6;
      es_arena_back_to(arena, (es_arena_mark){0});
      compute(t, arena);
      compare_path(t);
      in_sight += t->radial.rx.los[0];
      if (question == 0) first = t->hull[0], first_median = t->median[0], first_smooth = t->radial.rx.smooth_tx_m[0];
    }
    assert_memory_equal(&first, &t->hull[0], sizeof first);
    assert_memory_equal(&first_median, &t->median[0], sizeof first_median);
    assert_true(first_smooth == t->radial.rx.smooth_tx_m[0]);
  }
  assert_true(paths > 10000 && in_sight > paths / 10 && in_sight < paths - paths / 10);
  free(t);
  es_outlines_destroy(kept);
  es_arena_destroy(arena);
}

/* --- a ramp is nothing ----------------------------------------------------------------------------------------------------- */

/* Ground and antennas lifted by a slope: every loss is the same. */
static void lifting_by_a_ramp_changes_nothing(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  trial *t = malloc(2 * sizeof *t);
  assert_true(arena != NULL && t != NULL);
  size_t blocked = 0;
  for (unsigned long number = 0; number < 600; number++) {
    invent(t, number);
    invent(t + 1, number);
    now = t;
    es_arena_back_to(arena, (es_arena_mark){0});
    for (size_t i = 0; i < t->samples.n; i++) t[1].ground_m[i] += 0.01 * t->dist_m[i];
    for (size_t r = 0; r < t->n_spots; r++) t[1].spots[r].ground_m += 0.01 * t->spots[r].dist_m;
    t[1].samples.ground_m = t[1].ground_m;
    t->samples.ground_m = t->ground_m;
    if (t->n_spots == 0) continue;
    compute(t, arena);
    compute(t + 1, arena);
    for (size_t r = 0; r < t->n_spots; r++) {
      plain_path p = path_of(t, r);
      plain_smooth s = plain_smooth_of(&p);
      if (s.fit_tx_m == p.h_m[0] || s.fit_rx_m == p.h_m[p.n - 1]) continue; /* the limits to the ground do not shear */
      db_terms flat, tilted;
      for (int k = 0; k < 2; k++) {
        es_task task = {.beacon = &t[k].radial.beacon, .line = &t[k].radial.line, .rx = &t[k].radial.rx};
        db_loss(&t->loss, &task, &t[k].hull[r], r, k == 0 ? &flat : &tilted);
      }
      near_value("Bullington loss on a ramp", r, tilted.actual, flat.actual, 2e-5L);
      near_value("loss on a ramp", r, tilted.loss, flat.loss, 2e-5L);
      blocked += flat.loss > 0.0;
    }
  }
  assert_true(blocked > 100);
  free(t);
  es_arena_destroy(arena);
}

/* --- golden values ----------------------------------------------------------------------------------------------------------- */

/* Losses of two implementations of ITU-R P.526-16 4.5 that were written apart, equal to 1e-6 dB. 10.368 GHz, horizontal, land, ae 8500 km,
 * antennas 20 and 10 m, step 30 m; the practical constants of P.2001 with lambda = 0.299792458/f. */
enum { FLAT, STEP, WAVES, WAVES_OVER_SEA, TILTED, SHAPES };
static const size_t golden_n[] = {3, 4, 51, 401, 1501};
static const double golden[SHAPES][5] = {[FLAT] = {0, 0, 0, 0, 40.517268},
                                         [STEP] = {0, 68.590924, 56.466464, 47.682487, 44.382662},
                                         [WAVES] = {0, 0, 53.475293, 65.613190, 73.403156},
                                         [WAVES_OVER_SEA] = {0, 0, 53.475293, 60.738835, 72.697314},
                                         [TILTED] = {0, 0, 0, 0, 40.517268}};

static double golden_height(int shape, size_t i, size_t n) {
  double x = (double)i, waves = 100.0 * sin(x / 37.0) + 50.0 * sin(x / 11.0);
  switch (shape) {
  case STEP: return i == (n - 1) / 3 ? 120.0 : 0.0;
  case WAVES: return waves;
  case WAVES_OVER_SEA: return fmax(waves, 0.0);
  case TILTED: return 0.5 * x;
  default: return 0.0;
  }
}

static void golden_values_are_met(void **state) {
  (void)state;
  static double dist[1501], ground[1501];
  es_arena *arena = es_arena_create();
  assert_non_null(arena);
  for (int shape = 0; shape < SHAPES; shape++)
    for (size_t g = 0; g < 5; g++) {
      size_t n = golden_n[g];
      for (size_t i = 0; i < n; i++) dist[i] = 30.0 * (double)i, ground[i] = golden_height(shape, i, n);
      es_samples samples = {.n = n, .step_m = 30.0, .dist_m = dist, .ground_m = ground};
      es_radial_setup setup = {{0, 52}, 0.0, 20.0, 10.368, 8500.0, 0.029, NULL};
      es_spot spot = {dist[n - 1], ground[n - 1], 10.0, ES_ZONE_INLAND, 0.0};
      es_line line;
      es_radial radial;
      es_hull hull;
      assert_int_equal(es_line_make(arena, &samples, 0.0, &line), 0);
      assert_int_equal(es_radial_place(arena, &setup, &line, &spot, 1, &radial), 0);
      assert_int_equal(es_tangents(arena, &radial, 1.0 / 8500.0, 0, 0.0, &hull), 0);
      db_setup db = {DB_P2001, 0, 299792458.0, 10.368, ES_HORIZONTAL, 1.0 / 8500.0, 8500.0};
      es_task task = {.beacon = &radial.beacon, .line = &radial.line, .rx = &radial.rx};
      db_terms terms;
      db_loss(&db, &task, &hull, 0, &terms);
      assert_near(terms.loss, golden[shape][g], 6e-7);
    }
  es_arena_destroy(arena);
}

/* --- grazing ------------------------------------------------------------------------------------------------------------------- */

/* The direct line just touches the ground: 6.03 dB by (31) and Bullington's correction, and never nothing. */
static void a_line_that_grazes_loses_six_decibels(void **state) {
  (void)state;
  es_arena *arena = es_arena_create();
  assert_non_null(arena);
  size_t n_rounded = 0;
  for (unsigned k = 1; k < 4000; k++) {
    /* flat in parabolic heights between antennas at the ground: every sample touches, up to rounding */
    double step = 30.0 + 0.01 * k, curvature = 1e-7 * k, dist[5], ground[5];
    for (size_t i = 0; i < 5; i++) dist[i] = step * (double)i, ground[i] = 7.3 + 0.5e-3 * curvature * dist[i] * dist[i];
    es_samples samples = {.n = 5, .step_m = step, .dist_m = dist, .ground_m = ground};
    es_radial_setup setup = {{0, 52}, 0.0, 0.0, 10.0, curvature > 0.0 ? 1.0 / curvature : 1e9, 0.03, NULL};
    es_spot spot = {dist[4], ground[4], 0.0, ES_ZONE_INLAND, 0.0};
    es_line line;
    es_radial radial;
    es_hull hull;
    assert_int_equal(es_line_make(arena, &samples, 0.0, &line), 0);
    assert_int_equal(es_radial_place(arena, &setup, &line, &spot, 1, &radial), 0);
    assert_int_equal(es_tangents(arena, &radial, curvature, 0, 0.0, &hull), 0);
    db_setup db = {DB_P526, 1, 0.0, 10.0, ES_HORIZONTAL, curvature, 1.0 / curvature};
    es_task task = {.beacon = &radial.beacon, .line = &radial.line, .rx = &radial.rx};
    db_terms terms;
    db_loss(&db, &task, &hull, 0, &terms);
    assert_near(terms.knife_actual, 6.0328532, 2e-3); /* P.526 (31) at nu = 0 */
    assert_true(radial.rx.d_tx_m[0] >= dist[1] && radial.rx.d_tx_m[0] <= dist[3]);
    n_rounded += radial.rx.los[0];
    es_arena_back_to(arena, (es_arena_mark){0});
  }
  print_message("%zu of 3999 lines that graze fell on the side of sight\n", n_rounded);
  es_arena_destroy(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(sweep_equals_plain_formulas),           cmocka_unit_test(kept_outlines_equal_plain_formulas),
      cmocka_unit_test(lifting_by_a_ramp_changes_nothing),     cmocka_unit_test(golden_values_are_met),
      cmocka_unit_test(a_line_that_grazes_loses_six_decibels),
  };
  return cmocka_run_group_tests_name("radial sweep", tests, NULL, NULL);
}
