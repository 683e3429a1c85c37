/* Free-space loss against ITU-R P.525-4 (4) and the rounded constant of P.2001-6 and P.452-18. */
#include "bench_task.h"

#include "free-space/free-space.c"

static double flat(double d_km) { return 0.0 * d_km; }

static double loss_at(double freq_ghz, double dist_km, double convention) {
  bench *b = bench_formula(1.0, 0.1, flat, ES_ZONE_INLAND);
  double p[] = {0.001, 50.0, 99.0};
  bench_geometry(b, 8500.0, 10.0, 10.0);
  b->task.freq_ghz = freq_ghz;
  b->r.slant_m = 1e3 * dist_km;
  assert_int_equal(bench_run(b, &es_model_entry, &convention, p, 3), ES_OK);
  double loss = b->value[0];
  assert_true(b->value[1] == loss && b->value[2] == loss); /* the same at every percentage */
  assert_int_equal(b->status[0], ES_OK);
  assert_true(bench_noted(b, 1, "Lbfs") == loss);
  bench_destroy(b);
  return loss;
}

/* 20 log10(4 pi d f / c), c = 299792458 m/s, to four decimals; last column with 92.4. */
static const struct row {
  double freq_ghz, dist_km, exact_db, rounded_db;
} rows[] = {
    {1.296, 0.1, 74.6999, 74.6521},    {1.296, 100, 134.6999, 134.6521},  {5.760, 10, 127.6562, 127.6084},
    {5.760, 500, 161.6356, 161.5878},  {10.368, 0.1, 92.7617, 92.7139},   {10.368, 10, 132.7617, 132.7139},
    {10.368, 100, 152.7617, 152.7139}, {10.368, 500, 166.7411, 166.6933}, {24.048, 10, 140.0694, 140.0216},
    {24.048, 100, 160.0694, 160.0216}, {47.088, 10, 145.9060, 145.8582},  {47.088, 500, 179.8854, 179.8376},
};

static void meets_the_definition(void **state) {
  (void)state;
  assert_near(loss_at(1.0, 1.0, P526), 20.0 * log10(4.0 * ES_PI * 1e3 * 1e9 / ES_LIGHT_M_S), 1e-12);
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    assert_near(loss_at(rows[i].freq_ghz, rows[i].dist_km, P526), rows[i].exact_db, 6e-5);
    assert_near(loss_at(rows[i].freq_ghz, rows[i].dist_km, P2001), rows[i].rounded_db, 6e-5);
    assert_near(loss_at(rows[i].freq_ghz, rows[i].dist_km, P452), rows[i].rounded_db, 6e-5);
  }
}

static void meets_the_table(void **state) {
  (void)state;
  es_text_table *t = bench_table("p525_free_space.csv");
  if (t == NULL) skip();
  for (size_t i = 0; i < es_text_table_rows(t); i++) {
    double f = bench_number(t, i, "f_GHz"), d = bench_number(t, i, "d_km");
    assert_near(loss_at(f, d, P526), bench_number(t, i, "Lbf_exact_dB"), 1e-7);
    assert_near(loss_at(f, d, P2001), bench_number(t, i, "Lbf_92p4_dB"), 1e-7);
  }
  es_text_table_close(t);
}

static void no_distance_is_missing(void **state) {
  (void)state;
  const double wrong[] = {0.0, -1.0, NAN};
  for (size_t i = 0; i < 3; i++) {
    bench *b = bench_formula(1.0, 0.1, flat, ES_ZONE_INLAND);
    double p = 50.0, convention = P526;
    bench_geometry(b, 8500.0, 10.0, 10.0);
    b->task.freq_ghz = 10.368;
    b->r.slant_m = wrong[i];
    assert_int_equal(bench_run(b, &es_model_entry, &convention, &p, 1), ES_OK);
    assert_int_equal(b->status[0], ES_MISSING);
    assert_true(isnan(b->value[0]));
    bench_destroy(b);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(meets_the_definition),
      cmocka_unit_test(meets_the_table),
      cmocka_unit_test(no_distance_is_missing),
  };
  return cmocka_run_group_tests_name("free-space", tests, NULL, NULL);
}
