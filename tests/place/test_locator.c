/* Locators, both ways. */
#include "near.h"
#include "place/locator.h"

#include <string.h>

typedef struct row {
  const char *locator;
  double lon_deg, lat_deg, half_lon_deg, half_lat_deg;
} row;

/* Centres by hand from the sizes of IARU Region 1's definition. */
static const row rows[] = {
    {"JN58td", 11.625, 48.145833333333, 5.0 / 120.0, 2.5 / 120.0},
    {"JO62QM", 13.375, 52.520833333333, 5.0 / 120.0, 2.5 / 120.0}, /* upper case is read too */
    {"FN31", -73.0, 41.5, 1.0, 0.5},
    {"FN31pr21", -72.729166666667, 41.714583333333, 15.0 / 3600.0, 7.5 / 3600.0},
    {"FN31pr21rn", -72.727256944444, 41.714843750000, 0.625 / 3600.0, 0.3125 / 3600.0},
    {"AA00", -179.0, -89.5, 1.0, 0.5},
    {"RR99xx99xx", 180.0 - 0.625 / 3600.0, 90.0 - 0.3125 / 3600.0, 0.625 / 3600.0, 0.3125 / 3600.0},
};

static void centre_matches_table(void **state) {
  const row *r = *state;
  es_lonlat centre;
  double half_lon, half_lat;
  assert_int_equal(es_locator_parse(r->locator, &centre, &half_lon, &half_lat, NULL), 0);
  assert_near(centre.lon_deg, r->lon_deg, 1e-10);
  assert_near(centre.lat_deg, r->lat_deg, 1e-10);
  assert_near(half_lon, r->half_lon_deg, 1e-12);
  assert_near(half_lat, r->half_lat_deg, 1e-12);
}

static void place_to_text(void **state) {
  (void)state;
  char text[11];
  es_lonlat at = {-72.727260, 41.714775}; /* the example of the 10-character extension */
  assert_int_equal(es_locator_format(at, 10, text, NULL), 0);
  assert_string_equal(text, "FN31pr21rn");
  assert_int_equal(es_locator_format(at, 4, text, NULL), 0);
  assert_string_equal(text, "FN31");
}

static void edges_of_the_world(void **state) {
  (void)state;
  char text[11];
  assert_int_equal(es_locator_format((es_lonlat){180.0, 90.0}, 10, text, NULL), 0);
  assert_string_equal(text, "AR09ax09ax"); /* longitude wraps, the pole is in the northernmost row */
  assert_int_equal(es_locator_format((es_lonlat){-180.0, -90.0}, 10, text, NULL), 0);
  assert_string_equal(text, "AA00aa00aa");
  assert_int_equal(es_locator_format((es_lonlat){540.0 - 72.727260, 41.714775}, 6, text, NULL), 0);
  char west[11];
  assert_int_equal(es_locator_format((es_lonlat){180.0 - 72.727260, 41.714775}, 6, west, NULL), 0);
  assert_string_equal(text, west);
}

/* A corner belongs to the cell north-east of it although 5' is no binary fraction. */
static void corners_go_north_east(void **state) {
  (void)state;
  for (int i = 0; i < 24; i++) {
    char text[11];
    assert_int_equal(es_locator_format((es_lonlat){i * 5.0 / 60.0, i * 2.5 / 60.0}, 6, text, NULL), 0);
    assert_int_equal(text[4], 'a' + i);
    assert_int_equal(text[5], 'a' + i);
  }
}

static void round_trips_at_every_length(void **state) {
  (void)state;
  for (int i = 0; i < 2000; i++) {
    es_lonlat at = {-180.0 + fmod(i * 137.50776, 360.0), -90.0 + fmod(i * 61.80340, 180.0)}, back;
    for (int chars = 4; chars <= 10; chars += 2) {
      char text[11], again[11];
      double half_lon, half_lat;
      assert_int_equal(es_locator_format(at, chars, text, NULL), 0);
      assert_int_equal(strlen(text), chars);
      assert_int_equal(es_locator_parse(text, &back, &half_lon, &half_lat, NULL), 0);
      assert_near(back.lon_deg, at.lon_deg, half_lon + 1e-9);
      assert_near(back.lat_deg, at.lat_deg, half_lat + 1e-9);
      assert_int_equal(es_locator_format(back, chars, again, NULL), 0);
      assert_string_equal(text, again);
    }
  }
}

static void bad_text_is_refused(void **state) {
  (void)state;
  static const char *const bad[] = {"",       "JN",     "JN5",      "JN58t",  "JN58td1",     "JN58td12ab3", "SN58td",
                                    "JS58td", "JNX8td", "JN58yd",   "JN58tY", "JN58tdx1",    "JN58td12yz",  "48.1,11.6",
                                    "JN 58t", "5JN8td", "JN58td\n", "[]58td", "JN58td12aa34"};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    es_lonlat at;
    es_error err = {0};
    assert_int_equal(es_locator_parse(bad[i], &at, NULL, NULL, &err), ES_E_INPUT);
    assert_non_null(strstr(err.detail, "want"));
  }
}

static void bad_places_are_refused(void **state) {
  (void)state;
  char text[11];
  assert_int_equal(es_locator_format((es_lonlat){0.0, 90.001}, 6, text, NULL), ES_E_RANGE);
  assert_int_equal(es_locator_format((es_lonlat){NAN, 0.0}, 6, text, NULL), ES_E_RANGE);
  assert_int_equal(es_locator_format((es_lonlat){0.0, NAN}, 6, text, NULL), ES_E_RANGE);
  assert_int_equal(es_locator_format((es_lonlat){0.0, 0.0}, 5, text, NULL), ES_E_INPUT);
  assert_int_equal(es_locator_format((es_lonlat){0.0, 0.0}, 12, text, NULL), ES_E_INPUT);
}

enum { ROWS = sizeof rows / sizeof *rows };

int main(void) {
  struct CMUnitTest tests[ROWS + 6] = {
      cmocka_unit_test(place_to_text),         cmocka_unit_test(edges_of_the_world),
      cmocka_unit_test(corners_go_north_east), cmocka_unit_test(round_trips_at_every_length),
      cmocka_unit_test(bad_text_is_refused),   cmocka_unit_test(bad_places_are_refused)};
  for (int i = 0; i < ROWS; i++)
    tests[6 + i] = (struct CMUnitTest){
        .name = rows[i].locator, .test_func = centre_matches_table, .initial_state = (void *)&rows[i]};
  return cmocka_run_group_tests_name("locator", tests, NULL, NULL);
}
