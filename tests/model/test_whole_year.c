/* test_whole_year.c - all seven models of the whole-year chain over four profiles by formula: that the host runs, mixes and
 * combines them as ITU-R P.2001 does.
 *
 * Figures: the P.2001-4 reference software (the equations are those of -6 but for an edition number), 10.368 GHz,
 * horizontal, 30 dBi at both ends, climate of a mid-latitude year; printed digits.                                       */
#include "bench_chain.h"

enum { YEAR = 11, MOST = 64 };

/* --- the four profiles ---------------------------------------------------------------------------------------------------- */

static double ridges(double d) {
  return 50.0 + 200.0 * exp(-pow((d - 40.0) / 6.0, 2)) + 150.0 * exp(-pow((d - 75.0) / 4.0, 2));
}
static double sea(double d) { return 0.0 * d; }
static double valley(double d) {
  return 100.0 + 150.0 * exp(-pow(d / 3.0, 2)) + 120.0 * exp(-pow((d - 30.0) / 3.0, 2)) +
         40.0 * pow(sin(ES_PI * d / 15.0), 2);
}
static double hills(double d) {
  return 120.0 + 80.0 * sin(2.0 * ES_PI * d / 23.0) + 50.0 * sin(2.0 * ES_PI * d / 61.0 + 1.0);
}

typedef struct formula {
  double length_km, step_km, (*ground_m)(double), tx_m, rx_m;
  uint8_t zone;
} formula;
static const formula formulas[] = {
    {100, 0.5, ridges, 20, 10, ES_ZONE_INLAND},
    {200, 1.0, sea, 30, 30, ES_ZONE_SEA},
    {30, 0.25, valley, 15, 15, ES_ZONE_INLAND},
    {250, 1.0, hills, 30, 30, ES_ZONE_INLAND},
};

/* Eastward from 52 N 0 E; `back`: the same ground from the other end, westward. */
static es_radial radial_of(es_arena *arena, char which, bool back, double freq_ghz) {
  const formula *f = &formulas[which - 'A'];
  size_t n = (size_t)lround(f->length_km / f->step_km) + 1;
  double *dist = ES_NEW(arena, double, n), *ground = ES_NEW(arena, double, n);
  uint8_t *zone = ES_NEW(arena, uint8_t, n);
  assert_true(dist != NULL && ground != NULL && zone != NULL);
  for (size_t i = 0; i < n; i++) {
    double km = f->step_km * (double)i;
    dist[i] = 1e3 * km;
    ground[i] = f->ground_m(back ? f->length_km - km : km);
    zone[i] = f->zone;
  }
  es_samples samples = {.n = n, .step_m = 1e3 * f->step_km, .dist_m = dist, .ground_m = ground, .zone = zone};
  es_lonlat west = {0.0, 52.0}, east = es_sphere_ahead(west, es_rad(90.0), dist[n - 1]);
  double turn = es_rad(east.lon_deg), home = atan2(-sin(turn) * cos(es_rad(52.0)), /* bearing back, attachment H */
                                                   cos(es_rad(east.lat_deg)) * sin(es_rad(52.0)) -
                                                       sin(es_rad(east.lat_deg)) * cos(es_rad(52.0)) * cos(turn));
  es_radial_setup setup = {.from = back ? east : west,
                           .azimuth = back ? home : es_rad(90.0),
                           .beacon_agl_m = back ? f->rx_m : f->tx_m,
                           .freq_ghz = freq_ghz,
                           .earth_radius_km = 157.0 * ES_EARTH_KM / (157.0 - 40.0), /* (3.5.1) */
                           .wavelength_m = 2.998e8 / (freq_ghz * 1e9)};
  es_spot spot = {dist[n - 1], ground[n - 1], back ? f->tx_m : f->rx_m, f->zone, 0.0};
  es_line line;
  es_radial radial;
  assert_int_equal(es_line_make(arena, &samples, 0.0, &line), 0);
  assert_int_equal(es_radial_place(arena, &setup, &line, &spot, 1, &radial), 0);
  return radial;
}

/* --- running ----------------------------------------------------------------------------------------------------------------- */

typedef struct noted {
  double ld[MOST], a1[MOST], fwvr[MOST];
} noted;

static void take_note(void *to, size_t k, size_t r, const char *symbol, double value) {
  noted *n = to;
  (void)r;
  if (strcmp(symbol, "Ld") == 0) n->ld[k] = value;
  if (strcmp(symbol, "A1") == 0) n->a1[k] = value;
  if (strcmp(symbol, "Fwvr") == 0) n->fwvr[k] = value;
}

