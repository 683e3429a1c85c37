/* The openings chain against ITU-R P.452-18: published examples, reference software and worked profiles. */
#include "bench_task.h"

#include "openings/openings.c"

static const double settings[1]; /* as the Recommendation has it */

/* ---- parts ---- */

/* P.452-18 section 4 (2) to (4), computed with the P.452-18 reference software. */
static const struct incidence_row {
  double phi, dtm, dlm, b0;
} incidence_rows[] = {
    {0, 0, 0, 46.7735141287},
    {0, 500, 500, 41.1860364961},
    {-25, 0, 0, 19.7242273611},
    {-25, 500, 500, 7.3409116966},
    {40, 50, 20, 3.87018656929},
    {52, 0, 0, 7.76247116629},
    {52, 109, 60, 1.14012549049},
    {65, 5, 0, 4.17012576499},
    {65, 100, 100, 0.464889827167},
    {-69.9, 20, 5, 2.00043407115},
    {70, 5, 0, 3.46498175572},
    {70, 109, 60, 0.329391431611},
    {75, 0, 0, 4.17},
    {75, 109, 60, 0.32756593264},
};

static void incidence_meets_the_software(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof incidence_rows / sizeof incidence_rows[0]; i++) {
    const struct incidence_row *row = &incidence_rows[i];
    assert_near(point_incidence(row->phi, row->dtm, row->dlm), row->b0, 1e-10 * row->b0);
  }
}

/* I(x) of P.452-18 (41), computed with the P.452-18 reference software. */
static const double normal_rows[][2] = {
    {1e-06, -4.7532584795}, {1e-05, -4.26484459595},  {0.005, -2.57623612046},
    {0.01, -2.32678537493}, {0.02, -2.05418863506},   {0.05, -1.6452114935},
    {0.2, -0.841456789476}, {0.49, -0.0249984484374}, {0.499999, -2.50049130668e-06},
};

static void normal_meets_the_software(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof normal_rows / sizeof normal_rows[0]; i++)
    assert_near(inverse_normal(normal_rows[i][0]), normal_rows[i][1], 1e-10 * fabs(normal_rows[i][1]));
}

static void parts_meet_their_tables(void **state) {
  (void)state;
  es_text_table *t = bench_table("p452_beta0.csv");
  if (t == NULL) skip();
  for (size_t i = 0; i < es_text_table_rows(t); i++) {
    double got =
        point_incidence(bench_number(t, i, "lat_deg"), bench_number(t, i, "dtm_km"), bench_number(t, i, "dlm_km"));
    assert_near(got, bench_number(t, i, "b0_pct"), 1e-10 * got);
  }
  es_text_table_close(t);
  t = bench_table("p452_inverse_normal.csv");
  for (size_t i = 0; i < es_text_table_rows(t); i++)
    assert_near(inverse_normal(bench_number(t, i, "x")), bench_number(t, i, "I_x"), 1e-10);
  es_text_table_close(t);
}

/* (47) over the sea: the coupling needs a sea path, a sea within 5 km and before the horizon, (49a). */
static void sea_coupling_has_its_conditions(void **state) {
  (void)state;
  assert_near(sea_coupling(1.0, 0.0, 20.0, 50.0), -3.0, 1e-12);
  assert_near(sea_coupling(0.75, 1.0, 20.0, 50.0), -3.0 * exp(-0.25), 1e-12);
  assert_true(sea_coupling(0.74, 0.0, 20.0, 50.0) == 0.0);
  assert_true(sea_coupling(1.0, 5.1, 20.0, 50.0) == 0.0);
  assert_true(sea_coupling(1.0, 3.0, 2.9, 50.0) == 0.0);
}

/* (64): two equal ways that are not correlated gain 5 log10 2 = 1.505 dB. */
static void two_equal_ways_gain(void **state) {
  (void)state;
  assert_near(uncorrelated(200.0, 200.0), 200.0 - 5.0 * log10(2.0), 1e-12);
  assert_near(uncorrelated(200.0, 2e5), 200.0, 1e-12);
  assert_near(smooth_largest(150.0, 150.0), 150.0 + 2.5 * log(2.0), 1e-12);
  assert_near(smooth_largest(-1e4, 1e4), 1e4, 1e-9);
}

/* ---- worked profiles ---- */

