/* test_feeder.c - loss of lines, and the beacon's chain of power. */
#include "station/feeder.h"

#include "base/units.h"
#include "folder.h"
#include "station/beacon_chain.h"

static const double FREQ_GHZ = 10.368;

typedef struct fixture {
  es_line_kinds lines;
  es_faults faults;
} fixture;

static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  assert_true(es_lines_builtin(&f->lines, &f->faults));
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  es_lines_free(&f->lines);
  es_faults_free(&f->faults);
  free(f);
  return 0;
}

static double loss(const fixture *f, const char *id) {
  const es_line_kind *line = es_line_find(&f->lines, id);
  assert_non_null(line);
  assert_true(line->source[0] != '\0'); /* no number without a source */
  return es_line_loss_db_m(line, FREQ_GHZ);
}

/* Walls: TE10 theory, sigma 5.8e7, 3.5e7, 1.57e7 S/m. Coax: a maker's formula in dB/100 ft, over 30.48 m. */
static void at_10368_mhz(void **state) {
  const fixture *f = *state;
  assert_near(loss(f, "waveguide-wr90-copper"), 0.105, 5e-4);
  assert_near(loss(f, "waveguide-wr90-aluminium"), 0.136, 6e-4);
  assert_near(loss(f, "waveguide-wr90-brass"), 0.203, 6e-4);
  double per_100_ft = 0.122290 * sqrt(10368.0) + 0.000260 * 10368.0;
  assert_near(loss(f, "foam-coax-10mm"), per_100_ft / 30.48, 1e-6);
  assert_near(loss(f, "foam-coax-10mm"), 0.497, 5e-4);
  assert_near(loss(f, "foam-coax-15mm"), 0.341, 5e-4);
  assert_near(loss(f, "foam-coax-6mm"), 0.92, 5e-3);
  assert_near(loss(f, "superflex-half-inch"), 0.43, 1e-9);
  assert_near(15.0 * loss(f, "foam-coax-10mm"), 7.5, 0.05);        /* 15 m of it */
  assert_near(15.0 * loss(f, "waveguide-wr90-copper"), 1.6, 0.05); /* 15 m of it */
}

/* WR-90: fc = c / (2 x 22.86 mm) = 6.557 GHz. */
static void bands(void **state) {
  const fixture *f = *state;
  const es_line_kind *guide = es_line_find(&f->lines, "waveguide-wr90-copper");
  const es_line_kind *foam = es_line_find(&f->lines, "foam-coax-half-inch");
  assert_near(es_line_cutoff_ghz(guide), 6.557, 5e-4);
  assert_int_equal(es_line_fit_at(guide, 6.5), ES_LINE_REFUSED);
  assert_true(isnan(es_line_loss_db_m(guide, 6.5)));
  assert_int_equal(es_line_fit_at(guide, 7.0), ES_LINE_OUT_OF_BAND);
  assert_int_equal(es_line_fit_at(guide, FREQ_GHZ), ES_LINE_AT_HOME);
  assert_int_equal(es_line_fit_at(foam, 8.0), ES_LINE_AT_HOME);
  assert_int_equal(es_line_fit_at(foam, FREQ_GHZ), ES_LINE_REFUSED); /* rated to 8.8 GHz */
  assert_int_equal(es_line_fit_at(es_line_find(&f->lines, "coax-rg213"), FREQ_GHZ), ES_LINE_OUT_OF_BAND);
  assert_int_equal(es_line_fit_at(es_line_find(&f->lines, "foam-coax-15mm"), FREQ_GHZ), ES_LINE_OUT_OF_BAND);
}

static void of_the_user(void **state) {
  fixture *f = *state;
  test_folder folder;
  folder_open(&folder);
  const char *good = "line,form,a,b\nmy-line,point,0.2,10000\nfoam-coax-10mm,coax,0.005,0\n";
  assert_true(es_lines_read(folder_write(&folder, "l.csv", good), &f->lines, &f->faults));
  assert_near(es_line_loss_db_m(es_line_find(&f->lines, "my-line"), 40.0), 0.4, 1e-12);
  assert_near(loss(f, "waveguide-wr90-copper"), 0.105, 5e-4); /* the others are still there */
  const char *bad = "line,form,a,b\nx,rope,1,\ny,guide,22.86,10.16\nz,point,-1,10\n,point,1,10\n";
  assert_false(es_lines_read(folder_write(&folder, "l.csv", bad), &f->lines, &f->faults));
  assert_fault(&f->faults, 2, "form=rope");
  assert_fault(&f->faults, 3, "line=y: want a name, and the numbers a, b and c");
  assert_fault(&f->faults, 4, "a=-1");
  assert_fault(&f->faults, 5, "line=: want a name");
  folder_close(&folder);
}

/* 250 mW ERP is 410 mW EIRP, +26.13 dBm: 10 log10(250) + 2.15. */
static void radiated(void **state) {
  (void)state;
  es_beacon b = {.antenna = es_antenna_all_round(10.0), .height_m = 20.0, .feeder_db = 1.0};
  es_radiated r = es_radiated_of(&b, 30.0, 20.0);
  assert_near(r.port_dbm, 29.0, 1e-12);
  assert_near(r.eirp_dbm, 39.0, 1e-12); /* 1 W, 10 dBi, 1 dB */
  assert_near(r.erp_dbm, 36.85, 1e-12);
  assert_near(es_db(250.0) + ES_ERP_TO_EIRP_DB, 26.13, 5e-3);
  assert_near(es_ratio(es_db(250.0) + ES_ERP_TO_EIRP_DB), 410.0, 0.5);
  b.feeder = (es_feeder){.line = "foam-coax-10mm", .length_m = 15.0, .db_per_m = 0.5};
  b.feeder_db = 7.5;
  assert_near(es_beacon_feeder_db(&b, 20.0), 7.5, 1e-12);
  assert_near(es_beacon_feeder_db(&b, 23.0), 9.0, 1e-12); /* 3 m more line */
  assert_near(es_beacon_feeder_db(&b, 2.0), 0.0, 1e-12);  /* never less than no line */
  b.feeder.at_antenna = true;
  b.feeder_db = 0.0;
  assert_near(es_beacon_feeder_db(&b, 23.0), 0.0, 0.0); /* amplifier at the antenna */
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(at_10368_mhz), EACH(bands), EACH(of_the_user), EACH(radiated)};
  return cmocka_run_group_tests_name("feeder", tests, NULL, NULL);
}
