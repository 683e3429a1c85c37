/* Absorption by gases: ITU-R P.676-13 annex 1 line by line, and ITU-R P.2001-6 attachment F. */
#include "bench_task.h"

#include "gases/gases.c"

/* ---- line by line ---- */

/* ITU-R SG3 validation examples for P.676 (CG-3M3J-13-ValEx): dry pressure 1013.25 hPa, 288.15 K, 7.5 g/m3. The first
 * nine rows carry the published digits; those at amateur bands are computed with the P.452-18 reference software. */
static const struct line_row {
  double freq_ghz, press_hpa, temp_k, vapour_g_m3, oxygen_db_km, vapour_db_km, relative;
} line_rows[] = {
    {2, 1013.25, 288.15, 7.5, 0.0067160384744085, 0.000204381378650376, 1e-9},
    {4, 1013.25, 288.15, 7.5, 0.007258969278015, 0.0008303339227649, 1e-9},
    {12, 1013.25, 288.15, 7.5, 0.00869826406877357, 0.00953538822024593, 1e-9},
    {22, 1013.25, 288.15, 7.5, 0.0131302229653917, 0.17420703333692, 1e-9},
    {24, 1013.25, 288.15, 7.5, 0.0146360828213128, 0.158525061324674, 1e-9},
    {30, 1013.25, 288.15, 7.5, 0.0214496842395166, 0.0723748630251885, 1e-9},
    {50, 1013.25, 288.15, 7.5, 0.277268638530969, 0.111158547270094, 1e-9},
    {60, 1013.25, 288.15, 7.5, 14.6234747964861, 0.154841840636247, 1e-9},
    {100, 1013.25, 288.15, 7.5, 0.033625442078135, 0.424433522672505, 1e-9},
    {5.76, 850, 278.15, 5, 0.0058324344741, 0.00106518778749, 1e-9},
    {10.368, 1013.25, 288.15, 7.5, 0.00830413780939, 0.00652462197884, 1e-9},
    {10.368, 1000, 303.15, 20, 0.0071394918496, 0.0180831102292, 1e-9},
    {24.048, 1013.25, 273.15, 2, 0.016975432145, 0.0424957398266, 1e-9},
    {47.088, 1013, 288.15, 10, 0.143132745576, 0.141536943329, 1e-9},
};

static void lines_meet_published_figures(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof line_rows / sizeof line_rows[0]; i++) {
    const struct line_row *row = &line_rows[i];
    p676_air air;
    p676_prepare(&air, row->freq_ghz, row->press_hpa, row->temp_k);
    p676_gamma gamma = p676_specific(&air, row->vapour_g_m3);
    assert_near(gamma.oxygen_db_km, row->oxygen_db_km, row->relative * row->oxygen_db_km);
    assert_near(gamma.vapour_db_km, row->vapour_db_km, row->relative * row->vapour_db_km);
  }
}

/* Half a unit of the last digit of a printed number ("0.00083", "5.09E-05"): examples of edition -12 are rounded. */
static double printed_to(const char *text) {
  const char *point = strchr(text, '.'), *power = strpbrk(text, "eE");
  size_t end = power != NULL ? (size_t)(power - text) : strlen(text);
  double decimals = point != NULL ? (double)(end - (size_t)(point - text) - 1) : 0.0;
  return 0.51 * pow(10.0, (power != NULL ? atof(power + 1) : 0.0) - decimals);
}

static void lines_meet_table(const char *name, double relative) {
  es_text_table *t = bench_table(name);
  if (t == NULL) skip();
  for (size_t i = 0; i < es_text_table_rows(t); i++) {
    p676_air air;
    p676_prepare(&air, bench_number(t, i, "f_GHz"), bench_number(t, i, "p_hPa"), bench_number(t, i, "T_K"));
    p676_gamma gamma = p676_specific(&air, bench_number(t, i, "rho_g_m3"));
    double oxygen = bench_number(t, i, "gamma_o_dB_km"), vapour = bench_number(t, i, "gamma_w_dB_km");
    assert_near(gamma.oxygen_db_km, oxygen, fmax(relative * oxygen, printed_to(bench_cell(t, i, "gamma_o_dB_km"))));
    assert_near(gamma.vapour_db_km, vapour, fmax(relative * vapour, printed_to(bench_cell(t, i, "gamma_w_dB_km"))));
  }
  es_text_table_close(t);
}

static void lines_meet_published_table(void **state) {
  (void)state;
  lines_meet_table("p676_specific_attenuation_published.csv", 1e-9);
}

static void lines_meet_computed_table(void **state) {
  (void)state;
  lines_meet_table("p676_specific_attenuation_computed.csv", 1e-9);
}

/* ---- attachment F ---- */