static const es_antenna horn = {.shape = ES_SHAPE_ALL_ROUND, .peak_dbi = 30.0};

/* All at once, as the host does it: the percentages of one path. */
static es_chain_answer run(bench_chain *b, char which, bool back, double freq_ghz, int32_t polarisation,
                           const double *percent, size_t n, noted *notes) {
  es_arena_back_to(b->keep, (es_arena_mark){0});
  es_radial *radial = ES_NEW(b->keep, es_radial, 1);
  assert_non_null(radial);
  *radial = radial_of(b->keep, which, back, freq_ghz);
  es_scene scene = {.radial = radial,
                    .climate = b->climate,
                    .beacon_antenna = &horn,
                    .listener_antenna = &horn,
                    .freq_ghz = freq_ghz,
                    .polarisation = polarisation,
                    .percent = percent,
                    .n_percent = n,
                    .note = notes != NULL ? take_note : NULL,
                    .note_to = notes,
                    .keep = b->keep,
                    .scratch = b->scratch};
  es_chain_answer answer;
  es_error err = {0};
  if (es_chain_evaluate(&b->chain, &scene, &answer, &err) != 0) fail_msg("%s", err.detail);
  return answer;
}

static bench_chain bench;
static int start(void **state) {
  return (void)state, bench_chain_open(&bench, ES_MODELS, ES_CHAIN_WHOLE_YEAR, NULL), 0;
}
static int stop(void **state) { return (void)state, bench_chain_close(&bench), 0; }

/* --- the table ------------------------------------------------------------------------------------------------------------------ */

static const struct year_row {
  char profile;
  double percent, lbfs, ld, a1, fwvr, lbm1, lbm2, lbm3, lb;
} year_rows[] = {
    {'A', 0.001, 152.714, 49.572, -12.966, 0.00000, 190.840, 188.068, 189.204, 185.7349},
    {'A', 0.01, 152.714, 50.243, -9.778, 0.00000, 194.699, 193.948, 193.416, 190.6025},
    {'A', 0.1, 152.714, 53.754, -6.213, 0.00000, 201.774, 204.120, 198.093, 197.2713},
    {'A', 1, 152.714, 63.243, -3.074, 0.00000, 214.403, 222.805, 203.480, 203.4613},
    {'A', 10, 152.714, 74.615, -1.047, 0.00000, 227.802, 258.454, 210.299, 210.2983},
    {'A', 50, 152.714, 82.988, 0.046, 0.00001, 237.268, 302.222, 219.393, 219.3920},
    {'A', 90, 152.714, 87.923, 1.760, 0.00031, 243.917, 327.854, 228.486, 228.4844},
    {'A', 99, 152.714, 95.032, 5.349, 0.07052, 254.618, 376.726, 237.615, 237.6138},
    {'A', 99.9, 152.714, 102.164, 12.932, 0.95725, 269.376, 827.050, 249.768, 249.7673},
    {'A', 99.99, 152.714, 109.293, 29.163, 1.00941, 292.738, 5322.143, 273.406, 273.4058},
    {'A', 99.999, 152.714, 116.381, 54.866, 1.00964, 325.529, 49832.101, 306.826, 306.8257},
    {'B', 0.001, 158.734, 141.982, -11.516, 0.00000, 292.223, 147.272, 194.357, 147.2718},
    {'B', 0.01, 158.734, 183.592, -8.201, 0.00000, 337.149, 149.764, 198.568, 149.7644},
    {'B', 0.1, 158.734, 222.435, -4.934, 0.00000, 379.258, 153.755, 203.245, 153.7547},
    {'B', 1, 158.734, 259.068, -2.502, 0.00000, 418.324, 163.198, 208.633, 163.1982},
    {'B', 10, 158.734, 293.929, -0.896, 0.00000, 454.790, 192.610, 215.452, 192.6104},
    {'B', 50, 158.734, 317.410, 0.042, 0.00001, 479.210, 250.084, 224.545, 224.5452},
    {'B', 90, 158.734, 330.749, 1.516, 0.00031, 494.023, 291.228, 233.639, 233.6389},
    {'B', 99, 158.734, 349.487, 4.749, 0.07041, 516.000, 343.479, 243.584, 243.5836},
    {'B', 99.9, 158.734, 367.849, 12.786, 0.95577, 542.478, 794.138, 257.539, 257.5388},
    {'B', 99.99, 158.734, 385.857, 35.403, 1.00785, 583.108, 5289.265, 285.004, 285.0038},
    {'B', 99.999, 158.734, 403.482, 69.158, 1.00808, 634.489, 49799.226, 323.383, 323.3830},
    {'C', 0.001, 142.256, 0.000, -12.532, 0.00000, 130.157, 137.024, 164.402, 129.3445},
    {'C', 0.01, 142.256, 0.000, -9.290, 0.00000, 133.399, 138.662, 168.770, 132.2677},
    {'C', 0.1, 142.256, 0.000, -5.779, 0.00000, 136.910, 141.381, 173.621, 135.5837},
    {'C', 1, 142.256, 0.000, -2.874, 0.00000, 139.815, 148.651, 179.208, 139.2817},
    {'C', 10, 142.256, 0.000, -0.994, 0.00000, 141.695, 175.187, 186.281, 141.6932},
    {'C', 50, 142.256, 0.000, 0.042, 0.00001, 142.730, 233.895, 195.712, 142.7303},
    {'C', 90, 142.256, 0.000, 1.550, 0.00031, 144.239, 278.410, 205.144, 144.2391},
    {'C', 99, 142.256, 0.000, 4.480, 0.07120, 147.170, 331.489, 213.330, 147.1698},
    {'C', 99.9, 142.256, 0.000, 9.934, 0.96649, 152.636, 782.232, 222.631, 152.6363},
    {'C', 99.99, 142.256, 0.000, 20.173, 1.01916, 162.876, 5277.367, 238.880, 162.8763},
    {'C', 99.999, 142.256, 0.000, 34.929, 1.01939, 177.632, 49787.329, 261.985, 177.6322},
    {'D', 0.001, 160.673, 152.815, -9.011, 0.00000, 308.293, 229.777, 217.378, 217.3708},
    {'D', 0.01, 160.673, 200.645, -5.959, 0.00000, 359.174, 236.248, 220.868, 220.8666},
    {'D', 0.1, 160.673, 246.231, -3.582, 0.00000, 407.139, 246.984, 224.745, 224.7446},
    {'D', 1, 160.673, 289.743, -1.921, 0.00000, 452.310, 266.112, 229.210, 229.2097},
    {'D', 10, 160.673, 331.472, -0.725, 0.00000, 495.236, 301.834, 234.861, 234.8614},
    {'D', 50, 160.673, 359.717, 0.032, 0.00001, 524.238, 345.128, 242.398, 242.3982},
    {'D', 90, 160.673, 375.802, 1.208, 0.00031, 541.500, 370.396, 249.935, 249.9351},
    {'D', 99, 160.673, 398.442, 4.143, 0.07086, 567.084, 419.196, 259.373, 259.3726},
    {'D', 99.9, 160.673, 420.670, 13.196, 0.96194, 598.488, 869.513, 274.184, 274.1836},
    {'D', 99.99, 160.673, 442.509, 38.479, 1.01437, 645.617, 5364.605, 305.226, 305.2260},
    {'D', 99.999, 160.673, 463.916, 75.769, 1.01459, 704.314, 49874.563, 350.189, 350.1887},
};

