/* test_ret.c - radiative transfer through trees, ITU-R P.833-10 section 3.2.1.4.
 *
 * Values: roots, amplitudes and losses by a second implementation of the text (double precision script), which was itself
 * compared with a simulation of 400 000 photons. The cells are those of the Recommendation's tables at 11 and 12.5 GHz.  */
#include "foliage/ret.c"

#include "near.h"

static const ret_cell SILVER_IN = {0.9, 58, 0.95, 0.321};

static void roots_and_amplitudes(void **state) {
  (void)state;
  static const double ROOTS[RET_ROOTS] = {0.07856162, 0.23382428, 0.38354382, 0.52415064, 0.65225217, 0.76467506,
                                          0.85846265, 0.93078554, 0.97871109, 0.99846364, 1.15631898};
  static const double AMPLITUDES[RET_ROOTS] = {-0.023396, -0.025520, -0.029344, -0.035095, -0.043555, -0.056108,
                                               -0.075000, -0.103692, -0.150382, -0.247366, 1.245043};
  ret_medium m;
  ret_solve(&SILVER_IN, &m);
  assert_near(m.reduced_albedo, 0.655172, 5e-7);
  for (int k = 0; k < RET_ROOTS; k++) {
    assert_near(m.root[k], ROOTS[k], 6e-9);
    assert_near(m.amplitude[k], AMPLITUDES[k], 6e-7);
  }
}

static void parts_of_one_loss(void **state) {
  (void)state;
  ret_medium m;
  ret_solve(&SILVER_IN, &m);
  double tau = 0.321 * 20.0, tau_hat = (1.0 - 0.9 * 0.95) * tau, beam = 0.6 * 20.0 * PI / 180.0;
  double lobe = 0.6 * 58.0 * PI / 180.0;
  assert_near(tau_hat, 0.930900, 5e-7);
  assert_near(exp(-tau), 1.628656e-03, 5e-10);
  assert_near(forward(&m, tau, tau_hat, beam, lobe), 1.039948e-02, 6e-9);
  assert_near(diffuse(&m, tau_hat, beam), 5.061286e-03, 6e-10);
  assert_near(ret_loss_db(&m, 20.0, 20.0), 17.6727, 6e-5);
}

typedef struct known {
  const char *name;
  int species, in_leaf;
  double freq_ghz, beam_deg, loss_db[6]; /* at 5, 10, 20, 30, 50, 100 m */
} known;
static const double DEPTHS_M[6] = {5, 10, 20, 30, 50, 100};
static const known KNOWN[] = {
    {"horse chestnut", CHESTNUT, 1, 11, 3.4, {2.686, 5.370, 10.725, 16.040, 26.163, 37.150}},
    {"horse chestnut", CHESTNUT, 1, 11, 20, {2.493, 4.922, 9.476, 13.356, 18.146, 21.857}},
    {"silver maple", SILVER, 1, 11, 3.4, {6.939, 13.830, 26.805, 34.663, 38.153, 44.510}},
    {"silver maple", SILVER, 1, 11, 20, {6.068, 11.297, 17.673, 20.210, 22.777, 29.124}},
    {"London plane", PLANE, 1, 11, 3.4, {16.203, 30.771, 40.552, 46.686, 59.921, 93.973}},
    {"London plane", PLANE, 1, 11, 20, {14.075, 19.840, 25.175, 31.295, 44.530, 78.582}},
    {"London plane, bare", PLANE, 0, 11, 3.4, {9.463, 17.819, 26.835, 30.074, 33.902, 42.728}},
    {"London plane, bare", PLANE, 0, 11, 20, {4.511, 7.826, 12.346, 15.129, 18.879, 27.634}},
    {"common lime", LIME, 1, 11, 3.4, {12.129, 24.161, 45.054, 54.458, 67.226, 99.774}},
    {"common lime", LIME, 1, 11, 20, {11.228, 20.784, 32.100, 39.141, 51.843, 84.388}},
    {"common lime, bare", LIME, 0, 11, 3.4, {16.188, 29.891, 36.868, 39.142, 43.816, 56.676}},
    {"common lime, bare", LIME, 0, 11, 20, {11.833, 17.548, 21.527, 23.783, 28.447, 41.295}},
    {"sycamore, bare", SYCAMORE, 0, 11, 3.4, {3.861, 7.707, 15.292, 22.473, 32.321, 37.312}},
    {"sycamore, bare", SYCAMORE, 0, 11, 20, {3.180, 6.104, 10.934, 14.300, 18.107, 21.971}},
    {"ginkgo", GINKGO, 1, 12.5, 3.4, {14.427, 28.029, 44.022, 52.740, 69.731, 112.204}},
    {"ginkgo", GINKGO, 1, 12.5, 20, {11.631, 19.465, 28.841, 37.351, 54.340, 96.813}},
    {"Korean pine", PINE, 1, 12.5, 3.4, {9.842, 19.395, 34.572, 41.172, 50.508, 73.587}},
    {"Korean pine", PINE, 1, 12.5, 20, {7.846, 14.085, 21.084, 25.876, 35.118, 58.196}},
};

static void losses_of_the_tables(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof KNOWN / sizeof *KNOWN; i++) {
    ret_cell cell = ret_cell_of(KNOWN[i].species, KNOWN[i].freq_ghz, KNOWN[i].in_leaf);
    ret_medium m;
    ret_solve(&cell, &m);
    for (int k = 0; k < 6; k++) assert_near(ret_loss_db(&m, DEPTHS_M[k], KNOWN[i].beam_deg), KNOWN[i].loss_db[k], 6e-4);
  }
}

static void zero_at_the_edge_and_rising(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
    ret_medium m;
    ret_solve(&ROWS[i].cell, &m);
    double before = ret_loss_db(&m, 0.0, 10.0);
    assert_near(before, 0.0, 1e-9);
    for (double z = 0.5; z < 200.0; z += 0.5) {
      double loss = ret_loss_db(&m, z, 10.0);
      assert_true(loss >= before - 1e-9);
      before = loss;
    }
  }
}

/* Log-frequency: 5 GHz is nearer to 5.5 than to 3.5, 4.2 nearer to 3.5. */
static void nearest_cell(void **state) {
  (void)state;
  assert_near(ret_cell_of(PINE, 5.0, 1).sigma_per_m, 0.310, 0.0);
  assert_near(ret_cell_of(PINE, 4.2, 1).sigma_per_m, 0.334, 0.0);
  assert_near(ret_cell_of(PINE, 4.2, 0).sigma_per_m, 0.334, 0.0);     /* evergreen */
  assert_near(ret_cell_of(GINKGO, 12.0, 0).sigma_per_m, 0.37, 1e-12); /* no bare cell: half of 0.74 */
  assert_near(ret_cell_of(ANY, 11.0, 1).sigma_per_m, 0.321, 0.0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(roots_and_amplitudes), cmocka_unit_test(parts_of_one_loss),
                                     cmocka_unit_test(losses_of_the_tables),
                                     cmocka_unit_test(zero_at_the_edge_and_rising), cmocka_unit_test(nearest_cell)};
  return cmocka_run_group_tests_name("ret", tests, NULL, NULL);
}