/* Computed with the P.2001-4 reference software, 10.368 GHz, 7.5 g/m3. */
static const struct path_row {
  double dist_km, mid_ground_m, hts_m, hrs_m, dry, vapour, rain;
} path_rows[] = {
    {100, 62.435, 70.000, 60.000, 0.79002, 0.72990, 0.77820},
    {200, 0.000, 30.000, 30.000, 1.59114, 1.43214, 1.52229},
    {30, 100.000, 265.000, 235.000, 0.22840, 0.20409, 0.21799},
    {250, 200.169, 192.074, 141.477, 1.93525, 1.88111, 2.01924},
};

static void whole_paths_meet_attachment_f(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof path_rows / sizeof path_rows[0]; i++) {
    const struct path_row *row = &path_rows[i];
    loss a = whole_path(10.368, 7.5, row->dist_km, row->mid_ground_m, 0.5 * (row->hts_m + row->hrs_m));
    assert_near(a.dry, row->dry, 6e-6);
    assert_near(a.vapour, row->vapour, 6e-6);
    assert_near(a.rain, row->rain, 6e-6);
  }
}

static const struct leg_row {
  double el_mrad, dist_km, ground_m, freq_ghz, dry, vapour, rain;
} leg_rows[] = {
    {0, 100, 50, 10.368, 0.65739, 0.54621, 0.58200},
    {5, 60, 200, 10.368, 0.40405, 0.35457, 0.38060},
    {20, 125, 0, 24.048, 1.18777, 9.77613, 10.30844},
};

static void legs_meet_attachment_f(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof leg_rows / sizeof leg_rows[0]; i++) {
    const struct leg_row *row = &leg_rows[i];
    loss a = one_leg(row->freq_ghz, 7.5, row->dist_km, 1e-3 * row->el_mrad, row->ground_m);
    assert_near(a.dry, row->dry, 6e-6);
    assert_near(a.vapour, row->vapour, 6e-6);
    assert_near(a.rain, row->rain, 6e-6);
  }
  loss level = one_leg(10.368, 7.5, 100.0, 0.0, 50.0), below = one_leg(10.368, 7.5, 100.0, -0.01, 50.0);
  assert_true(level.dry == below.dry && level.vapour == below.vapour); /* F.4 knows no elevation below 0 */
}

/* One row of a P.2001 table: whole path and both legs. */
static void row_meets_attachment_f(const es_text_table *t, size_t i, const char *freq_column) {
  static const char *const want[3][3] = {
      {"Aosur", "Awsur", "Awrsur"}, {"Aotcv", "Awtcv", "Awrtcv"}, {"Aorcv", "Awrcv", "Awrrcv"}};
  double f = bench_number(t, i, freq_column);
  double mean_m = 0.5 * (bench_number(t, i, "Hts") + bench_number(t, i, "Hrs"));
  loss got[] = {
      whole_path(f, bench_number(t, i, "Wvsurmid"), bench_number(t, i, "D"), bench_number(t, i, "Hmid"), mean_m),
      one_leg(f, bench_number(t, i, "Wvsurtx"), bench_number(t, i, "Dtcv"), 1e-3 * bench_number(t, i, "Thetatpos"),
              bench_number(t, i, "H1")),
      one_leg(f, bench_number(t, i, "Wvsurrx"), bench_number(t, i, "Drcv"), 1e-3 * bench_number(t, i, "Thetarpos"),
              bench_number(t, i, "Hn"))};
  for (size_t part = 0; part < 3; part++) {
    assert_near(got[part].dry, bench_number(t, i, want[part][0]), 1e-9);
    assert_near(got[part].vapour, bench_number(t, i, want[part][1]), 1e-9);
    assert_near(got[part].rain, bench_number(t, i, want[part][2]), 1e-9);
  }
}

static void attachment_f_meets_table(const char *name, const char *freq_column) {
  es_text_table *t = bench_table(name);
  if (t == NULL) skip();
  for (size_t i = 0; i < es_text_table_rows(t); i++) row_meets_attachment_f(t, i, freq_column);
  es_text_table_close(t);
}

static void attachment_f_meets_published_table(void **state) {
  (void)state;
  attachment_f_meets_table("p2001_3_published.csv", "GHz");
}

static void attachment_f_meets_software_table(void **state) {
  (void)state;
  attachment_f_meets_table("p2001_reference_software.csv", "f_GHz");
}

/* ---- the model as the host sees it ---- */

static double flat(double d_km) { return 62.435 + 0.0 * d_km; }

/* Path of the first row of path_rows: 100 km, ground 62.435 m, antennas at 70 and 60 m above sea (the second one stands
 * below the ground of its place: the equations ask only for their mean). */
static bench *hundred_km(double freq_ghz) {
  bench *b = bench_formula(100.0, 1.0, flat, ES_ZONE_INLAND);
  bench_geometry(b, 8500.0, 10.0, 10.0);
  b->beacon.antenna_m = 70.0;
  b->listener.antenna_m = 60.0;
  b->task.freq_ghz = freq_ghz;
  b->climate[ES_VAPOUR_DENSITY] = 7.5;
  b->climate[ES_PRESSURE] = 1013.25;
  b->climate[ES_TEMPERATURE] = 15.0;
  return b;
}