typedef struct worst {
  double exact, faded; /* largest differences: what holds no inverted fade, and what does */
} worst;

static void compare(double got, double want, double tolerance, double *largest, const char *what,
                    const struct year_row *row) {
  double off = fabs(got - want);
  *largest = fmax(*largest, off);
  if (!(off <= tolerance)) fail_msg("%c, %g %%: %s = %.6f, want %.4f", row->profile, row->percent, what, got, want);
}

static void the_year_of_four_profiles(void **state) {
  (void)state;
  worst w = {0};
  for (size_t first = 0; first < sizeof year_rows / sizeof *year_rows; first += YEAR) {
    const struct year_row *rows = &year_rows[first];
    double percent[YEAR];
    for (size_t k = 0; k < YEAR; k++) percent[k] = rows[k].percent;
    noted notes = {0};
    es_chain_answer a = run(&bench, rows->profile, false, 10.368, ES_HORIZONTAL, percent, YEAR, &notes);
    assert_string_equal(a.term[0].id, "free-space");
    for (size_t k = 0; k < YEAR; k++) {
      compare(a.term[0].value[k], rows[k].lbfs, 1e-3, &w.exact, "Lbfs", &rows[k]);
      compare(notes.ld[k], rows[k].ld, 1e-3, &w.exact, "Ld", &rows[k]);
      compare(notes.fwvr[k], rows[k].fwvr, 1e-3, &w.exact, "Fwvr", &rows[k]);
      compare(a.way[1].loss_db[k], rows[k].lbm2, 1e-3, &w.exact, "Lbm2", &rows[k]);
      compare(notes.a1[k], rows[k].a1, 1e-3, &w.faded, "A1", &rows[k]);
      compare(a.way[0].loss_db[k], rows[k].lbm1, 1e-3, &w.faded, "Lbm1", &rows[k]);
      compare(a.way[2].loss_db[k], rows[k].lbm3, 1e-3, &w.faded, "Lbm3", &rows[k]);
      compare(a.basic_db[k], rows[k].lb, 1e-3, &w.faded, "Lb", &rows[k]);
      assert_true(a.system_db[k] < a.basic_db[k] - 50.0); /* both gains are in it */
      assert_int_equal(a.status[k], ES_OK);
    }
  }
  print_message("P.2001 whole year, %zu rows: largest difference %.2g dB, with fades %.2g dB\n",
                sizeof year_rows / sizeof *year_rows, w.exact, w.faded);
}