static double hill(double d, double at, double wide) { return exp(-(d - at) * (d - at) / (wide * wide)); }
static double profile_a(double d) { return 50.0 + 200.0 * hill(d, 40.0, 6.0) + 150.0 * hill(d, 75.0, 4.0); }
static double profile_b(double d) { return 0.0 * d; }
static double profile_c(double d) {
  double s = sin(ES_PI * d / 15.0);
  return 100.0 + 150.0 * hill(d, 0.0, 3.0) + 120.0 * hill(d, 30.0, 3.0) + 40.0 * s * s;
}
static double profile_d(double d) {
  return 120.0 + 80.0 * sin(2.0 * ES_PI * d / 23.0) + 50.0 * sin(2.0 * ES_PI * d / 61.0 + 1.0);
}

static const struct shape_row {
  double length_km, step_km, tx_m, rx_m, lat_deg;
  double (*ground_m)(double);
  uint8_t zone;
} shapes[] = {
    {100, 0.5, 20, 10, 51.997741634, profile_a, ES_ZONE_INLAND},
    {200, 1.0, 30, 30, 51.990967357, profile_b, ES_ZONE_SEA},
    {30, 0.25, 15, 15, 51.999796741, profile_c, ES_ZONE_INLAND},
    {250, 1.0, 30, 30, 51.985887458, profile_d, ES_ZONE_INLAND},
};

static const double RADIUS_KM = 6371.0 * 157.0 / (157.0 - 40.0); /* (5), (6) with DN = 40 */

static bench *shaped(size_t which) {
  const struct shape_row *s = &shapes[which];
  bench *b = bench_formula(s->length_km, s->step_km, s->ground_m, s->zone);
  bench_geometry(b, RADIUS_KM, s->tx_m, s->rx_m);
  b->r.mid_lat_deg = s->lat_deg;
  b->gain_dbi[0] = b->gain_dbi[1] = 30.0;
  b->task.freq_ghz = 10.368;
  b->task.polarisation = ES_HORIZONTAL;
  b->climate[ES_DELTA_N] = 40.0;
  b->climate[ES_N0] = 325.0;
  b->climate[ES_PRESSURE] = 1013.0;
  b->climate[ES_TEMPERATURE] = 15.0;
  return b;
}

/* Computed with a P.452-18 reference implementation: 10.368 GHz, horizontal, 1013 hPa, 15 degC, DN = 40, N0 = 325, Gt = Gr
 * = 30 dBi, no cover, DN constant. */
