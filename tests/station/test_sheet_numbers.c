/* test_sheet_numbers.c - what stands on the sheet and the cards: frequencies, keying, exposure. */
#include "base/units.h"
#include "near.h"
#include "station/exposure.h"
#include "station/keying.h"
#include "station/tuning.h"

static const double FREQ_HZ = 10368e6;

/* 1152 x 3 x 3 = 10368; a 10 MHz reference is multiplied by 1036.8. */
static void multiplication(void **state) {
  (void)state;
  assert_near(1152e6 * 3 * 3, FREQ_HZ, 0.0);
  assert_near(es_multiplied_error_hz(FREQ_HZ, 10e6, 100.0), 103.68e3, 1e-6);
  static const double ppm[][2] = {{10, 103.68e3}, {30, 311.04e3}, {1, 10.37e3}, {0.25, 2.59e3}, {0.1, 1.04e3},
                                  {1e-3, 10.4},   {1e-4, 1.04},   {1e-5, 0.10}, {1e-6, 0.01}};
  for (int i = 0; i < 9; i++) assert_near(es_error_hz(FREQ_HZ, ppm[i][0]), ppm[i][1], 5e-3 * ppm[i][1] + 0.004);
}

/* LNB LO 9750: 618 MHz, upright; 10 and 30 ppm of it are 98 and 293 kHz; 390 x 25 MHz and 361.1 x 27 MHz are 9750. */
static void behind_an_lnb(void **state) {
  (void)state;
  es_tuning t = es_tune(FREQ_HZ, 1e-4, 9750e6, 10.0);
  assert_near(t.if_hz, 618e6, 0.0);
  assert_false(t.inverted);
  assert_near(t.lnb_hz, 98e3, 0.6e3);
  assert_near(es_error_hz(9750e6, 30.0), 293e3, 0.6e3);
  assert_near(t.window_hz, 97500.0 + 1.0368, 1e-6);
  assert_true(es_tune(FREQ_HZ, 0, 10750e6, 1).inverted); /* a high LO turns the spectrum round */
  assert_near(390.0 * 25.0, 9750.0, 0.0);
  assert_near(361.1 * 27.0, 9750.0, 0.5);
}

/* ITU-R M.1677: PARIS with its word space is 50 units; E is 1 and T 3 long. */
static void morse(void **state) {
  (void)state;
  es_morse_length paris = es_morse_measure("PARIS");
  assert_near(paris.units, 50.0, 0.0);
  assert_near(paris.on, 22.0, 0.0); /* .--. .- .-. .. ...: 10 dots and 4 dashes */
  assert_near(es_morse_measure("PARIS PARIS").units, 100.0, 0.0);
  assert_near(es_morse_measure("paris  paris ").units, 100.0, 0.0);
  assert_near(es_morse_measure("E").units, 8.0, 0.0);
  assert_int_equal(es_morse_measure("A#B").unknown, 1);
  assert_near(es_morse_measure("").units, 0.0, 0.0);
  assert_near(12.0 * 50.0 * es_morse_unit_s(12.0), 60.0, 1e-9); /* 12 words of PARIS a minute */
}

/* One minute: 24 1/3 s digital, then Morse at 12 words a minute, then carrier to 59.5 s. */
static void cycles(void **state) {
  (void)state;
  es_keying k = {.kind = ES_KEYED_ON_OFF, .message = "PARIS", .wpm = 12.0, .carrier_s = 15.0};
  es_cycle c = es_keying_cycle(&k);
  assert_near(c.message_s, 5.0, 1e-9);
  assert_near(c.cycle_s, 20.0, 1e-9);
  assert_near(c.duty, (2.2 + 15.0) / 20.0, 1e-9);
  k = (es_keying){.kind = ES_KEYED_BY_SHIFT,
                  .message = "PARIS",
                  .wpm = 12.0,
                  .shift_hz = 400.0,
                  .digital_s = 73.0 / 3.0,
                  .carrier_s = 29.5,
                  .pause_s = 60.0 - 5.0 - 29.5 - 73.0 / 3.0};
  c = es_keying_cycle(&k);
  assert_near(c.cycle_s, 60.0, 1e-9);
  assert_near(c.duty, (5.0 + 29.5 + 73.0 / 3.0) / 60.0, 1e-9);
  k.kind = ES_KEYED_NOT;
  k.digital_s = k.pause_s = k.carrier_s = 0.0;
  assert_near(es_keying_cycle(&k).duty, 1.0, 0.0);
}

