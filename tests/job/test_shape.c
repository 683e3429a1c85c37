/* test_shape.c - the shapes of antennas in a job file, at both ends, and each that is refused. */
#include "base/units.h"
#include "job/job.h"
#include "station/folder.h"
#include "station/polarisation.h"

typedef struct fixture {
  test_folder folder;
  es_faults faults;
  es_job *job;
} fixture;

static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  folder_open(&f->folder);
  folder_write(&f->folder, "island.tif", "stand-in");
  /* uniform going round, 10 degrees upright: its directivity is about 10 dBi */
  folder_write(&f->folder, "p.csv",
               "cut,angle_deg,gain_db\nelevation,-90,-40\nelevation,-20,-40\nelevation,-10,-12\nelevation,-5,-3\n"
               "elevation,0,0\nelevation,5,-3\nelevation,10,-12\nelevation,20,-40\nelevation,90,-40\n");
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  es_job_close(f->job);
  es_faults_free(&f->faults);
  folder_close(&f->folder);
  free(f);
  return 0;
}

/* Line 5 is the beacon's antenna, line 8 the listeners'. */
static bool with(fixture *f, const char *antenna, const char *receiver) {
  char *text = es_format("beacon:\n  name: Skarn Head\n  position: HN16wn56ab\n  frequency_mhz: 10368\n"
                         "  antenna: {height_m: 18, %s}\n  power: {at_amplifier_dbm: 27}\n"
                         "ground: {elevation: island.tif, vertical_datum: EGM2008}\nlistener_defaults: {%s}\n"
                         "map: {radius_km: 50, cell_m: 500}\n",
                         antenna, receiver);
  es_job_close(f->job);
  es_faults_free(&f->faults);
  f->job = es_job_open(folder_write(&f->folder, "job.yaml", text), &f->faults);
  free(text);
  return f->job != NULL;
}

static const es_job *good(fixture *f, const char *antenna, const char *receiver) {
  if (with(f, antenna, receiver)) return f->job;
  faults_print(&f->faults);
  fail_msg("refused: %s", antenna);
  return NULL;
}

static void beacons(void **state) {
  fixture *f = *state;
  const es_antenna *a = &good(f, "slots: 16, ripple_db: 1", "mode: cw")->beacon.antenna;
  assert_int_equal(a->shape, ES_SHAPE_SLOTTED);
  assert_near(a->peak_dbi, 11.14, 0.006); /* 10 log10(16 x 18.66/28.915), and the ripple */
  a = &good(f, "horn_mm: [84, 65], azimuth_deg: 90, pointing_error_deg: 3", "mode: cw")->beacon.antenna;
  assert_near(a->peak_dbi, 16.22, 0.006); /* 0.51 x 4 pi A B/lambda^2 */
  assert_near(es_deg(a->azimuth), 93.0, 1e-9);
  assert_near(a->width_m, 0.065, 1e-12); /* horizontal: the E plane lies level */
  a = &good(f, "sector_deg: [90, 8], azimuth_deg: 180, peak_dbi: 15", "mode: cw")->beacon.antenna;
  assert_int_equal(a->shape, ES_SHAPE_SECTOR);
  assert_near(a->peak_dbi, 15.0, 0.0);
  a = &good(f, "gain_dbi: 10, elevation_beam_deg: 10", "mode: cw")->beacon.antenna;
  assert_near(es_deg(a->beam_el), 10.0, 1e-9);
  a = &good(f, "dish_m: 0.6, azimuth_deg: 1, side_lobes: f699", "mode: cw")->beacon.antenna;
  assert_int_equal(a->lobes, ES_LOBES_F699);
}

static void receivers(void **state) {
  fixture *f = *state;
  const es_receiver *rx =
      &good(f, "gain_dbi: 0", "beam_deg: [10, 10], polarisation: vertical, cross_polar_db: 20, pointing_error_deg: 2")
           ->listener_defaults;
  assert_int_equal(rx->antenna.shape, ES_SHAPE_BEAM);
  assert_true(rx->antenna.tracks); /* still turned at the beacon, but for its error */
  assert_near(es_deg(rx->antenna.azimuth), 2.0, 1e-9);
  assert_int_equal(rx->polarisation, ES_POLAR_VERTICAL);
  assert_near(rx->xpd_db, 20.0, 0.0);
  rx = &good(f, "gain_dbi: 0", "dish_m: 0.9, lnb_lo_mhz: 10000, lnb_error_ppm: 1")->listener_defaults;
  assert_near(rx->lnb_lo_mhz, 10000.0, 0.0);
  assert_near(f->job->map.receiver.lnb_error_ppm, 1.0, 0.0); /* the map's listener takes it over */
}

/* A sphere has 41253 square degrees: a beam of 5 by 5 cannot have more than 32.2 dBi. */
static void too_much_gain(void **state) {
  fixture *f = *state;
  good(f, "beam_deg: [5, 5], peak_dbi: 33.6, azimuth_deg: 0", "mode: cw");
  assert_fault(&f->faults, 5, "a gain of 33.6 dBi is 1.4 dB more than the beam widths allow");
  assert_false(with(f, "beam_deg: [5, 5], peak_dbi: 40, azimuth_deg: 0", "mode: cw"));
  assert_fault(&f->faults, 5, "a gain of 40.0 dBi is more than the beam widths allow: want at most 32.2 dBi");
  good(f, "pattern: p.csv, peak_dbi: 10", "mode: cw");
  assert_int_equal(f->faults.n, 0);
  assert_false(with(f, "pattern: p.csv, peak_dbi: 15", "mode: cw"));
  assert_fault(&f->faults, 5, "a gain of 15.0 dBi is more than the beam widths allow");
}

static void refused(void **state) {
  fixture *f = *state;
  static const struct {
    const char *antenna, *receiver, *words;
    long line;
  } cases[] = {
      {"horn_mm: [84], azimuth_deg: 1", "mode: cw", "want two numbers above 0", 5},
      {"beam_deg: [0, 5], azimuth_deg: 1", "mode: cw", "want two numbers above 0", 5},
      {"beam_deg: [5, 5]", "mode: cw", "azimuth_deg is missing", 5},
      {"slots: 16, guide_mm: 10", "mode: cw", "a guide of 10 mm is below its cut-off", 5},
      {"slots: 16, gain_dbi: 10", "mode: cw", "found 2", 5},
      {"gain_dbi: 0", "noise_figure_db: -1", "noise_figure_db=-1: want a number from 0 to 30", 8},
      {"gain_dbi: 0", "polarisation: diagonal", "polarisation=diagonal: want as-beacon, horizontal", 8},
      {"gain_dbi: 0", "side_lobes: f999", "side_lobes=f999", 8},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    assert_false(with(f, cases[i].antenna, cases[i].receiver));
    assert_fault(&f->faults, cases[i].line, cases[i].words);
  }
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(beacons), EACH(receivers), EACH(too_much_gain), EACH(refused)};
  return cmocka_run_group_tests_name("shape", tests, NULL, NULL);
}