static const struct worked_row {
  size_t shape;
  double p, b0, ag, lbfsg, lb0p, lb0b, ld50, ldp, lbd50, lbd, lminb0p, lba, lminbap, fk, fj, lbda, lbam, lbs, lb;
  uint8_t winner;
} worked[] = {
    {0,        50,       1.1400,   1.4823, 154.1962, 154.1962, 149.9339, 82.9881,  82.9881,  237.1843,  237.1843,
     237.1843, 301.1843, 301.1843, 0.0000, 0.0000,   237.1843, 237.1843, 218.1813, 218.1810, ES_SCATTER},
    {0,        20,       1.1400,   1.4823, 154.1962, 153.1633, 149.9339, 82.9881,  70.7731,  237.1843,  223.9364,
     231.0958, 274.0705, 274.0705, 0.0000, 0.0000,   223.9364, 223.9364, 212.8823, 212.8690, ES_SCATTER},
    {0,        1,        1.1400,   1.4823, 154.1962, 149.7863, 149.9339, 82.9881,  49.9309,  237.1843,  199.7171,
     199.7171, 222.2619, 222.2619, 0.0000, 0.0000,   199.7171, 199.7171, 203.5443, 199.3732, ES_SURFACE},
    {0,        0.1,      1.1400,   1.4823, 154.1962, 147.1906, 149.9339, 82.9881,  49.9309,  237.1843,  197.1214,
     197.1214, 203.5808, 203.5808, 0.0000, 0.0000,   197.1214, 197.1214, 197.9437, 195.9887, ES_SURFACE},
    {0,        0.01,     1.1400,   1.4823, 154.1962, 144.5949, 149.9339, 82.9881,  49.9309,  237.1843,  194.5257,
     194.5257, 193.4067, 193.4067, 0.0000, 0.0000,   193.4067, 193.4067, 192.9478, 191.6600, ES_SCATTER},
    {1,        50,       7.7649,   3.4849, 162.2194, 162.2194, 160.1376, 317.4103, 317.4103, 479.6297,  479.6297,
     479.6297, 249.5453, 249.5453, 0.0000, 0.0000,   249.5453, 249.5453, 225.2663, 225.2663, ES_SCATTER},
    {1,        20,       7.7649,   3.4849, 162.2194, 161.1952, 160.1376, 317.4103, 226.7243, 479.6297, 387.9195,
     290.4830, 211.1203, 211.1203, 0.0000, 0.0000,   211.1203, 211.1203, 219.9673, 211.0837, ES_DUCT},
    {1,        1,        7.7649,   3.4849, 162.2194, 157.8465, 160.1376, 317.4103, 164.2305, 479.6297, 322.0770,
     157.8465, 163.1548, 163.4373, 0.0000, 0.0000,   163.4373, 163.4373, 210.6294, 163.4373, ES_DUCT},
    {1,        0.1,      7.7649,   3.4849, 162.2194, 155.2726, 160.1376, 317.4103, 164.2305, 479.6297, 319.5032,
     155.2726, 153.7156, 156.3463, 0.0000, 0.0000,   156.3463, 156.3463, 205.0287, 156.3463, ES_DUCT},
    {1,        0.01,     7.7649,   3.4849, 162.2194, 152.6988, 160.1376, 317.4103, 164.2305, 479.6297, 316.9293,
     152.6988, 149.7247, 153.3630, 0.0000, 0.0000,   153.3630, 153.3630, 200.0328, 153.3630, ES_DUCT},
    {2,        50,       2.2698,   0.4447, 142.7010, 142.7010, 139.3831, 0.0000,   0.0000,   142.7010,  142.7010,
     142.7010, 232.9075, 232.9075, 0.1824, 0.9998,   142.7010, 142.7010, 196.6100, 142.7010, ES_SURFACE},
    {2,        20,       2.2698,   0.4447, 142.7010, 141.7179, 139.3831, 0.0000,   0.0000,   142.7010,  141.7179,
     141.3061, 192.9554, 192.9554, 0.1824, 0.9998,   141.7179, 141.3062, 191.3110, 141.3062, ES_SURFACE},
    {2,        1,        2.2698,   0.4447, 142.7010, 138.5036, 139.3831, 0.0000,   0.0000,   142.7010,  138.5036,
     138.5036, 148.1586, 148.2106, 0.1824, 0.9998,   138.5036, 138.5036, 181.9730, 138.5036, ES_SURFACE},
    {2,        0.1,      2.2698,   0.4447, 142.7010, 136.0331, 139.3831, 0.0000,   0.0000,   142.7010,  136.0331,
     136.0331, 140.8930, 141.2275, 0.1824, 0.9998,   136.0331, 136.0331, 176.3724, 136.0331, ES_SURFACE},
    {2,        0.01,     2.2698,   0.4447, 142.7010, 133.5625, 139.3831, 0.0000,   0.0000,   142.7010,  133.5625,
     133.5625, 138.1736, 138.5406, 0.1824, 0.9998,   133.5625, 133.5625, 171.3765, 133.5625, ES_SURFACE},
    {3,        50,       1.1409,   3.7058, 164.3785, 164.3785, 160.9719, 359.7168, 359.7168, 524.0953,  524.0953,
     524.0953, 344.0168, 344.0168, 0.0000, 0.0000,   344.0168, 344.0168, 243.4961, 243.4961, ES_SCATTER},
    {3,        20,       1.1409,   3.7058, 164.3785, 163.5528, 160.9719, 359.7168, 292.6440, 524.0953,  456.1968,
     498.0488, 317.2490, 317.2490, 0.0000, 0.0000,   317.2490, 317.2490, 238.1971, 238.1971, ES_SCATTER},
    {3,        1,        1.1409,   3.7058, 164.3785, 160.8531, 160.9719, 359.7168, 178.2239, 524.0953,  339.0770,
     339.0770, 265.4957, 265.4957, 0.0000, 0.0000,   265.4957, 265.4957, 228.8591, 228.8591, ES_SCATTER},
    {3,        0.1,      1.1409,   3.7058, 164.3785, 158.7780, 160.9719, 359.7168, 178.2239, 524.0953,  337.0019,
     337.0019, 246.3718, 246.3718, 0.0000, 0.0000,   246.3718, 246.3718, 223.2584, 223.2584, ES_SCATTER},
    {3,        0.01,     1.1409,   3.7058, 164.3785, 156.7029, 160.9719, 359.7168, 178.2239, 524.0953,  334.9268,
     334.9268, 235.6329, 235.6329, 0.0000, 0.0000,   235.6329, 235.6329, 218.2625, 218.2618, ES_SCATTER},
};

