/* test_digest.c - the digest fits a mailing list: 72 columns, best first, no markup and no control characters. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "near.h"
#include "run/report_parts.h"

static json_t *listener(const char *name, double km) {
  return json_pack("{s:s,s:f,s:f}", "name", name, "km", km, "bearing_deg", 359.7);
}
static json_t *path(double heard, const char *best) {
  return json_pack("{s:f,s:[n,s,n]}", "heard_percent", heard, "best", best);
}

static json_t *sample(void) {
  return json_pack(
      "{s:b,s:i,s:s,s:s,s:s,s:s,s:s,s:{s:s,s:f},s:{s:s,s:[[s,s]]},s:[],s:[o,o,o],s:[[o,o,o]]}", "timed", 1,
      "shown_first", 0, "who", "Skarn Head", "sheet",
      "\nBeacon sheet\n\nPower\n  At the \x1b amplifier        27.0 dBm (501 mW), +-1.0 dB, as stated; its\n"
      "                            spread is common practice\n",
      "table_caption", "Antenna at 18\xC2\xA0m.", "method", "The whole year.", "foot", "Prediction, not measurement.",
      "beacon", "locator", "HN16wn", "frequency_mhz", 10368.875, "answer", "title",
      "Put the antenna at 22\xC2\xA0m. Then 16 of 26 listeners hear the beacon more than half the year, which takes "
      "more than one line to say.",
      "facts", "Bold.", "more", "cautions", "listeners", listener("Q1A\tnear\n\x1b[31m", 1.25),
      listener("\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D of a name that is far too long for it", 62.44),
      listener("Q3C", 199.96), "paths", path(0.2, "Morse by ear and by a patient operator"), path(99.7, "Morse by ear"),
      path(40.0, "Seen on a waterfall, 10 Hz wide"));
}

static char *digest(void) {
  char name[] = "/tmp/earshot-digest-XXXXXX", *text = calloc(1, 8192);
  int made = mkstemp(name);
  assert_true(made >= 0 && text != NULL);
  close(made);
  json_t *data = sample();
  es_error err = {0};
  assert_int_equal(es_digest_write(name, data, &err), 0);
  json_decref(data);
  FILE *file = fopen(name, "rb");
  assert_non_null(file);
  assert_true(fread(text, 1, 8191, file) > 0);
  fclose(file);
  unlink(name);
  return text;
}

static void fits_72_columns(void **state) {
  (void)state;
  char *text = digest();
  size_t columns = 0;
  for (const char *c = text; *c != '\0'; c++) {
    assert_true(*c == '\n' || (unsigned char)*c >= 0x20);
    columns = *c == '\n' ? 0 : columns + (((unsigned char)*c & 0xC0) != 0x80);
    assert_true(columns <= 72);
  }
  /* The sheet keeps its lines. */
  assert_non_null(strstr(text, "\n\nBeacon sheet\n\nPower\n"
                               "  At the   amplifier        27.0 dBm (501 mW), +-1.0 dB, as stated; its\n"
                               "                            spread is common practice\n"));
  free(text);
}

static void best_first(void **state) {
  (void)state;
  char *text = digest();
  const char *first = strstr(text, "of a name that is far"), *second = strstr(text, "Q3C"),
             *third = strstr(text, "Q1A");
  assert_true(first != NULL && first < second && second < third);
  /* What is too long ends before a comma, or after a word. */
  assert_non_null(strstr(text, "  62.4 000   >99 %  Morse by ear\n"));
  assert_non_null(strstr(text, " 200.0 000    40 %  Seen on a waterfall\n"));
  assert_non_null(strstr(text, "   1.2 000    <1 %  Morse by ear and by a\n"));
  free(text);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(fits_72_columns), cmocka_unit_test(best_first)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
