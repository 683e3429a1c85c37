/* test_pages.c - the beacon's sheet and the cards hold every field that groups publish and 47 CFR 97.203(e)(1) asks for. */
#include "run/pages.h"

#include "base/units.h"
#include "island_job.h"

static const char BEACON[] =
    "  antenna: {slots: 16, ripple_db: 2, azimuth_deg: 30, tilt_deg: 1, height_m: 18}\n"
    "  power: {meter: {reading_dbm: 7, attenuator_db: 23}, feeder: {line: waveguide-wr90-copper, length_m: 15}}\n"
    "  keying: {wpm: 12, carrier_s: 30}\n"
    "  sheet: {reference: gps, multiply: [3, 3, 9], keeper: Q0AAA, report_to: reports@example.org, schedule: always,\n"
    "          status: planned, last_checked: 2026-01-02, exposure_rules: fcc}";

typedef struct fixture {
  island_job j;
  es_listener_answers answers;
  es_path_answer answer;
  es_pages pages;
  es_page page;
  char text[1 << 16];
} fixture;

static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  island_open(
      &f->j, BEACON,
      "name,lon,lat,height_m,dish_m,mode,lnb_lo_mhz\n\"Q7XAN <Far> & \"\"Ness\"\"\",-34.30,46.40,10,0.6,cw,9750\n", "");
  f->answer = island_advice(&f->j, 0);
  f->answers = (es_listener_answers){.n_scenarios = 1, .n_listeners = 1, .items = &f->answer};
  f->pages = (es_pages){&f->j.setup, &f->j.percents, &f->answers, f->j.folder.path, "ABCD1234", "0.0", 0};
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  island_close(&f->j);
  free(f);
  return 0;
}

static const char *written(fixture *f, bool html) {
  es_error err = {0};
  const char *path = folder_file(&f->j.folder, "page");
  int32_t status = html ? es_page_write_html(path, &f->page, &err) : es_page_write_text(path, &f->page, &err);
  if (status != 0) fail_msg("%s", err.detail);
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  size_t n = fread(f->text, 1, sizeof f->text - 1, file);
  fclose(file);
  f->text[n] = '\0';
  return f->text;
}

static void holds(const char *text, const char *words) {
  if (strstr(text, words) == NULL) fail_msg("'%s' is not in\n%s", words, text);
}

static void sheet(void **state) {
  fixture *f = *state;
  es_page_begin(&f->page, f->j.results, "eyebrow", "Beacon sheet");
  es_beacon_sheet_fill(&f->pages, &f->page);
  const char *text = written(f, false);
  static const char *const fields[] = {"Skarn Head, Q0SKN",
                                       "10368.875000 MHz",
                                       "HN16wn, HN16wn56eg",
                                       "latitude 46.567800, longitude -36.123400",
                                       "m above sea, datum invented",
                                       "18 m above ground",
                                       "At the amplifier          30.0 dBm (1 W), +-0.5 dB",
                                       "1.58 dB: 15.0 m of waveguide-wr90-copper",
                                       "At the antenna port       28.4 dBm",
                                       "slotted guide, 16 slots",
                                       "12.1 dBi at its best",
                                       "EIRP                      40.6 dBm",
                                       "ERP                       38.4 dBm",
                                       "horizontal",
                                       "8.1 to 12.1 dBi going round, set to 30 degrees",
                                       "+1.0 degrees",
                                       "Morse, carrier on and off",
                                       "Q0SKN HN16wn",
                                       "12 words a minute",
                                       "50H0A1A",
                                       "GPS; may be off by 0.0001 ppm, 1.037 Hz",
                                       "x 3 x 3 x 9 = 10368.875000 MHz",
                                       "tune 618.875000 MHz",
                                       "always",
                                       "planned",
                                       "2026-01-02",
                                       "Q0AAA",
                                       "reports@example.org",
                                       "FCC 47 CFR 1.1310",
                                       "Climbing",
                                       "Lightning",
                                       "Licence",
                                       "Local rules and licensed practice decide",
                                       "run ABCD1234",
                                       "checksum"};
  for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) holds(text, fields[i]);
  size_t column = 0;
  for (const char *c = text; *c != '\0'; c++) {
    column = *c == '\n' ? 0 : column + 1;
    assert_true(column <= 100);
  }
}