static const double percent[] = {1.0, 50.0};

static void answers_a_whole_path(void **state) {
  (void)state;
  bench *b = hundred_km(10.368);
  double convention = P2001;
  assert_int_equal(bench_run(b, &es_model_entry, &convention, percent, 2), ES_OK);
  for (size_t k = 0; k < 2; k++) assert_near(b->value[k], 0.79002 + 0.72990, 2e-5);
  assert_near(b->rain_extra, 0.77820 - 0.72990, 2e-5);
  assert_near(bench_noted(b, 1, "Agsur"), 0.79002 + 0.72990, 2e-5);
  assert_int_equal(b->status[0], ES_OK);
  bench_destroy(b);
}

static void answers_a_leg(void **state) {
  (void)state;
  for (int32_t end = ES_BEACON; end <= ES_LISTENER; end++) {
    bench *b = hundred_km(10.368);
    double convention = P2001, dist_m = 60e3, low = 0, high = 0, el = 0.005, ground_m = 200.0;
    es_legs legs = {end, &dist_m, &low, &high, &el, &ground_m};
    b->task.way = ES_SCATTER;
    b->task.legs = &legs;
    assert_int_equal(bench_run(b, &es_model_entry, &convention, percent, 2), ES_OK);
    assert_near(b->value[1], 0.40405 + 0.35457, 2e-5);
    assert_near(b->rain_extra, 0.38060 - 0.35457, 2e-5);
    assert_near(bench_noted(b, 0, end == ES_BEACON ? "Awrtcv" : "Awrrcv"), 0.38060, 1e-5);
    bench_destroy(b);
  }
}

/* Line by line over the slant distance; the P.452 vapour is 7.5 g/m3 over land and 10 over sea, (9a). */
static void answers_line_by_line(void **state) {
  (void)state;
  bench *b = hundred_km(10.368);
  double p526 = P526, p452 = P452;
  b->r.slant_m = 123e3;
  b->climate[ES_TEMPERATURE] = 0.0;
  b->climate[ES_VAPOUR_DENSITY] = 4.0;
  assert_int_equal(bench_run(b, &es_model_entry, &p526, percent, 2), ES_OK);
  assert_near(b->value[0], 123.0 * (0.0096033 + 0.0037564), 123.0 * 1.1e-7);
  assert_true(b->rain_extra == 0.0);
  b->climate[ES_TEMPERATURE] = 15.0;
  b->r.sea_share = 1.0;
  assert_int_equal(bench_run(b, &es_model_entry, &p452, percent, 2), ES_OK);
  assert_near(b->value[1], 123.0 * (0.0083312 + 0.0090992), 123.0 * 1.1e-7);
  assert_near(bench_noted(b, 0, "Ag"), b->value[1], 0.0);
  bench_destroy(b);
}

static void flags_what_lies_outside(void **state) {
  (void)state;
  static const struct range_row {
    double convention, freq_ghz;
    uint8_t status;
  } ranges[] = {{P2001, 54.0, ES_OK},    {P2001, 60.0, ES_OUTSIDE}, {P526, 60.0, ES_OK},
                {P526, 0.5, ES_OUTSIDE}, {P2001, 0.5, ES_OK},       {P452, 0.5, ES_OUTSIDE}};
  for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
    bench *b = hundred_km(ranges[i].freq_ghz);
    assert_int_equal(bench_run(b, &es_model_entry, &ranges[i].convention, percent, 2), ES_OK);
    assert_int_equal(b->status[0], ranges[i].status);
    assert_true(isfinite(b->value[0]) && b->value[0] > 0.0);
    bench_destroy(b);
  }
}

static void no_humidity_is_missing(void **state) {
  (void)state;
  for (double convention = P526; convention < P452; convention++) {
    bench *b = hundred_km(10.368);
    b->climate[ES_VAPOUR_DENSITY] = NAN;
    assert_int_equal(bench_run(b, &es_model_entry, &convention, percent, 2), ES_OK);
    assert_int_equal(b->status[1], ES_MISSING);
    bench_destroy(b);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(lines_meet_published_figures),
      cmocka_unit_test(lines_meet_published_table),
      cmocka_unit_test(lines_meet_computed_table),
      cmocka_unit_test(whole_paths_meet_attachment_f),
      cmocka_unit_test(legs_meet_attachment_f),
      cmocka_unit_test(attachment_f_meets_published_table),
      cmocka_unit_test(attachment_f_meets_software_table),
      cmocka_unit_test(answers_a_whole_path),
      cmocka_unit_test(answers_a_leg),
      cmocka_unit_test(answers_line_by_line),
      cmocka_unit_test(flags_what_lies_outside),
      cmocka_unit_test(no_humidity_is_missing),
  };
  return cmocka_run_group_tests_name("gases", tests, NULL, NULL);
}
