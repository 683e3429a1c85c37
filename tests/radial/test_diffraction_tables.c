/* test_diffraction_tables.c - the geometry and the delta-Bullington loss against figures that were not made by this program.
 *
 * Small tables are typed in below with their source. The folder named by EARSHOT_CHECK_VALUES, when there is one, holds larger
 * ones of the same equations: published SG3 examples and computed rows. docs/models/diffraction.md has what is reached.  */
#include "near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"
#include "base/units.h"
#include "common/delta_bullington.h"
#include "common/p2001.h"
#include "radial/radial.h"

static es_arena *arena;
static int start(void **state) { return (void)state, (arena = es_arena_create()) == NULL; }
static int stop(void **state) { return (void)state, es_arena_destroy(arena), 0; }

/* --- one path -------------------------------------------------------------------------------------------------------- */

typedef struct profile {
  size_t n;
  double *dist_m, *ground_m;
  uint8_t *zone;
} profile;

static profile profile_create(size_t n) {
  profile p = {n, ES_NEW(arena, double, n), ES_NEW(arena, double, n), ES_NEW(arena, uint8_t, n)};
  assert_true(p.dist_m != NULL && p.ground_m != NULL && p.zone != NULL);
  return p;
}

static es_radial placed(const profile *p, double tx_m, double rx_m, double freq_ghz, double radius_km) {
  es_samples s = {.n = p->n, .dist_m = p->dist_m, .ground_m = p->ground_m, .zone = p->zone};
  es_radial_setup setup = {{0, 52}, es_rad(90.0), tx_m, freq_ghz, radius_km, 2.998e8 / (freq_ghz * 1e9), NULL};
  es_spot spot = {p->dist_m[p->n - 1], p->ground_m[p->n - 1], rx_m, p->zone[p->n - 1], 0.0};
  es_line line;
  es_radial radial;
  assert_int_equal(es_line_make(arena, &s, 0.0, &line), 0);
  assert_int_equal(es_radial_place(arena, &setup, &line, &spot, 1, &radial), 0);
  return radial;
}

static db_terms loss_of(const es_radial *radial, const db_setup *setup) {
  es_hull hull;
  assert_int_equal(es_tangents(arena, radial, setup->curvature_per_km, 0, 0.0, &hull), 0);
  es_task task = {.beacon = &radial->beacon, .line = &radial->line, .rx = &radial->rx};
  db_terms terms;
  db_loss(setup, &task, &hull, 0, &terms);
  return terms;
}

/* --- typed in: four profiles by formula ------------------------------------------------------------------------------------ */

static double ridges(double d) {
  return 50.0 + 200.0 * exp(-pow((d - 40.0) / 6.0, 2)) + 150.0 * exp(-pow((d - 75.0) / 4.0, 2));
}
static double sea(double d) { return 0.0 * d; }
static double valley(double d) {
  return 100.0 + 150.0 * exp(-pow(d / 3.0, 2)) + 120.0 * exp(-pow((d - 30.0) / 3.0, 2)) +
         40.0 * pow(sin(ES_PI * d / 15.0), 2);
}
static double hills(double d) {
  return 120.0 + 80.0 * sin(2.0 * ES_PI * d / 23.0) + 50.0 * sin(2.0 * ES_PI * d / 61.0 + 1.0);
}

static const struct formula {
  double length_km, step_km, (*ground_m)(double), tx_m, rx_m;
  uint8_t zone;
} formulas[] = {
    {100, 0.5, ridges, 20, 10, ES_ZONE_INLAND},
    {200, 1.0, sea, 30, 30, ES_ZONE_SEA},
    {30, 0.25, valley, 15, 15, ES_ZONE_INLAND},
    {250, 1.0, hills, 30, 30, ES_ZONE_INLAND},
};

static es_radial formula_radial(int which, double radius_km) {
  const struct formula *f = &formulas[which - 'A'];
  profile p = profile_create((size_t)lround(f->length_km / f->step_km) + 1);
  for (size_t i = 0; i < p.n; i++) {
    p.dist_m[i] = 1e3 * f->step_km * (double)i;
    p.ground_m[i] = f->ground_m(f->step_km * (double)i);
    p.zone[i] = f->zone;
  }
  return placed(&p, f->tx_m, f->rx_m, 10.368, radius_km);
}

/* Median refraction of 40 N/km: ae = 8549.1197 km. Figures of the P.2001-4 reference software, printed digits. */
static const struct geometry_row {
  int profile, los;
  double theta_t, theta_r, d_lt, d_lr, hst, hsr, htea, hrea, hm;
} geometry_rows[] = {
    {'A', 0, 2.21174, 4.18647, 39.5, 24.5, -5.1448, -15.0469, 20.0000, 10.0000, 200.0000},
    {'B', 0, -2.64952, -2.64952, 23.0, 23.0, 0.0000, 0.0000, 30.0000, 30.0000, 0.0000},
    {'C', 1, -2.75457, -0.75457, 29.25, 0.75, 151.0031, 136.8531, 113.9969, 98.1469, 76.5016},
    {'D', 0, 11.84813, 4.50802, 4.0, 12.0, 62.3216, 85.0671, 61.8150, 30.0000, 133.2655},
};

