/* test_pattern.c - measured antennas: what is read, and each thing that is refused. */
#include "base/units.h"
#include "folder.h"
#include "station/antenna.h"

static double at(const es_antenna *a, double az_deg, double el_deg) {
  return es_antenna_gain(a, 10.368, es_rad(az_deg), es_rad(el_deg), 0.0);
}

static void two_cuts(void **state) {
  (void)state;
  test_folder f;
  es_faults faults = {0};
  es_antenna a;
  folder_open(&f);
  const char *path = folder_write(&f, "p.csv",
                                  "# four leaves\ncut,angle_deg,gain_db\n"
                                  "azimuth,0,0\nazimuth,30,-6\nazimuth,60,-10\nazimuth,90,0\nazimuth,120,-4\n"
                                  "azimuth,150,-4\nazimuth,180,-20\nazimuth,210,-4\nazimuth,240,-4\nazimuth,270,-30\n"
                                  "azimuth,300,-4\nazimuth,330,-2\n"
                                  "elevation,-10,-20\nelevation,0,0\nelevation,10,-20\n");
  assert_true(es_pattern_read(path, &a, &faults));
  assert_true(isnan(a.peak_dbi)); /* a relative table does not know its peak */
  a.peak_dbi = 10.0;
  assert_near(at(&a, 0, 0), 10.0, 1e-9);
  assert_near(at(&a, 15, 0), 7.0, 1e-9);  /* linear in dB */
  assert_near(at(&a, 345, 0), 9.0, 1e-9); /* past the last angle comes the first */
  assert_near(at(&a, -15, 0), 9.0, 1e-9); /* any turn */
  assert_near(at(&a, 735, 0), 7.0, 1e-9);
  assert_near(at(&a, 30, 5), -6.0, 1e-9);    /* the cuts add: 10 - 6 - 10 */
  assert_near(at(&a, 30, 50), -16.0, 1e-9);  /* the end of the elevation cut holds */
  assert_near(at(&a, 270, 10), -30.0, 1e-9); /* 40 dB under the peak is the floor */
  a.azimuth = es_rad(90.0);
  a.tilt = es_rad(5.0);
  assert_near(at(&a, 120, 5), 4.0, 1e-9); /* pattern turned and tilted */
  es_antenna_fini(&a);
  es_faults_free(&faults);
  folder_close(&f);
}

static void gain_itself(void **state) {
  (void)state;
  test_folder f;
  es_faults faults = {0};
  es_antenna a;
  folder_open(&f);
  const char *path =
      folder_write(&f, "p.csv", "angle_deg,gain_dbi,cut\n0,-2,elevation\n-20,8,elevation\n10,-5,elevation\n");
  assert_true(es_pattern_read(path, &a, &faults));
  assert_near(a.peak_dbi, 8.0, 1e-12);
  assert_near(at(&a, 77, -20), 8.0, 1e-9); /* no azimuth cut: the same all round */
  assert_near(at(&a, 77, 5), -3.5, 1e-9);
  es_antenna_fini(&a);
  es_faults_free(&faults);
  folder_close(&f);
}

static void refused(void **state) {
  (void)state;
  static const struct {
    const char *text, *words;
    long line;
  } cases[] = {
      {"angle,gain_db\n0,0\n", "angle_deg and either gain_db or gain_dbi", 1},
      {"angle_deg,gain_db,gain_dbi\n0,0,0\n", "angle_deg and either", 1},
      {"angle_deg,gain_db,cut\n0,0,elevation\n1,x,elevation\n2,0,elevation\n", "gain_db=x", 3},
      {"angle_deg,gain_db,cut\n0,0,elevation\n1,nan,elevation\n2,0,elevation\n", "gain_db=nan", 3},
      {"angle_deg,gain_db,cut\n0,0,elevation\n1,3,elevation\n", "gain_db=3: want a number from -100 to 0", 3},
      {"angle_deg,gain_db,cut\n0,0,elevation\n1,,elevation\n", "an empty cell", 3},
      {"angle_deg,gain_db,cut\n0,0,side\n1,0,elevation\n2,0,elevation\n", "cut=side: want azimuth or elevation", 2},
      {"angle_deg,gain_db,cut\n0,0,elevation\n5,0,elevation\n5,-1,elevation\n", "angle_deg=5: repeated", 4},
      {"angle_deg,gain_db\n0,0\n30,0\n", "gap of 330 degrees", 2},
      {"angle_deg,gain_db,cut\n0,-9,elevation\n5,-8,elevation\n", "the largest gain_db of the elevation cut is -8", 2},
      {"angle_deg,gain_db,cut\n95,0,elevation\n5,0,elevation\n", "angle_deg=95: want a number from -90 to 90", 2},
      {"angle_deg,gain_db\n", "no usable row", 1},
  };
  test_folder f;
  folder_open(&f);
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    es_faults faults = {0};
    es_antenna a;
    assert_false(es_pattern_read(folder_write(&f, "p.csv", cases[i].text), &a, &faults));
    assert_fault(&faults, cases[i].line, cases[i].words);
    es_faults_free(&faults);
  }
  folder_close(&f);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(two_cuts), cmocka_unit_test(gain_itself),
                                     cmocka_unit_test(refused)};
  return cmocka_run_group_tests_name("pattern", tests, NULL, NULL);
}