static void worked_row_holds(const bench *b, size_t k, const struct worked_row *row) {
  const struct {
    const char *symbol;
    double value;
  } want[] = {{"b0", row->b0},           {"Ag", row->ag},       {"Lbfsg", row->lbfsg},
              {"Lb0p", row->lb0p},       {"Lb0b", row->lb0b},   {"Ld50", row->ld50},
              {"Ldp", row->ldp},         {"Lbd50", row->lbd50}, {"Lbd", row->lbd},
              {"Lminb0p", row->lminb0p}, {"Lba", row->lba},     {"Lminbap", row->lminbap},
              {"Fk", row->fk},           {"Fj", row->fj},       {"Lbda", row->lbda},
              {"Lbam", row->lbam},       {"Lbs", row->lbs},     {"Lb", row->lb}};
  for (size_t i = 0; i < sizeof want / sizeof want[0]; i++)
    assert_near(bench_noted(b, k, want[i].symbol), want[i].value, 6e-5);
  assert_near(b->value[k], row->lb, 6e-5);
  assert_int_equal(b->winner[k], row->winner);
  assert_int_equal(b->status[k], ES_OK);
}

static void worked_profiles_hold(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof worked / sizeof worked[0]; i++) {
    bench *b = shaped(worked[i].shape);
    assert_int_equal(bench_run(b, &es_model_entry, settings, &worked[i].p, 1), ES_OK);
    worked_row_holds(b, 0, &worked[i]);
    bench_destroy(b);
  }
}

/* ---- the model as the host sees it ---- */

static void above_half_the_year_is_outside(void **state) {
  (void)state;
  bench *b = shaped(0);
  const double percent[] = {50.0, 60.0, 99.0, 0.0005, 0.001};
  assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 5), ES_OK);
  assert_true(b->value[1] == b->value[0] && b->value[2] == b->value[0]);
  assert_int_equal(b->status[0], ES_OK);
  assert_int_equal(b->status[1], ES_OUTSIDE);
  assert_int_equal(b->status[2], ES_OUTSIDE);
  assert_int_equal(b->status[3], ES_OUTSIDE);
  assert_true(b->value[3] < b->value[4]);
  bench_destroy(b);
}

static void loss_never_falls_with_time(void **state) {
  (void)state;
  const double percent[] = {0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1, 1.1, 2, 2.3, 3, 5, 8, 10, 20, 30, 40, 49.9, 50};
  enum { N = sizeof percent / sizeof percent[0] };
  for (size_t which = 0; which < 4; which++) {
    bench *b = shaped(which);
    assert_int_equal(bench_run(b, &es_model_entry, settings, percent, N), ES_OK);
    for (size_t k = 1; k < N; k++) assert_true(b->value[k] >= b->value[k - 1]);
    bench_destroy(b);
  }
}

/* The median loss is the same in both directions, ducting and scatter included. */
static void reversed_path_holds(void **state) {
  (void)state;
  const double percent[] = {50.0};
  const size_t both_ways[] = {0, 2, 3};
  for (size_t i = 0; i < 3; i++) {
    bench *b = shaped(both_ways[i]);
    assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 1), ES_OK);
    double forward = b->value[0], latitude = b->r.mid_lat_deg;
    for (size_t low = 0, high = b->n - 1; low < high; low++, high--) {
      double swap = b->ground_m[low];
      b->ground_m[low] = b->ground_m[high];
      b->ground_m[high] = swap;
    }
    bench_geometry(b, RADIUS_KM, shapes[both_ways[i]].rx_m, shapes[both_ways[i]].tx_m);
    b->r.mid_lat_deg = latitude;
    assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 1), ES_OK);
    assert_near(b->value[0], forward, 1e-6);
    bench_destroy(b);
  }
}