static void geometry_of_four_profiles(void **state) {
  (void)state;
  double curvature, radius_km;
  p2001_curvature(50.0, 40.0, 15.5, 9.0, &curvature, &radius_km);
  assert_near(radius_km, 8549.1197, 5e-5);
  for (size_t i = 0; i < sizeof geometry_rows / sizeof *geometry_rows; i++) {
    const struct geometry_row *want = &geometry_rows[i];
    es_radial radial = formula_radial(want->profile, radius_km);
    const es_receivers *rx = &radial.rx;
    assert_int_equal(rx->los[0], want->los);
    assert_near(1e3 * rx->el_tx[0], want->theta_t, 5.1e-6);
    assert_near(1e3 * rx->el_rx[0], want->theta_r, 5.1e-6);
    assert_near(1e-3 * rx->d_tx_m[0], want->d_lt, 1e-9);
    assert_near(1e-3 * rx->d_rx_m[0], want->d_lr, 1e-9);
    assert_near(rx->smooth_tx_m[0], want->hst, 5.1e-5);
    assert_near(rx->smooth_rx_m[0], want->hsr, 5.1e-5);
    assert_near(radial.beacon.antenna_m - rx->fit_tx_m[0], want->htea, 5.1e-5);
    assert_near(rx->at[0].antenna_m - rx->fit_rx_m[0], want->hrea, 5.1e-5);
    assert_near(rx->rough_m[0], want->hm, 5.1e-5);
  }
}

/* Time percentages through P.2001 (3.5.1) to (3.5.3), SdN 40, SdNsup 15.5, SdNsub 9. Figures of the P.2001-4 reference
 * software, printed digits: Ldba, Ldbs, Ldsph, Ld horizontal, Ld vertical. */
static const struct loss_row {
  int profile;
  double percent, actual, smooth, spherical, horizontal, vertical;
} loss_rows[] = {
    {'A', 50, 52.3611, 37.4544, 68.0814, 82.9881, 82.9856},
    {'A', 1, 51.4519, 31.4411, 43.2321, 63.2428, 63.2417},
    {'A', 0.01, 50.2434, 13.2275, 12.2072, 50.2434, 50.2434},
    {'A', 99, 52.8484, 39.7921, 81.9758, 95.0320, 95.0287},
    {'B', 50, 57.4265, 57.4265, 317.4103, 317.4103, 317.3628},
    {'B', 1, 54.8462, 54.8462, 259.0684, 259.0684, 259.0361},
    {'B', 0.01, 50.4498, 50.4498, 183.5918, 183.5918, 183.5749},
    {'B', 99, 58.6484, 58.6484, 349.4874, 349.4874, 349.4305},
    {'C', 50, 0, 0, 0, 0, 0},
    {'C', 1, 0, 0, 0, 0, 0},
    {'C', 0.01, 0, 0, 0, 0, 0},
    {'C', 99, 0, 0, 0, 0, 0},
    {'D', 50, 67.3188, 60.2971, 352.6951, 359.7168, 359.7018},
    {'D', 1, 65.9687, 57.5109, 281.2851, 289.7428, 289.7328},
    {'D', 0.01, 64.0395, 52.6425, 189.2478, 200.6448, 200.6398},
    {'D', 99, 68.0142, 61.6023, 392.0300, 398.4419, 398.4237},
};

static void losses_of_four_profiles(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof loss_rows / sizeof *loss_rows; i++) {
    const struct loss_row *want = &loss_rows[i];
    db_setup setup = {.convention = DB_P2001, .freq_ghz = 10.368, .polarisation = ES_HORIZONTAL};
    p2001_curvature(want->percent, 40.0, 15.5, 9.0, &setup.curvature_per_km, &setup.radius_km);
    es_radial radial = formula_radial(want->profile, 8549.1197);
    db_terms got = loss_of(&radial, &setup);
    assert_near(got.actual, want->actual, 5.1e-5);
    assert_near(got.smooth, want->smooth, 5.1e-5);
    assert_near(got.spherical, want->spherical, 5.1e-5);
    assert_near(got.loss, want->horizontal, 5.1e-5);
    setup.polarisation = ES_VERTICAL;
    assert_near(loss_of(&radial, &setup).loss, want->vertical, 5.1e-5);
  }
}

