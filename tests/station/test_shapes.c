/* test_shapes.c - horn, slotted guide, beam, sector, F.699, sizes; polarisation. */
#include "station/antenna.h"

#include "base/units.h"
#include "folder.h"
#include "station/polarisation.h"
#include "station/station.h"

static const double FREQ_GHZ = 10.368;

static double at(const es_antenna *a, double az_deg, double el_deg) {
  return es_antenna_gain(a, FREQ_GHZ, es_rad(az_deg), es_rad(el_deg), 0.0);
}

/* Aperture theory; figures worked by an independent script. H plane level means vertical polarisation. */
static void horn(void **state) {
  (void)state;
  static const struct {
    double h_mm, e_mm, peak_dbi, h_plane[3], e_plane[3];
  } rows[] = {{84, 65, 16.22, {-2.14, -9.39, -23.02}, {-2.30, -11.22, -13.27}},
              {150, 115, 21.21, {-7.46, -23.68, -38.84}, {-8.39, -13.48, -18.23}}};
  static const double deg[] = {10, 20, 40};
  for (size_t i = 0; i < 2; i++) {
    es_antenna upright = es_antenna_horn(1e-3 * rows[i].h_mm, 1e-3 * rows[i].e_mm, false, FREQ_GHZ);
    es_antenna level = es_antenna_horn(1e-3 * rows[i].h_mm, 1e-3 * rows[i].e_mm, true, FREQ_GHZ);
    assert_near(upright.peak_dbi, rows[i].peak_dbi, 0.006);
    for (size_t k = 0; k < 3; k++) {
      double floor_db = -10.0 - rows[i].peak_dbi; /* -10 dBi ends what the aperture gives */
      assert_near(at(&upright, deg[k], 0) - upright.peak_dbi, fmax(rows[i].h_plane[k], floor_db), 0.006);
      assert_near(at(&upright, 0, deg[k]) - upright.peak_dbi, fmax(rows[i].e_plane[k], floor_db), 0.006);
      assert_near(at(&level, -deg[k], 0) - level.peak_dbi, fmax(rows[i].e_plane[k], floor_db), 0.006);
    }
    assert_near(at(&level, 180, 0), -10.0, 1e-9);
  }
}

/* N slots in all, half a guide wavelength (37.33 mm) apart: 10 log10(N s / lambda); patterns by an independent script. */
static void slotted(void **state) {
  (void)state;
  static const double slots[] = {8, 12, 16, 24, 32}, gain[] = {7.1, 8.9, 10.1, 11.9, 13.1};
  for (size_t i = 0; i < 5; i++) assert_near(es_antenna_slotted(slots[i], 22.86e-3, FREQ_GHZ).peak_dbi, gain[i], 0.051);
  static const struct {
    double slots, guide_mm, freq_ghz, peak_dbi, rel[4];
  } rows[] = {{12, 22.86, 10.368, 8.89, {-0.26, -1.70, -7.85, -13.85}},
              {16, 22.86, 10.368, 10.14, {-0.47, -3.12, -18.94, -18.43}},
              {24, 22.86, 10.368, 11.90, {-1.07, -7.92, -13.60, -19.47}},
              {16, 10.668, 24.048, 9.94, {-0.43, -2.83, -15.80, -16.19}},
              {16, 34.85, 5.76, 10.80, {-0.64, -4.34, -27.42, -31.02}}};
  static const double deg[] = {2, 5, 10, 20};
  for (size_t i = 0; i < 5; i++) {
    es_antenna a = es_antenna_slotted(rows[i].slots, 1e-3 * rows[i].guide_mm, rows[i].freq_ghz);
    assert_near(a.peak_dbi, rows[i].peak_dbi, 0.006);
    for (size_t k = 0; k < 4; k++)
      assert_near(es_antenna_gain(&a, rows[i].freq_ghz, 1.0, es_rad(deg[k]), 0.0) - a.peak_dbi, rows[i].rel[k], 0.012);
  }
  es_antenna a = es_antenna_slotted(16, 22.86e-3, FREQ_GHZ);
  assert_near(2e3 * a.slot_m, 37.33, 0.005);
  a.ripple_db = 2.0;
  assert_near(at(&a, 0, 0) - at(&a, 90, 0), 4.0, 1e-9);
  assert_true(isnan(es_antenna_slotted(16, 22.86e-3, 6.0).peak_dbi)); /* below cut-off */
}