/* Other bands and polarisations, the same software. */
static void other_bands(void **state) {
  (void)state;
  static const struct {
    char profile;
    double freq_ghz;
    int32_t polarisation;
    double percent, lb;
  } rows[] = {{'A', 1.296, ES_HORIZONTAL, 50, 191.0487},  {'A', 5.76, ES_VERTICAL, 50, 213.2082},
              {'A', 24.048, ES_HORIZONTAL, 50, 240.4503}, {'A', 47.088, ES_HORIZONTAL, 50, 253.1345},
              {'C', 24.048, ES_VERTICAL, 99.9, 180.7590}, {'C', 47.088, ES_HORIZONTAL, 99.99, 336.1604},
              {'D', 5.76, ES_HORIZONTAL, 1, 222.6458},    {'B', 24.048, ES_HORIZONTAL, 0.1, 198.2561}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    es_chain_answer a =
        run(&bench, rows[i].profile, false, rows[i].freq_ghz, rows[i].polarisation, &rows[i].percent, 1, NULL);
    assert_near(a.basic_db[0], rows[i].lb, 1e-3);
  }
}

/* The other chain, one model with a blending of its own: ITU-R P.452-18, figures of its reference software, no clutter. */
static void openings_of_four_profiles(void **state) {
  (void)state;
  static const struct {
    char profile;
    double percent, lb;
  } rows[] = {{'A', 50, 218.1810},   {'A', 20, 212.8690},   {'A', 1, 199.3732},    {'A', 0.1, 195.9887},
              {'A', 0.01, 191.6600}, {'B', 50, 225.2663},   {'B', 20, 211.0837},   {'B', 1, 163.4373},
              {'B', 0.1, 156.3463},  {'B', 0.01, 153.3630}, {'C', 50, 142.7010},   {'C', 20, 141.3062},
              {'C', 1, 138.5036},    {'C', 0.1, 136.0331},  {'C', 0.01, 133.5625}, {'D', 50, 243.4961},
              {'D', 20, 238.1971},   {'D', 1, 228.8591},    {'D', 0.1, 223.2584},  {'D', 0.01, 218.2618}};
  bench_chain openings;
  bench_chain_open(&openings, ES_MODELS, ES_CHAIN_OPENINGS, NULL);
  double largest = 0.0;
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    es_chain_answer a = run(&openings, rows[i].profile, false, 10.368, ES_HORIZONTAL, &rows[i].percent, 1, NULL);
    largest = fmax(largest, fabs(a.basic_db[0] - rows[i].lb));
    assert_near(a.basic_db[0], rows[i].lb, 1e-4);
    assert_near(a.basic_db[0] - a.system_db[0], 60.0, 1e-9);
  }
  bench_chain_close(&openings);
  print_message("P.452 openings, %zu rows: largest difference %.2g dB\n", sizeof rows / sizeof *rows, largest);
}

/* --- what must hold of any year ---------------------------------------------------------------------------------------------------- */

static size_t fine_percentages(double *percent) {
  size_t n = 0;
  for (double odds = 1e-5; odds < 1.1e5; odds *= 1.6) percent[n++] = 100.0 * odds / (1.0 + odds);
  assert_true(n <= MOST);
  return n;
}

/* The search of attachment I stops within 0.01 dB, which is all that the loss may ever fall. */
static void loss_never_falls_as_the_percentage_grows(void **state) {
  (void)state;
  double percent[MOST];
  size_t n = fine_percentages(percent);
  for (char which = 'A'; which <= 'D'; which++) {
    es_chain_answer a = run(&bench, which, false, 10.368, ES_HORIZONTAL, percent, n, NULL);
    for (size_t k = 1; k < n; k++)
      if (!(a.basic_db[k] >= a.basic_db[k - 1] - 0.01))
        fail_msg("%c: %.4f dB at %g %%, %.4f dB at %g %%", which, a.basic_db[k - 1], percent[k - 1], a.basic_db[k],
                 percent[k]);
    assert_true(a.basic_db[n - 1] > a.basic_db[0] + 20.0);
  }
}