/* SM.1138: bandwidth B K, K = 5 with fading: 10 Bd (12 words a minute) 50H0A1A, 20 Bd 100HA1A. */
static void emissions(void **state) {
  (void)state;
  char text[16], width[8];
  es_keying k = {.kind = ES_KEYED_ON_OFF, .wpm = 12.0};
  es_emission_text(&k, text);
  assert_string_equal(text, "50H0A1A");
  k.wpm = 24.0; /* 20 Bd: the Recommendation's example */
  es_emission_text(&k, text);
  assert_string_equal(text, "100HA1A");
  k = (es_keying){.kind = ES_KEYED_BY_SHIFT, .wpm = 12.0, .shift_hz = 400.0};
  es_emission_text(&k, text);
  assert_string_equal(text, "490HF1A"); /* 10 + 2 x 1.2 x 200 */
  k.kind = ES_KEYED_NOT;
  es_emission_text(&k, text);
  assert_string_equal(text, "NON");
  es_width_text(2400.0, width);
  assert_string_equal(width, "2K40");
  es_width_text(999.6, width);
  assert_string_equal(width, "1K00");
}

/* r = sqrt(F EIRP / (4 pi S)) for 10 and 50 W/m2, free and with the factor 4, by power and gain. */
static void distances(void **state) {
  (void)state;
  static const double rows[][6] = {{1, 10, 0.28, 0.56, 0.13, 0.25},
                                   {4, 12, 0.71, 1.42, 0.32, 0.64},
                                   {10, 13, 1.26, 2.52, 0.56, 1.13},
                                   {10, 34, 14.1, 28.3, 6.3, 12.6}};
  for (int i = 0; i < 4; i++) {
    double eirp_w = rows[i][0] * es_ratio(rows[i][1]), slack = eirp_w > 1e3 ? 0.06 : 0.006;
    assert_near(es_exposure_distance_m(eirp_w, 10.0, 1.0), rows[i][2], slack);
    assert_near(es_exposure_distance_m(eirp_w, 10.0, 4.0), rows[i][3], slack);
    assert_near(es_exposure_distance_m(eirp_w, 50.0, 1.0), rows[i][4], slack);
    assert_near(es_exposure_distance_m(eirp_w, 50.0, 4.0), rows[i][5], slack);
  }
}

static void limits(void **state) {
  (void)state;
  es_exposure_limit l[ES_EXPOSURE_LIMITS];
  assert_int_equal(es_exposure_limits(ES_RULES_ICNIRP_2020, 10.368, l), 4);
  assert_near(l[0].limit_w_m2, 10.0, 0.0);
  assert_near(l[1].limit_w_m2, 36.4, 0.05); /* 55 / f^0.177 */
  assert_near(l[2].limit_w_m2, 50.0, 0.0);
  assert_near(l[3].limit_w_m2, 181.8, 0.05); /* 275 / f^0.177 */
  es_exposure_limits(ES_RULES_ICNIRP_2020, 5.76, l);
  assert_true(isnan(l[1].limit_w_m2)); /* local limits in W/m2 begin at 6 GHz */
  assert_int_equal(es_exposure_limits(ES_RULES_FCC, 10.368, l), 2);
  assert_near(l[0].limit_w_m2, 10.0, 0.0); /* 1 mW/cm2 */
  assert_near(l[1].limit_w_m2, 50.0, 0.0);
  es_antenna dish = es_antenna_dish(0.6, 0.55, 10.368);
  assert_near(es_exposure_near_w_m2(10.0, &dish, 10.368), 40.0 / (ES_PI * 0.09), 1e-9);
}

/* dBm = 10 log10(mW). */
static void powers(void **state) {
  (void)state;
  assert_near(es_db(250.0), 23.98, 0.005);
  assert_near(es_db(1000.0), 30.0, 1e-9);
  assert_near(es_db(4000.0), 36.02, 0.005);
  assert_near(es_db(10000.0), 40.0, 1e-9);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(multiplication), cmocka_unit_test(behind_an_lnb),
                                     cmocka_unit_test(morse),          cmocka_unit_test(cycles),
                                     cmocka_unit_test(emissions),      cmocka_unit_test(distances),
                                     cmocka_unit_test(limits),         cmocka_unit_test(powers)};
  return cmocka_run_group_tests_name("sheet_numbers", tests, NULL, NULL);
}
