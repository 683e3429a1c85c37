/* test_power.c - the beacon's power and feeder in a job file: each way to say it, and each way to say it wrong. */
#include "base/units.h"
#include "job/job.h"
#include "station/folder.h"

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

/* A job whose sixth line is the power. */
static bool with_power(fixture *f, const char *power) {
  char *text =
      es_format("beacon:\n  name: Skarn Head\n  position: HN16wn56ab\n  frequency_mhz: 10368\n"
                "  antenna: {gain_dbi: 10, height_m: 18}\n  power: {%s}\n"
                "ground: {elevation: island.tif, vertical_datum: EGM2008}\nmap: {radius_km: 50, cell_m: 500}\n",
                power);
  es_job_close(f->job);
  es_faults_free(&f->faults);
  f->job = es_job_open(folder_write(&f->folder, "job.yaml", text), &f->faults);
  free(text);
  return f->job != NULL;
}

static const es_beacon *good(fixture *f, const char *power) {
  if (with_power(f, power)) return &f->job->beacon;
  faults_print(&f->faults);
  fail_msg("refused: %s", power);
  return NULL;
}

static void ways_to_say_it(void **state) {
  fixture *f = *state;
  const es_beacon *b = good(f, "at_amplifier_dbm: 30, sigma_db: 0.3");
  assert_near(b->power_dbm, 30.0, 0.0);
  assert_near(b->power_sigma_db, 0.3, 0.0);
  b = good(f, "meter: {reading_dbm: 7.2, attenuator_db: 20}");
  assert_near(b->power_dbm, 27.2, 1e-12);
  assert_near(b->power_sigma_db, 0.5, 0.0);
  b = good(f, "eirp_dbm: 39, feeder_loss_db: 1");
  assert_near(b->power_dbm, 30.0, 1e-12);
  b = good(f, "erp_dbm: 23.98"); /* 250 mW ERP: +26.13 dBm EIRP, less 10 dBi */
  assert_near(b->power_dbm, 16.13, 1e-9);
  assert_near(f->job->scenarios[0].power_dbm, 16.13, 1e-9);
}

static void feeders(void **state) {
  fixture *f = *state;
  const es_beacon *b = good(f, "at_amplifier_dbm: 30, feeder: {line: foam-coax-10mm, length_m: 15}");
  assert_near(b->feeder_db, 7.5, 0.05); /* a maker's formula: 0.497 dB/m at 10.368 GHz */
  assert_int_equal(f->faults.n, 0);
  b = good(f, "at_amplifier_dbm: 30, feeder: {line: waveguide-wr90-copper, length_m: 15, extra_percent: 20, "
              "connectors: {transition: 2, n: 1}}");
  assert_near(b->feeder_db, 1.2 * 15.0 * 0.105 + 2 * 0.2 + 0.15, 0.01);
  b = good(f, "at_amplifier_dbm: 30, feeder: {amplifier: antenna, connectors: {sma: 1}}");
  assert_near(b->feeder_db, 0.1, 1e-12);
  b = good(f, "at_amplifier_dbm: 30, feeder: {line: coax-rg213, length_m: 10}");
  assert_near(b->feeder_db, 13.0, 1e-9);
  assert_fault(&f->faults, 6, "line=coax-rg213: made for 100 to 1000 MHz, not for 10368 MHz");
}

static void refused(void **state) {
  fixture *f = *state;
  static const struct {
    const char *power, *words;
  } cases[] = {
      {"erp: 24", "erp: say at_amplifier_dbm, eirp_dbm or erp_dbm"},
      {"erp: 24", "erp=24: unknown key"},
      {"erp_dbm: 24, at_amplifier_dbm: 27", "want one of at_amplifier_dbm, meter, eirp_dbm and erp_dbm, found 2"},
      {"meter: {attenuator_db: 20}", "reading_dbm is missing"},
      {"at_amplifier_dbm: 30, feeder_loss_db: 1, feeder: {line: coax-rg58, length_m: 1}", "not both"},
      {"at_amplifier_dbm: 30, feeder: {length_m: 1}", "line is missing"},
      {"at_amplifier_dbm: 30, feeder: {line: coax-rg58}", "length_m is missing"},
      {"at_amplifier_dbm: 30, feeder: {line: foam-coax-10m, length_m: 1}", "did you mean foam-coax-10mm"},
      {"at_amplifier_dbm: 30, feeder: {line: connector-n, length_m: 1}", "connector-n is no line"},
      {"at_amplifier_dbm: 30, feeder: {line: foam-coax-half-inch, length_m: 9}",
       "too high for it, want at most 8800 MHz"},
      {"at_amplifier_dbm: 30, feeder: {line: waveguide-wr42-copper, length_m: 9}", "below its cut-off"},
      {"at_amplifier_dbm: 30, sigma_db: -1", "sigma_db=-1"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    assert_false(with_power(f, cases[i].power));
    assert_fault(&f->faults, 6, cases[i].words);
  }
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(ways_to_say_it), EACH(feeders), EACH(refused)};
  return cmocka_run_group_tests_name("power", tests, NULL, NULL);
}