/* Bearings both ways, distance, frequency, IF and window, keying, what to expect, when, how to report. */
static void card(void **state) {
  fixture *f = *state;
  es_page_begin(&f->page, f->j.results, "eyebrow", f->j.job->listeners.items[0].name);
  es_card_fill(&f->pages, 0, &f->page);
  const char *text = written(f, false);
  static const char *const fields[] = {"Q7XAN <Far> & \"Ness\"",
                                       "Bearing to the beacon",
                                       "Bearing from the beacon",
                                       "Distance",
                                       "HN16wn56eg",
                                       "Polarisation              horizontal",
                                       "10368.875000 MHz",
                                       "LO 9750 MHz: tune 618.875000 MHz",
                                       "Search window",
                                       "Cycle",
                                       "of the year (8 in 10 chance of",
                                       "SNR in 2500 Hz",
                                       "with 9 in 10 chance",
                                       "Best mode",
                                       "When",
                                       "What limits it",
                                       "What would help",
                                       "0.6 m dish",
                                       "System temperature",
                                       "RST",
                                       "UTC",
                                       "18m-30dbm"};
  for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) holds(text, fields[i]);
  text = written(f, true);
  holds(text, "<h1>Q7XAN &lt;Far&gt; &amp; &quot;Ness&quot;</h1>");
  assert_null(strstr(text, "<Far>"));
  assert_null(strstr(text, "http")); /* no request leaves the page */
  assert_null(strstr(text, "<script"));
}

/* A listener without ground gets a card with what is known: where to point, what to tune. */
static void card_without_ground(void **state) {
  fixture *f = *state;
  f->answer.status = ES_MISSING;
  f->answer.verdict = (es_verdict){.cause = {.kind = ES_CAUSE_NO_GROUND}, .limit = "no ground data beyond 3.0 km"};
  es_page_begin(&f->page, f->j.results, "eyebrow", "Q7XAN");
  es_card_fill(&f->pages, 0, &f->page);
  const char *text = written(f, false);
  holds(text, "Bearing to the beacon");
  holds(text, "no answer");
  holds(text, "no ground data beyond 3.0 km");
  assert_null(strstr(text, "SNR in 2500 Hz"));
}

/* As narrow as it is asked for: what is too long goes on under its own column. */
static void narrow(void **state) {
  fixture *f = *state;
  es_page_begin(&f->page, f->j.results, "eyebrow", "Beacon sheet");
  es_page_row(&f->page, "At the amplifier", "27.0 dBm (501 mW), as stated; its spread is common practice");
  es_page_caution(&f->page, "These are cautions, not a design. Local rules and licensed practice decide.");
  char *text = es_page_text(&f->page, 64);
  assert_non_null(text);
  assert_string_equal(text, "eyebrow\nBeacon sheet\n"
                            "  At the amplifier          27.0 dBm (501 mW), as stated; its\n"
                            "                            spread is common practice\n"
                            "  ! These are cautions, not a design. Local rules and licensed\n"
                            "    practice decide.\n");
  free(text);
}

static void too_long(void **state) {
  fixture *f = *state;
  es_error err = {0};
  es_page_begin(&f->page, f->j.results, "", "");
  for (int i = 0; i <= ES_PAGE_ITEMS; i++) es_page_row(&f->page, "n", "%d", i);
  assert_int_not_equal(es_page_write_text(folder_file(&f->j.folder, "page"), &f->page, &err), 0);
  assert_non_null(strstr(err.detail, "too long")); /* never cut in silence */
}

#define EACH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {EACH(sheet), EACH(card), EACH(card_without_ground), EACH(narrow), EACH(too_long)};
  return cmocka_run_group_tests_name("pages", tests, NULL, NULL);
}