/* Two samples only: the ends. Line of sight, with the gain of (10) for dlt + dlr = d. */
static void no_ground_between_is_line_of_sight(void **state) {
  (void)state;
  bench *b = shaped(1);
  const double percent[] = {1.0};
  b->r.last = 0;
  b->r.dist_m = b->r.slant_m = 500.0;
  b->r.el_tx = b->r.el_rx = -500.0 / (2e3 * RADIUS_KM);
  b->r.d_tx_m = b->r.d_rx_m = NAN;
  assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 1), ES_OK);
  assert_int_equal(b->status[0], ES_OK);
  double gain = 2.6 * (1.0 - exp(-0.1 * 0.5)) * log10(1.0 / 50.0);
  double gas = 0.5 * (0.00832714 + 0.00909746); /* 10 g/m3 over sea, 1013 hPa, 15 degC */
  assert_near(b->value[0], 92.4 + 20.0 * log10(10.368 * 0.5) + gas + gain, 1e-4);
  assert_int_equal(b->winner[0], ES_SURFACE);
  bench_destroy(b);
}

/* P.617-6 (1) to (5) over 200 km of level sea, N0 325, dN 40, 30 dBi at both ends, and gases of P.452 (45): 3 g/m3,
 * 0.010649 dB/km at 10.368 GHz, 1013.25 hPa, 15 degC. */
static void scatter_may_follow_refractivity(void **state) {
  (void)state;
  bench *b = shaped(1);
  const double percent[] = {50.0, 1.0}, by_n0[] = {1.0};
  assert_int_equal(bench_run(b, &es_model_entry, by_n0, percent, 2), ES_OK);
  double theta = 200.0 / (6370.0 * 4.0 / 3.0) * 1e3 + bench_noted(b, 0, "theta_t") + bench_noted(b, 0, "theta_r");
  double want = 0.18 * 325.0 - 0.23 * 40.0 + 22.0 * log10(10368.0) + 17.5 * log10(theta * theta + 7.0 * theta + 4.0) +
                17.0 * log10(200.0) + 0.07 * exp(0.055 * 60.0) + 200.0 * 0.010649;
  assert_near(bench_noted(b, 0, "Lbs"), want, 2e-3);
  assert_true(bench_noted(b, 1, "Lbs") < want - 10.0); /* (6): N0 0.035 (1.7)^0.67 = 16 dB, less with height */
  bench_destroy(b);
}

/* A radius fixed by the user holds at every percentage: diffraction does not change with time. */
static void fixed_radius_holds(void **state) {
  (void)state;
  bench *b = shaped(0);
  const double percent[] = {0.1, 50.0};
  b->task.fixed_radius = 1;
  assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 2), ES_OK);
  assert_true(bench_noted(b, 0, "Ldp") == bench_noted(b, 1, "Ldp"));
  bench_destroy(b);
}

static void silent_host_gets_the_same_loss(void **state) {
  (void)state;
  bench *b = shaped(3);
  const double percent[] = {0.1, 50.0};
  assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 2), ES_OK);
  double with_notes = b->value[0];
  b->host.note = NULL;
  assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 2), ES_OK);
  assert_true(b->value[0] == with_notes);
  assert_int_equal(b->n_notes, 0);
  bench_destroy(b);
}

static void missing_ground_is_missing(void **state) {
  (void)state;
  bench *b = shaped(0);
  const double percent[] = {1.0};
  b->r.el_tx = NAN;
  assert_int_equal(bench_run(b, &es_model_entry, settings, percent, 1), ES_OK);
  assert_int_equal(b->status[0], ES_MISSING);
  bench_destroy(b);
}

static void *no_memory(const void *ctx, size_t bytes) {
  (void)ctx, (void)bytes;
  return NULL;
}

static int32_t no_hulls(const void *ctx, const double *curvature, size_t n, int32_t canopy, double keep_bare_m,
                        double enough_m, const es_hull **out) {
  (void)ctx, (void)curvature, (void)n, (void)canopy, (void)keep_bare_m, (void)enough_m, (void)out;
  return -1;
}

static void lack_of_memory_is_reported(void **state) {
  (void)state;
  bench *b = shaped(0);
  const double percent[] = {1.0};
  es_error err = {0};
  b->task.percent = percent;
  b->task.n_percent = 1;
  b->host.scratch = no_memory;
  assert_int_equal(es_model_entry.evaluate(NULL, &b->task, &b->answer, &err), ES_FAILED);
  assert_non_null(strstr(err.detail, "memory"));
  b->host.scratch = bench_scratch;
  b->host.hulls = no_hulls;
  assert_int_equal(es_model_entry.evaluate(NULL, &b->task, &b->answer, &err), ES_FAILED);
  bench_destroy(b);
}

