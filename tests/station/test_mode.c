/* test_mode.c - the built-in table of modes, and a user's own. */
#include "station/mode.h"

#include "folder.h"
#include "station/word.h"

static void builtin(void **state) {
  (void)state;
  static const struct {
    const char *id;
    double snr_2500_db;
  } want[] = {{"ssb", 5.8},           {"cw", -14.6},     {"cw-easy", -8},   {"cw-best", -17.6}, {"waterfall-10hz", -14},
              {"waterfall-1hz", -24}, {"jt4g", -17},     {"ft8", -21},      {"jt9", -26},       {"jt65", -25},
              {"q65-15", -22.2},      {"q65-30", -24.8}, {"q65-60", -27.6}, {"q65-120", -30.8}, {"wspr", -31}};
  es_modes modes;
  es_faults faults = {0};
  assert_true(es_modes_builtin(&modes, &faults));
  for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
    const es_mode *mode = es_mode_find(&modes, want[i].id);
    assert_non_null(mode);
    assert_near(mode->snr_2500_db, want[i].snr_2500_db, 1e-12);
    assert_true(mode->name[0] != '\0' && mode->source[0] != '\0'); /* no threshold without a source */
  }
  /* +6 dB in 2.4 kHz and -0.6 dB in 100 Hz, moved to 2500 Hz: SNR(B2) = SNR(B1) + 10 log10(B1/B2) */
  assert_near(es_mode_find(&modes, "ssb")->snr_2500_db, 6.0 + 10.0 * log10(2400.0 / 2500.0), 0.05);
  assert_near(es_mode_find(&modes, "cw")->snr_2500_db, -0.6 + 10.0 * log10(100.0 / 2500.0), 0.05);
  assert_null(es_mode_find(&modes, "smoke"));
  es_modes_free(&modes);
  es_faults_free(&faults);
}

static void of_the_user(void **state) {
  (void)state;
  test_folder f;
  es_modes modes;
  es_faults faults = {0};
  folder_open(&f);
  assert_true(es_modes_builtin(&modes, &faults));
  size_t before = modes.n;
  assert_true(es_modes_read(folder_write(&f, "m.csv", "snr_2500_db,id\n-12,cw\n-40,drift-watch\n"), &modes, &faults));
  assert_int_equal(modes.n, before + 1);
  assert_near(es_mode_find(&modes, "cw")->snr_2500_db, -12.0, 0.0);
  assert_string_equal(es_mode_find(&modes, "drift-watch")->name, "drift-watch");
  assert_false(es_modes_read(folder_write(&f, "m.csv", "id,snr_2500_db\na,1x\n,3\nb,\nc,99\n"), &modes, &faults));
  assert_fault(&faults, 2, "snr_2500_db=1x");
  assert_fault(&faults, 3, "id is empty");
  assert_fault(&faults, 4, "snr_2500_db is empty");
  assert_fault(&faults, 5, "snr_2500_db=99");
  assert_false(es_modes_read(folder_write(&f, "m.csv", "id,snr\na,1\n"), &modes, &faults));
  assert_fault(&faults, 1, "want the columns id and snr_2500_db");
  es_modes_free(&modes);
  es_faults_free(&faults);
  folder_close(&f);
}

static void nearest_word(void **state) {
  (void)state;
  assert_int_equal(es_word_distance("kitten", "sitting"), 3); /* the textbook pair of Levenshtein's measure */
  assert_int_equal(es_word_distance("chian", "chain"), 1);    /* two neighbours swapped */
  assert_int_equal(es_word_distance("", "abc"), 3);
  assert_int_equal(es_word_distance("ABC", "abc"), 0);
  es_nearest nearest = {.word = "hieght_m"};
  es_nearest_offer(&nearest, "mode");
  assert_null(nearest.best);
  es_nearest_offer(&nearest, "height_m");
  assert_string_equal(nearest.best, "height_m");
}

/* A threshold in each of its forms, and each way to have none: C/N0 = SNR + 10 log10 B. */
static void forms_of_thresholds(void **state) {
  (void)state;
  test_folder f;
  es_modes modes;
  es_faults faults = {0};
  folder_open(&f);
  assert_true(es_modes_builtin(&modes, &faults));
  assert_true(es_modes_read(folder_write(&f, "m.csv",
                                         "id,snr_2500_db,cn0_dbhz,snr_db,bandwidth_hz,spread_db,bin_hz\n"
                                         "a,-8,,,,,\nb,,26,,,2.5,\nc,,,6,100,,5\n"),
                            &modes, &faults));
  assert_near(es_mode_find(&modes, "b")->snr_2500_db, 26.0 - 33.9794, 1e-4);
  assert_near(es_mode_find(&modes, "b")->spread_db, 2.5, 0.0);
  assert_near(es_mode_find(&modes, "c")->snr_2500_db, 6.0 - 13.9794, 1e-4);
  assert_near(es_mode_find(&modes, "c")->bin_hz, 5.0, 0.0);
  assert_false(es_modes_read(folder_write(&f, "m.csv",
                                          "id,snr_2500_db,cn0_dbhz,snr_db,bandwidth_hz\n"
                                          "a,,,,\nb,1,2,,\nc,,,6,\nd,,,6,0\ne,3,,,100\n"),
                             &modes, &faults));
  assert_fault(&faults, 2, "no threshold: want one threshold");
  assert_fault(&faults, 3, "more than one threshold");
  assert_fault(&faults, 4, "want one threshold");
  assert_fault(&faults, 5, "bandwidth_hz=0");
  assert_fault(&faults, 6, "a bandwidth alone");
  es_modes_free(&modes);
  es_faults_free(&faults);
  folder_close(&f);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(builtin), cmocka_unit_test(of_the_user),
                                     cmocka_unit_test(forms_of_thresholds), cmocka_unit_test(nearest_word)};
  return cmocka_run_group_tests_name("mode", tests, NULL, NULL);
}