/* One percentage alone gives the bytes that it gives among many. */
static void a_percentage_alone_is_as_among_others(void **state) {
  (void)state;
  double percent[MOST], together[MOST];
  size_t n = fine_percentages(percent);
  es_chain_answer a = run(&bench, 'A', false, 10.368, ES_HORIZONTAL, percent, n, NULL);
  memcpy(together, a.basic_db, n * sizeof *together);
  for (size_t k = 0; k < n; k += 7)
    assert_true(run(&bench, 'A', false, 10.368, ES_HORIZONTAL, &percent[k], 1, NULL).basic_db[0] == together[k]);
}

/* Many receivers on one radial get what each gets alone: a cell of the map is the listener that stands in it. */
static void receivers_together_are_as_each_alone(void **state) {
  (void)state;
  static const double percent[3] = {0.1, 50.0, 99.0};
  enum { SPOTS = 12 };
  es_arena *arena = es_arena_create();
  es_radial whole = radial_of(arena, 'D', false, 10.368), together, alone;
  es_spot spots[SPOTS];
  for (size_t i = 0; i < SPOTS; i++) {
    double dist = 400.0 + 20750.0 * (double)i; /* on samples and between them */
    spots[i] = (es_spot){dist, hills(dist / 1e3) - (double)(i % 3), 10.0, ES_ZONE_INLAND, 0.0};
  }
  es_radial_setup setup = {{0, 52}, es_rad(90.0), 30.0, 10.368, whole.earth_radius_km, 0.0289, NULL};
  es_scene scene = {.climate = bench.climate,
                    .beacon_antenna = &horn,
                    .listener_antenna = &horn,
                    .freq_ghz = 10.368,
                    .percent = percent,
                    .n_percent = 3,
                    .keep = arena,
                    .scratch = bench.scratch};
  es_chain_answer a, one;
  es_error err = {0};
  assert_int_equal(es_radial_place(arena, &setup, &whole.line, spots, SPOTS, &together), 0);
  scene.radial = &together;
  assert_int_equal(es_chain_evaluate(&bench.chain, &scene, &a, &err), 0);
  for (size_t i = 0; i < SPOTS; i++) {
    assert_int_equal(es_radial_place(arena, &setup, &whole.line, &spots[i], 1, &alone), 0);
    scene.radial = &alone;
    assert_int_equal(es_chain_evaluate(&bench.chain, &scene, &one, &err), 0);
    for (size_t k = 0; k < 3; k++) {
      assert_near(a.basic_db[k * SPOTS + i], one.basic_db[k],
                  0.01); /* attachment I's own tolerance: a map searches its fades another way */
      assert_int_equal(a.winner[k * SPOTS + i], one.winner[k]);
      assert_int_equal(a.status[k * SPOTS + i], one.status[k]);
    }
  }
  es_arena_destroy(arena);
}

/* Beacon and listener change places. Every way is symmetric where the climate is one. Not symmetric, and absent here, is the
 * choice among horizons of equal height: both ends take the last along the path, so the two distances change. */
static void a_path_reversed_loses_the_same_in_the_median(void **state) {
  (void)state;
  static const double median = 50.0;
  double largest = 0.0;
  for (char which = 'A'; which <= 'D'; which++) {
    es_chain_answer there = run(&bench, which, false, 10.368, ES_HORIZONTAL, &median, 1, NULL);
    double way[ES_WAYS], all = there.basic_db[0];
    for (int i = 0; i < ES_WAYS; i++) way[i] = there.way[i].loss_db[0];
    es_chain_answer back = run(&bench, which, true, 10.368, ES_HORIZONTAL, &median, 1, NULL);
    for (int i = 0; i < ES_WAYS; i++) {
      largest = fmax(largest, fabs(back.way[i].loss_db[0] - way[i]));
      assert_near(back.way[i].loss_db[0], way[i], 1e-6);
    }
    assert_near(back.basic_db[0], all, 1e-6);
  }
  print_message("paths reversed: largest difference of a way %.2g dB\n", largest);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_year_of_four_profiles),
      cmocka_unit_test(other_bands),
      cmocka_unit_test(openings_of_four_profiles),
      cmocka_unit_test(loss_never_falls_as_the_percentage_grows),
      cmocka_unit_test(a_percentage_alone_is_as_among_others),
      cmocka_unit_test(receivers_together_are_as_each_alone),
      cmocka_unit_test(a_path_reversed_loses_the_same_in_the_median),
  };
  return cmocka_run_group_tests_name("whole year", tests, start, stop);
}