/* 12 (angle/width)^2: sway of 2 and 4 degrees off a 10 degree beam, 2 off a 3.4 degree dish. */
static void beams(void **state) {
  (void)state;
  es_antenna a = es_antenna_beam_of(es_rad(10.0), es_rad(10.0)), b = es_antenna_beam_of(es_rad(3.4), es_rad(3.4));
  assert_near(a.peak_dbi, 25.05, 0.005); /* 10 log10(32000/100) */
  assert_near(a.peak_dbi - at(&a, 2, 0), 0.5, 0.05);
  assert_near(a.peak_dbi - at(&a, 0, 4), 1.9, 0.05);
  assert_near(b.peak_dbi - at(&b, -2, 0), 4.2, 0.06);
  assert_near(a.peak_dbi - at(&a, 180, 0), 30.0, 1e-9);
  es_antenna s = es_antenna_sector(es_rad(90.0), es_rad(8.0));
  assert_near(s.peak_dbi - at(&s, 45, 0), 3.0, 1e-9);
  assert_near(s.peak_dbi - at(&s, 315, 0), 3.0, 1e-9);
  assert_near(s.peak_dbi - at(&s, 180, 0), 25.0, 1e-9);
  es_antenna round = es_antenna_all_round(10.0);
  round.beam_el = es_rad(10.15); /* 101.5 degrees over 10 */
  assert_near(es_antenna_limit_dbi(&round), 10.0, 1e-9);
  assert_near(10.0 - at(&round, 77, 5.075), 3.0, 1e-9);
}

/* F.699-8, efficiency 0.55; worked by an independent script. Off axis 3.354 degrees lies between phi_m and 100 lambda/D. */
static void envelope(void **state) {
  (void)state;
  static const double phi[] = {0, 1, 2, 3, 5, 10, 20, 30, 60, 120};
  static const double small[] = {33.69, 32.61, 29.38, 24.00, 21.36, 13.83, 6.30, 1.90, -3.17, -3.17};
  static const double large[] = {47.67, 32.00, 24.47, 20.07, 14.53, 7.00, -0.53, -4.93, -10.00, -10.00};
  es_antenna a = es_antenna_dish(0.6, 0.55, FREQ_GHZ), b = es_antenna_dish(3.0, 0.55, FREQ_GHZ);
  a.lobes = b.lobes = ES_LOBES_F699;
  for (size_t i = 0; i < sizeof phi / sizeof *phi; i++) {
    assert_near(at(&a, phi[i], 0), small[i], 0.006);
    assert_near(at(&b, phi[i], 0), large[i], 0.006);
  }
  assert_near(at(&a, 3.354, 0), 21.76, 0.006);
}

/* The whole F.699 column of the folder of check values, when there is one. */
static void envelope_table(void **state) {
  (void)state;
  const char *folder = getenv("EARSHOT_CHECK_VALUES");
  if (folder == NULL) {
    print_message("EARSHOT_CHECK_VALUES is not set: only the values above were compared\n");
    skip();
  }
  es_error err = {0};
  es_faults faults = {0};
  char *path = es_format("%s/f699_f1245_antenna_computed.csv", folder);
  es_text_table *t = es_text_table_open(path, &err);
  if (t == NULL) fail_msg("%s", err.detail);
  for (size_t r = 0; r < es_text_table_rows(t); r++) {
    double freq, dish, peak, phi, want;
    es_text_table_number(t, r, es_text_table_column(t, "f_GHz"), 0, 100, &freq, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "D_m"), 0, 100, &dish, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "Gmax_dBi"), 0, 100, &peak, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "phi_deg"), 0, 180, &phi, &faults);
    es_text_table_number(t, r, es_text_table_column(t, "G_F699_dBi"), -100, 100, &want, &faults);
    es_antenna a = es_antenna_dish(dish, 0.6, freq);
    a.peak_dbi = peak;
    a.lobes = ES_LOBES_F699;
    assert_near(es_antenna_gain(&a, freq, es_rad(phi), 0.0, 0.0), want, 1e-6);
  }
  assert_int_equal(faults.n, 0);
  assert_true(es_text_table_rows(t) > 0);
  es_text_table_close(t);
  free(path);
}

/* G, half-power width, 2 D^2/lambda and what one degree off costs, efficiency 0.55 at 10.368 GHz (lambda 28.915 mm). */
static void dish_table(void **state) {
  (void)state;
  static const double rows[][5] = {{0.30, 27.7, 6.7, 6.2, 0.3},  {0.48, 31.7, 4.2, 15.9, 0.7},
                                   {0.60, 33.7, 3.4, 24.9, 1.1}, {0.75, 35.6, 2.7, 38.9, 1.6},
                                   {0.90, 37.2, 2.25, 56, 2.4},  {1.20, 39.7, 1.69, 100, 4.2}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    es_antenna a = es_antenna_dish(rows[i][0], 0.55, FREQ_GHZ);
    double width = es_deg(es_dish_beam(rows[i][0], FREQ_GHZ));
    assert_near(a.peak_dbi, rows[i][1], 0.06);
    assert_near(width, rows[i][2], 0.05);
    assert_near(es_antenna_far_m(&a, FREQ_GHZ), rows[i][3], rows[i][3] < 50.0 ? 0.06 : 0.5);
    /* the table's 12 (1/width)^2; the pattern's own parabola is 2.5e-3 (D phi/lambda)^2, 2 % more */
    assert_near(12.0 / (width * width), rows[i][4], 0.06);
    assert_near(a.peak_dbi - at(&a, 1, 0), 12.0 / (width * width), 0.1);
  }
}