/* ---- published examples that need no profile file ---- */

enum { FLAT_5, TOWN_5, FLAT_1000 };

/* ITU-R SG3 validation examples of P.452-18 over flat inland ground at sea level: antennas 10 m up with 20 and 5 dBi,
 * vertical, 1013 hPa, 15 degC. TOWN_5 has 25 m of cover from 20 to 50 m before either end, of which only the outermost
 * sample counts. */
static const struct published_row {
  int path;
  double freq_ghz, p, lb0p, ldp, lbs, lba, lb;
} published[] = {
    {FLAT_1000, 0.25, 50, 141.46240645, 573.00986352, 248.42316808, 296.77879541, 248.42316808},
    {FLAT_1000, 20, 50, 287.34705114, 2389.82523738, 344.56024885, 527.21753762, 344.56024885},
    {FLAT_1000, 2, 0.02, 157.15947924, 661.05820827, 254.90945767, 283.69484934, 254.90945387},
    {FLAT_1000, 2, 5, 162.93105394, 754.74516664, 268.58729593, 317.52353024, 268.58729593},
    {FLAT_1000, 2, 45, 165.22780945, 1087.77166263, 277.52143993, 333.59609172, 277.52143993},
    {FLAT_5, 0.25, 50, 94.34371829, 12.69951778, 138.09438859, 184.48000531, 107.04323474},
    {FLAT_5, 25, 50, 135.06931556, 0.00000000, 187.45275778, 208.29935260, 135.06931556},
    {FLAT_5, 2, 0.01, 108.65046537, 0.00000000, 137.50528084, 107.05019860, 108.65046169},
    {FLAT_5, 2, 1, 110.69650594, 0.00000000, 148.10183045, 111.46365450, 110.69650586},
    {FLAT_5, 2, 10, 111.71952622, 0.00000000, 154.87844838, 127.46440276, 111.67523620},
    {TOWN_5, 2, 50, 112.43458671, 60.80020146, 162.73880682, 185.66462374, 162.72159465},
    {TOWN_5, 0.1, 50, 86.38041127, 58.58549833, 125.94860436, 192.21044829, 125.94826296},
    {TOWN_5, 10, 50, 126.45036656, 67.79729495, 179.00969527, 199.68040359, 179.00775006},
    {TOWN_5, 2, 0.01, 108.65046537, 60.79574611, 137.50528084, 107.05019860, 137.50527995},
    {TOWN_5, 2, 15, 111.89967115, 60.79708095, 156.32372699, 135.29715264, 156.32253117},
};

static double sea_level(double d) { return 0.0 * d; }

static void put_town(bench *b) {
  for (size_t i = 0; i < b->n; i++) {
    double from_end_m = fmin(b->dist_m[i], b->dist_m[b->n - 1] - b->dist_m[i]);
    b->top_m[i] = b->ground_m[i] + (from_end_m > 15.0 && from_end_m < 55.0 ? 25.0 : 0.0);
  }
  b->line.top_m = b->top_m;
}

static bench *published_path(const struct published_row *row) {
  bool far = row->path == FLAT_1000;
  bench *b = bench_formula(far ? 1000.0 : 5.0, far ? 1.0 : 0.01, sea_level, ES_ZONE_INLAND);
  for (size_t i = 0; i < b->n; i++) b->dist_m[i] = (far ? 1000.0 : 10.0) * (double)i; /* no rounding near 50 m */
  if (row->path == TOWN_5) put_town(b);
  b->beacon.lat_deg = far ? 49.0 : 51.2;
  b->listener.lat_deg = far ? 40.0068 : 51.155;
  double dn = far ? 43.060611 : 42.53126; /* read from the map DN50 at the path centre, as printed */
  bench_geometry(b, 6371.0 * 157.0 / (157.0 - dn), 10.0, 10.0);
  b->task.freq_ghz = row->freq_ghz;
  b->task.polarisation = ES_VERTICAL;
  b->gain_dbi[0] = 20.0;
  b->gain_dbi[1] = 5.0;
  b->climate[ES_N0] = far ? 328.90181 : 326.678815;
  b->climate[ES_DELTA_N] = dn;
  b->climate[ES_PRESSURE] = 1013.0;
  b->climate[ES_TEMPERATURE] = 15.0;
  return b;
}