/* P.2001-4 attachment A.2, A.3 (practical units), figures of its reference software, printed digits. */
static const struct spherical_row {
  double freq_ghz, dist_km, h1_m, h2_m, radius_km, sea_share, horizontal, vertical;
} spherical_rows[] = {
    {10.368, 100, 30, 30, 8549.12, 0, 119.5834, 119.5787}, {10.368, 100, 30, 30, 8549.12, 1, 119.5834, 119.5669},
    {10.368, 40, 30, 30, 8549.12, 0, 3.8692, 3.8692},      {10.368, 20, 30, 30, 8549.12, 1, 0.0, 0.0},
    {1.296, 150, 50, 20, 8500, 0.4, 115.1674, 115.1267},   {47.088, 80, 20, 10, 8500, 0, 170.8673, 170.8648},
    {10.368, 60, 2, 2, 8500, 0, 115.2725, 115.2689},
};

static void spherical_earth(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof spherical_rows / sizeof *spherical_rows; i++) {
    const struct spherical_row *w = &spherical_rows[i];
    db_setup s = {.convention = DB_P2001, .freq_ghz = w->freq_ghz, .radius_km = w->radius_km};
    assert_near(db_spherical(&s, w->h1_m, w->h2_m, w->dist_km, w->sea_share), w->horizontal,
                1.5e-4); /* radius rounded */
    s.polarisation = ES_VERTICAL;
    assert_near(db_spherical(&s, w->h1_m, w->h2_m, w->dist_km, w->sea_share), w->vertical, 1.5e-4);
  }
}

/* P.526-16 (31), four digits; and what it becomes far behind the edge, 12.95 + 20 log nu. */
static void knife_edge(void **state) {
  (void)state;
  static const double rows[][2] = {{-3, 0},        {-0.78, 0},     {-0.7, 0.5361}, {-0.5, 1.9592},
                                   {0, 6.0329},    {0.5, 10.2878}, {1, 13.9257},   {2, 19.0429},
                                   {2.4, 20.5393}, {5, 26.8136},   {10, 32.8554},  {20, 38.9031}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) assert_near(db_knife_edge(rows[i][0]), rows[i][1], 5.1e-5);
  assert_near(db_knife_edge(1e4), 12.95 + 80.0, 0.03);
  assert_near(db_knife_edge(2.86954), 22.0389, 1e-4); /* 50 m over the line, 30 and 70 km, 10.368 GHz */
}

static void conventions_differ_as_documented(void **state) {
  (void)state;
  db_setup s = {.freq_ghz = 10.0};
  assert_near(db_wavelength_m(&s), 0.0299792458, 1e-15);
  s.convention = DB_P2001;
  assert_near(db_wavelength_m(&s), 0.02998, 1e-15);
  s.convention = DB_P452;
  assert_near(db_wavelength_m(&s), 0.02998, 1e-15);
  s.light_m_s = 3e8;
  assert_near(db_wavelength_m(&s), 0.03, 1e-15);
}

/* --- tables of the folder --------------------------------------------------------------------------------------------------- */

static const char *folder(void) { return getenv("EARSHOT_CHECK_VALUES"); }

static es_text_table *open_table(const char *name) {
  es_error err = {0};
  char *path = es_format("%s/%s", folder(), name);
  es_text_table *table = es_text_table_open(path, &err);
  if (table == NULL) fail_msg("%s", err.detail);
  free(path);
  return table;
}

static const char *text_at(const es_text_table *t, size_t row, const char *name) {
  size_t column = es_text_table_column(t, name);
  if (column == SIZE_MAX) fail_msg("no column %s", name);
  return es_text_table_cell(t, row, column);
}

static double value_at(const es_text_table *t, size_t row, const char *name) {
  double value = NAN;
  if (!es_parse_number(text_at(t, row, name), &value)) fail_msg("row %zu: %s is no number", row, name);
  return value;
}

/* Largest difference of a table, told once. */
typedef struct tally {
  const char *table;
  double worst;
  size_t n;
} tally;

static void take(tally *t, double got, double want) {
  double off = fabs(got - want);
  t->worst = off > t->worst || isnan(off) ? off : t->worst;
  t->n++;
}

static void tell(const tally *t, double promised) {
  print_message("%s: %zu figures, largest difference %.2g dB\n", t->table, t->n, t->worst);
  assert_true(t->n > 20);
  assert_true(t->worst <= promised);
}

static profile read_profile(const char *name) {
  char *path = es_format("profiles/%s", name);
  es_text_table *t = open_table(path);
  profile p = profile_create(es_text_table_rows(t));
  for (size_t i = 0; i < p.n; i++) {
    p.dist_m[i] = 1e3 * value_at(t, i, "d_km");
    p.ground_m[i] = value_at(t, i, "h_m");
    p.zone[i] = ES_ZONE_INLAND; /* these tables take land everywhere */
  }
  es_text_table_close(t);
  free(path);
  return p;
}