/* A four-leaf pattern of 10, 6 and 0 dBi: 10 dB between bearings. */
static void four_leaves(void **state) {
  (void)state;
  test_folder f;
  es_faults faults = {0};
  es_antenna a;
  folder_open(&f);
  const char *path =
      folder_write(&f, "p.csv",
                   "angle_deg,gain_dbi\n0,10\n22.5,0\n45,6\n67.5,0\n90,10\n112.5,0\n135,6\n157.5,0\n180,10\n"
                   "202.5,0\n225,6\n247.5,0\n270,10\n292.5,0\n315,6\n337.5,0\n");
  assert_true(es_pattern_read(path, &a, &faults));
  double low = INFINITY, high = -INFINITY;
  for (int deg = 0; deg < 720; deg++) {
    double gain = at(&a, 0.5 * deg, 0.0);
    low = fmin(low, gain);
    high = fmax(high, gain);
  }
  assert_near(high - low, 10.0, 1e-9);
  assert_near(at(&a, 135, 0), 6.0, 1e-9);
  es_antenna_fini(&a);
  assert_false(
      es_pattern_read(folder_write(&f, "p.csv",
                                   "angle_deg,gain_dbi\n-180,3\n-150,3\n-120,3\n-90,3\n-60,3\n-30,3\n0,3\n30,3\n"
                                   "60,3\n90,3\n120,3\n150,3\n180,1\n"),
                      &a, &faults));
  assert_fault(&faults, 14, "angle_deg=-180 and 180 are one direction");
  es_faults_free(&faults);
  folder_close(&f);
}

/* The gain a table's cuts allow: uniform all round, a Gaussian of 10 degrees upright: 4 pi over its solid angle. */
static void table_limit(void **state) {
  (void)state;
  double az[] = {0.0, 2.0, 4.0}, level[] = {0.0, 0.0, 0.0}, el[41], rel[41];
  for (int i = 0; i < 41; i++) {
    el[i] = es_rad(i - 20.0);
    rel[i] = -12.0 * (i - 20.0) * (i - 20.0) / 100.0;
  }
  es_antenna a = {.shape = ES_SHAPE_TABLE, .peak_dbi = 10.0, .az = {3, az, level}, .el = {41, el, rel}};
  double sigma = es_rad(10.0) / sqrt(8.0 * log(2.0)); /* of the power pattern; cos(el) is nearly 1 */
  assert_near(es_antenna_limit_dbi(&a), es_db(2.0 / (sigma * sqrt(2.0 * ES_PI))), 0.05);
}

/* Antenna theory; figures worked by an independent script. */
static void polarisations(void **state) {
  (void)state;
  double ar3 = 1.41254;
  es_polarisation flat = {0.0, 1e6, false}, slant = {0.25 * ES_PI, 1e6, false}, upright = {0.5 * ES_PI, 1e6, false};
  es_polarisation round = {0.0, 1.0, false}, left = {0.0, 1.0, true};
  es_polarisation oval = {0.0, ar3, false}, crossed = {0.5 * ES_PI, ar3, false};
  assert_near(es_polarisation_loss_db(flat, flat, 25), 0.0, 1e-6);
  assert_near(es_polarisation_loss_db(flat, slant, 25), 3.010, 1e-3);
  assert_near(es_polarisation_loss_db(flat, upright, 25), 25.0, 1e-9); /* what XPD lets through */
  assert_near(es_polarisation_loss_db(flat, round, 25), 3.010, 1e-3);
  assert_near(es_polarisation_loss_db(round, round, 25), 0.0, 1e-6);
  assert_near(es_polarisation_loss_db(round, left, 30), 30.0, 1e-9);
  assert_near(es_polarisation_loss_db(oval, oval, 25), 0.0, 1e-6);
  assert_near(es_polarisation_loss_db(oval, crossed, 25), 0.508, 1e-3);
  assert_near(es_polarisation_loss_db(oval, flat, 25), 1.764, 1e-3);
  assert_near(es_polarisation_loss_db(oval, upright, 25), 4.764, 1e-3);
  es_receiver rx = {.polarisation = ES_POLAR_VERTICAL, .xpd_db = 22.0};
  assert_near(es_receiver_polarisation_db(&rx, ES_HORIZONTAL), 22.0, 1e-9);
  assert_near(es_receiver_polarisation_db(&rx, ES_VERTICAL), 0.0, 1e-6);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(horn),        cmocka_unit_test(slotted),        cmocka_unit_test(beams),
      cmocka_unit_test(envelope),    cmocka_unit_test(envelope_table), cmocka_unit_test(dish_table),
      cmocka_unit_test(four_leaves), cmocka_unit_test(table_limit),    cmocka_unit_test(polarisations)};
  return cmocka_run_group_tests_name("shapes", tests, NULL, NULL);
}