static void published_figures_hold(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
    const struct published_row *row = &published[i];
    bench *b = published_path(row);
    assert_int_equal(bench_run(b, &es_model_entry, settings, &row->p, 1), ES_OK);
    assert_near(bench_noted(b, 0, "Lb0p"), row->lb0p, 1e-5);
    assert_near(bench_noted(b, 0, "Ldp"), row->ldp, 1e-5);
    assert_near(bench_noted(b, 0, "Lbs"), row->lbs, 1e-5);
    assert_near(bench_noted(b, 0, "Lba"), row->lba, 1e-5);
    assert_near(b->value[0], row->lb, 1e-5);
    bench_destroy(b);
  }
}

/* ---- tables of the check values ---- */

/* A column of the table, the letter under which the model tells it, and how far they differ. */
typedef struct column_check {
  const char *column, *symbol;
  double tolerance, worst;
} column_check;

static void take_row(bench *b, const es_text_table *t, size_t i) {
  b->beacon.lon_deg = bench_has(t, "phit_e") ? bench_number(t, i, "phit_e") : 0.0;
  b->beacon.lat_deg = bench_has(t, "phit_n") ? bench_number(t, i, "phit_n") : 0.0;
  b->listener.lon_deg = bench_has(t, "phir_e") ? bench_number(t, i, "phir_e") : 0.0;
  b->listener.lat_deg = bench_has(t, "phir_n") ? bench_number(t, i, "phir_n") : 0.0;
  double dn = bench_number(t, i, "DN");
  bench_geometry(b, 6371.0 * 157.0 / (157.0 - dn), bench_number(t, i, "htg_m"), bench_number(t, i, "hrg_m"));
  if (bench_has(t, "phi_path_deg")) b->r.mid_lat_deg = bench_number(t, i, "phi_path_deg");
  b->r.sea_tx_m = 1e3 * bench_number(t, i, "dct_km");
  b->r.sea_rx_m = 1e3 * bench_number(t, i, "dcr_km");
  b->gain_dbi[0] = bench_number(t, i, "Gt_dBi");
  b->gain_dbi[1] = bench_number(t, i, "Gr_dBi");
  b->task.freq_ghz = bench_number(t, i, "f_GHz");
  b->task.polarisation = bench_number(t, i, "pol") > 1.5 ? ES_VERTICAL : ES_HORIZONTAL;
  b->climate[ES_DELTA_N] = dn;
  b->climate[ES_N0] = bench_number(t, i, "N0");
  b->climate[ES_PRESSURE] = bench_number(t, i, "press_hPa");
  b->climate[ES_TEMPERATURE] = bench_number(t, i, "temp_C");
}

static void check_row(bench *b, const es_text_table *t, size_t i, column_check *checks, size_t n) {
  double p = bench_number(t, i, "p_pct");
  take_row(b, t, i);
  assert_int_equal(bench_run(b, &es_model_entry, settings, &p, 1), ES_OK);
  for (size_t c = 0; c < n; c++) {
    if (!bench_has(t, checks[c].column)) continue;
    double got = bench_noted(b, 0, checks[c].symbol), want = bench_number(t, i, checks[c].column);
    if (!(fabs(got - want) <= checks[c].tolerance))
      fail_msg("row %zu (%s, %g GHz, %g %%): %s = %.12g, want %.12g", i, bench_cell(t, i, "profile"), b->task.freq_ghz,
               p, checks[c].symbol, got, want);
    checks[c].worst = fmax(checks[c].worst, fabs(got - want));
  }
}

static void check_table(const char *name, column_check *checks, size_t n) {
  es_text_table *t = bench_table(name);
  if (t == NULL) skip();
  bench *b = NULL;
  char loaded[256] = "";
  size_t rows = 0;
  for (size_t i = 0; i < es_text_table_rows(t); i++) {
    if (bench_has(t, "terminal_clutter") && strcmp(bench_cell(t, i, "terminal_clutter"), "no") != 0) continue;
    const char *profile = bench_cell(t, i, "profile");
    if (strcmp(profile, loaded) != 0) {
      bench_destroy(b);
      b = bench_profile(profile);
      if (bench_has(t, "terminal_clutter")) b->line.top_m = NULL; /* edition -17 knows no cover along the path */
      snprintf(loaded, sizeof loaded, "%s", profile);
    }
    check_row(b, t, i, checks, n);
    rows++;
  }
  bench_destroy(b);
  es_text_table_close(t);
  assert_true(rows > 0);
  print_message("%s: %zu rows, largest differences:", name, rows);
  for (size_t c = 0; c < n; c++) print_message(" %s %.1e", checks[c].symbol, checks[c].worst);
  print_message("\n");
}