static void table_of_knife_edges(void **state) {
  (void)state;
  if (folder() == NULL) skip();
  es_text_table *t = open_table("p526_knife_edge_J.csv");
  tally all = {.table = "p526_knife_edge_J"};
  for (size_t i = 0; i < es_text_table_rows(t); i++)
    take(&all, db_knife_edge(value_at(t, i, "nu")), value_at(t, i, "J_eq31_dB"));
  es_text_table_close(t);
  tell(&all, 6e-9);
}

static void table_of_spherical_earths(void **state) {
  (void)state;
  if (folder() == NULL) skip();
  es_text_table *t = open_table("p526_spherical_earth.csv");
  tally all = {.table = "p526_spherical_earth"};
  for (size_t i = 0; i < es_text_table_rows(t); i++) {
    db_setup s = {.convention = DB_P526, .freq_ghz = value_at(t, i, "f_GHz"), .radius_km = value_at(t, i, "ae_km")};
    s.polarisation = strcmp(text_at(t, i, "pol"), "v") == 0 ? ES_VERTICAL : ES_HORIZONTAL;
    double sea_share = strcmp(text_at(t, i, "ground"), "sea") == 0 ? 1.0 : 0.0;
    double h1 = value_at(t, i, "h1_m"), h2 = value_at(t, i, "h2_m"), km = value_at(t, i, "d_km");
    take(&all, db_spherical(&s, h1, h2, km, sea_share), value_at(t, i, "L_beta_eq16_dB"));
    s.beta1 = 1;
    take(&all, db_spherical(&s, h1, h2, km, sea_share), value_at(t, i, "L_beta1_dB"));
  }
  es_text_table_close(t);
  tell(&all, 5.5e-8);
}

/* One delta-Bullington row: smooth-earth antenna heights, Lba, Lbs, Lsph and the whole. */
static void take_row(const es_text_table *t, size_t i, double light_m_s, tally *all) {
  profile p = read_profile(text_at(t, i, "profile"));
  double radius = value_at(t, i, "ae_km"), freq = value_at(t, i, "f_GHz");
  es_radial radial = placed(&p, value_at(t, i, "htg_m"), value_at(t, i, "hrg_m"), freq, radius);
  db_setup s = {DB_P526, 1, light_m_s, freq, ES_HORIZONTAL, 1.0 / radius, radius};
  db_terms got = loss_of(&radial, &s);
  assert_near(radial.beacon.antenna_m - radial.rx.smooth_tx_m[0], value_at(t, i, "hts_smooth_m"), 1e-6);
  assert_near(radial.rx.at[0].antenna_m - radial.rx.smooth_rx_m[0], value_at(t, i, "hrs_smooth_m"), 1e-6);
  take(all, got.actual, value_at(t, i, "Lba_dB"));
  take(all, got.smooth, value_at(t, i, "Lbs_dB"));
  take(all, got.spherical, value_at(t, i, "Lsph_dB"));
  take(all, got.loss, value_at(t, i, "L_dB"));
  es_arena_back_to(arena, (es_arena_mark){0});
}

static void table_of_published_delta_bullington(void **state) {
  (void)state;
  if (folder() == NULL) skip();
  es_text_table *t = open_table("p526_delta_bullington_published.csv");
  tally all = {.table = "p526_delta_bullington_published"};
  for (size_t i = 0; i < es_text_table_rows(t); i++) take_row(t, i, value_at(t, i, "c_m_s"), &all);
  es_text_table_close(t);
  tell(&all, 2.5e-8);
}

static void table_of_computed_delta_bullington(void **state) {
  (void)state;
  if (folder() == NULL) skip();
  es_text_table *t = open_table("p526_delta_bullington_computed.csv");
  tally all = {.table = "p526_delta_bullington_computed"};
  for (size_t i = 0; i < es_text_table_rows(t); i++) take_row(t, i, 0.0, &all);
  es_text_table_close(t);
  tell(&all, 4.5e-7);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(geometry_of_four_profiles, start, stop),
      cmocka_unit_test_setup_teardown(losses_of_four_profiles, start, stop),
      cmocka_unit_test(spherical_earth),
      cmocka_unit_test(knife_edge),
      cmocka_unit_test(conventions_differ_as_documented),
      cmocka_unit_test(table_of_knife_edges),
      cmocka_unit_test(table_of_spherical_earths),
      cmocka_unit_test_setup_teardown(table_of_published_delta_bullington, start, stop),
      cmocka_unit_test_setup_teardown(table_of_computed_delta_bullington, start, stop),
  };
  return cmocka_run_group_tests_name("diffraction tables", tests, NULL, NULL);
}