static void meets_table(const char *name) {
  column_check checks[] = {
      {"ae", "ae", 5e-5, 0},
      {"dtot", "dtot", 1e-6, 0},
      {"hts", "hts", 1e-6, 0},
      {"hrs", "hrs", 1e-6, 0},
      {"theta_t", "theta_t", 2e-6, 0},
      {"theta_r", "theta_r", 2e-6, 0},
      {"theta", "theta", 2e-6, 0},
      {"hm", "hm", 2e-6, 0},
      {"hte", "hte", 2e-6, 0},
      {"hre", "hre", 2e-6, 0},
      {"hst", "hst", 2e-6, 0},
      {"hsr", "hsr", 2e-6, 0},
      {"hstd", "hstd", 2e-6, 0},
      {"hsrd", "hsrd", 2e-6, 0},
      {"dlt", "dlt", 2e-6, 0},
      {"dlr", "dlr", 2e-6, 0},
      {"dtm", "dtm", 2e-6, 0},
      {"dlm", "dlm", 2e-6, 0},
      {"b0", "b0", 1e-5, 0},
      {"omega", "omega", 2e-6, 0},
      {"gamma_o", "gamma_o", 1e-11, 0},
      {"gamma_w", "gamma_w", 1e-11, 0},
      {"Lbfsg", "Lbfsg", 1e-5, 0},
      {"Lb0p", "Lb0p", 1e-5, 0},
      {"Lb0b", "Lb0b", 1e-5, 0},
      {"Lbulla50", "Lbulla50", 1e-5, 0},
      {"Lbulls50", "Lbulls50", 1e-5, 0},
      {"Ldsph50", "Ldsph50", 1e-5, 0},
      {"Ldsph", "Ldsph", 1e-5, 0},
      {"Ld50", "Ld50", 1e-5, 0},
      {"Ldp", "Ldp", 1e-5, 0},
      {"Fj", "Fj", 1e-9, 0},
      {"Fk", "Fk", 1e-9, 0},
      {"Lbs", "Lbs", 1e-5, 0},
      {"Lba", "Lba", 1e-4, 0},
      {"Lb", "Lb", 1e-4, 0},
  };
  check_table(name, checks, sizeof checks / sizeof checks[0]);
}

static void meets_published_18(void **state) {
  (void)state;
  meets_table("p452_18_published.csv");
}

static void meets_reference_software(void **state) {
  (void)state;
  meets_table("p452_18_reference_software.csv");
}

/* Rows without terminal clutter hold for edition -18 too. */
static void meets_published_17(void **state) {
  (void)state;
  meets_table("p452_17_published.csv");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(incidence_meets_the_software),
      cmocka_unit_test(normal_meets_the_software),
      cmocka_unit_test(parts_meet_their_tables),
      cmocka_unit_test(sea_coupling_has_its_conditions),
      cmocka_unit_test(two_equal_ways_gain),
      cmocka_unit_test(worked_profiles_hold),
      cmocka_unit_test(above_half_the_year_is_outside),
      cmocka_unit_test(loss_never_falls_with_time),
      cmocka_unit_test(reversed_path_holds),
      cmocka_unit_test(no_ground_between_is_line_of_sight),
      cmocka_unit_test(scatter_may_follow_refractivity),
      cmocka_unit_test(fixed_radius_holds),
      cmocka_unit_test(silent_host_gets_the_same_loss),
      cmocka_unit_test(missing_ground_is_missing),
      cmocka_unit_test(lack_of_memory_is_reported),
      cmocka_unit_test(published_figures_hold),
      cmocka_unit_test(meets_published_18),
      cmocka_unit_test(meets_published_17),
      cmocka_unit_test(meets_reference_software),
  };
  return cmocka_run_group_tests_name("openings", tests, NULL, NULL);
}
