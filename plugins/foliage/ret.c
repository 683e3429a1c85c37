#include "ret.h"

#include <math.h>
#include <stddef.h>

static const double PI = 3.14159265358979323846;

/* --- species: P.833-10 tables, from one published copy (not checked against the document) ---------------------- */

typedef struct row {
  int species, in_leaf;
  double freq_ghz;
  ret_cell cell;
} row;

enum { CHESTNUT, SILVER, PLANE, LIME, SYCAMORE, GINKGO, CHERRY, TRIDENT, PINE, CEDAR, AMERICAN, REDWOOD, ANY };

static const row ROWS[] = {
    {CHESTNUT, 1, 1.3, {0.90, 21, 0.25, 0.772}},    {CHESTNUT, 1, 2.0, {0.75, 80, 0.55, 0.091}},
    {CHESTNUT, 1, 11.0, {0.85, 69, 0.95, 0.124}},   {SILVER, 1, 1.3, {0.95, 14, 0.95, 0.241}},
    {SILVER, 1, 11.0, {0.90, 58, 0.95, 0.321}},     {SILVER, 1, 61.5, {0.80, 48, 0.80, 0.567}},
    {SILVER, 0, 1.3, {0.90, 43, 0.25, 0.139}},      {SILVER, 0, 2.0, {0.95, 31, 0.95, 0.176}},
    {SILVER, 0, 2.2, {0.95, 25, 0.95, 0.377}},      {PLANE, 1, 1.3, {0.95, 42, 0.95, 0.147}},
    {PLANE, 1, 2.0, {0.95, 49, 0.95, 0.203}},       {PLANE, 1, 2.2, {0.50, 13, 0.45, 0.244}},
    {PLANE, 1, 11.0, {0.70, 100, 0.95, 0.750}},     {PLANE, 1, 37.0, {0.95, 18, 0.95, 0.441}},
    {PLANE, 1, 61.5, {0.25, 2, 0.50, 0.498}},       {PLANE, 0, 1.3, {0.90, 16, 0.95, 0.221}},
    {PLANE, 0, 11.0, {0.95, 19, 0.95, 0.459}},      {LIME, 1, 1.3, {0.90, 76, 0.95, 0.220}},
    {LIME, 1, 11.0, {0.95, 78, 0.75, 0.560}},       {LIME, 0, 1.3, {0.95, 50, 0.95, 0.591}},
    {LIME, 0, 2.0, {0.95, 60, 0.95, 0.692}},        {LIME, 0, 11.0, {0.95, 48, 0.95, 0.757}},
    {SYCAMORE, 1, 61.5, {0.90, 59, 0.90, 0.647}},   {SYCAMORE, 0, 1.3, {0.95, 70, 0.85, 0.360}},
    {SYCAMORE, 0, 2.0, {0.95, 62, 0.95, 0.249}},    {SYCAMORE, 0, 11.0, {0.95, 44, 0.95, 0.179}},
    {GINKGO, 1, 1.5, {0.90, 28.65, 0.95, 0.40}},    {GINKGO, 1, 5.5, {0.40, 28.65, 0.90, 0.48}},
    {GINKGO, 1, 12.5, {0.20, 3.58, 0.97, 0.74}},    {CHERRY, 1, 5.5, {0.95, 229.18, 0.90, 0.24}},
    {CHERRY, 1, 12.5, {0.16, 3.38, 0.90, 0.18}},    {TRIDENT, 1, 5.5, {0.90, 114.59, 0.95, 0.31}},
    {TRIDENT, 1, 12.5, {0.25, 4.25, 0.94, 0.47}},   {PINE, 1, 1.5, {0.70, 70, 0.78, 0.215}},
    {PINE, 1, 3.5, {0.74, 72, 0.71, 0.334}},        {PINE, 1, 5.5, {0.73, 75, 0.75, 0.310}},
    {PINE, 1, 12.5, {0.23, 4.37, 0.98, 0.500}},     {CEDAR, 1, 5.5, {0.96, 100, 0.97, 0.502}},
    {CEDAR, 1, 12.5, {0.27, 3.54, 0.98, 0.900}},    {AMERICAN, 1, 5.5, {0.70, 77, 0.96, 0.558}},
    {AMERICAN, 1, 12.5, {0.71, 2.36, 0.25, 0.170}}, {REDWOOD, 1, 5.5, {0.82, 77, 0.94, 0.200}},
    {REDWOOD, 1, 12.5, {0.21, 2.57, 0.99, 0.440}},
};

static const row *nearest(int species, double freq_ghz, int in_leaf) {
  const row *best = NULL;
  for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
    if (ROWS[i].species != species || ROWS[i].in_leaf != in_leaf) continue;
    if (best == NULL || fabs(log(ROWS[i].freq_ghz / freq_ghz)) < fabs(log(best->freq_ghz / freq_ghz))) best = &ROWS[i];
  }
  return best;
}

static int evergreen(int species) { return species == PINE || species == CEDAR; }

ret_cell ret_cell_of(int species, double freq_ghz, int in_leaf) {
  if (species >= ANY) species = SILVER;
  const row *own = nearest(species, freq_ghz, in_leaf || evergreen(species));
  if (own != NULL) return own->cell;
  ret_cell other = nearest(species, freq_ghz, !in_leaf)->cell;
  if (!in_leaf) other.sigma_per_m *= 0.5;
  return other;
}

/* --- directions -------------------------------------------------------------------------------------------------------------- */

static double mu(int n) { return -cos(n * PI / RET_DIRECTIONS); }

static double weight(int n) {
  double half = sin(PI / (2.0 * RET_DIRECTIONS));
  if (n == 0 || n == RET_DIRECTIONS) return half * half;
  return sin(PI / RET_DIRECTIONS) * sin(n * PI / RET_DIRECTIONS);
}

/* --- roots s_k: one in each interval between the directions forward, one above 1 ---------------------------------------------- */

typedef struct directions {
  double mu[RET_DIRECTIONS + 1], weight[RET_DIRECTIONS + 1];
} directions;

static double characteristic(const directions *d, double albedo, double s) {
  double sum = 0.0;
  for (int n = 0; n <= RET_DIRECTIONS; n++) sum += d->weight[n] / (1.0 - d->mu[n] / s);
  return 0.5 * albedo * sum - 1.0;
}

/* From one pole to the next the sum falls from plus to minus infinity; above the last one, to W^ - 1. */
static double root_between(const directions *d, double albedo, double low, double high) {
  for (int i = 0; i < 200; i++) {
    double middle = 0.5 * (low + high);
    if (!(middle > low && middle < high)) break;
    if (characteristic(d, albedo, middle) > 0.0)
      low = middle;
    else
      high = middle;
  }
  return 0.5 * (low + high);
}

static void find_roots(ret_medium *m) {
  directions d;
  for (int n = 0; n <= RET_DIRECTIONS; n++) d.mu[n] = mu(n), d.weight[n] = weight(n);
  int first = RET_DIRECTIONS / 2 + 1;
  for (int k = 0; k + 1 < RET_ROOTS; k++)
    m->root[k] = root_between(&d, m->reduced_albedo, mu(first + k), mu(first + k + 1));
  double high = 2.0;
  while (characteristic(&d, m->reduced_albedo, high) > 0.0 && high < 1e9) high *= 2.0;
  m->root[RET_ROOTS - 1] = root_between(&d, m->reduced_albedo, 1.0, high);
}

/* --- amplitudes A_k: sum_k A_k / (1 - mu_n / s_k) = 1 / P_N straight ahead, 0 in the other forward directions ------------------- */

static void swap_rows(double *a, double *b) {
  for (int c = 0; c <= RET_ROOTS; c++) {
    double keep = a[c];
    a[c] = b[c];
    b[c] = keep;
  }
}

static void eliminate(double a[RET_ROOTS][RET_ROOTS + 1]) {
  for (int i = 0; i < RET_ROOTS; i++) {
    int pivot = i;
    for (int r = i + 1; r < RET_ROOTS; r++)
      if (fabs(a[r][i]) > fabs(a[pivot][i])) pivot = r;
    swap_rows(a[i], a[pivot]);
    for (int r = i + 1; r < RET_ROOTS; r++) {
      double factor = a[r][i] / a[i][i];
      for (int c = i; c <= RET_ROOTS; c++) a[r][c] -= factor * a[i][c];
    }
  }
}

static void find_amplitudes(ret_medium *m) {
  double a[RET_ROOTS][RET_ROOTS + 1];
  int first = RET_DIRECTIONS / 2 + 1;
  for (int i = 0; i < RET_ROOTS; i++) {
    int n = first + i;
    for (int k = 0; k < RET_ROOTS; k++) a[i][k] = 1.0 / (1.0 - mu(n) / m->root[k]);
    a[i][RET_ROOTS] = n == RET_DIRECTIONS ? 1.0 / weight(RET_DIRECTIONS) : 0.0;
  }
  eliminate(a);
  for (int i = RET_ROOTS - 1; i >= 0; i--) {
    double value = a[i][RET_ROOTS];
    for (int k = i + 1; k < RET_ROOTS; k++) value -= a[i][k] * m->amplitude[k];
    m->amplitude[i] = value / a[i][i];
  }
}

static int same_cell(const ret_cell *a, const ret_cell *b) {
  return a->alpha == b->alpha && a->beta_deg == b->beta_deg && a->albedo == b->albedo &&
         a->sigma_per_m == b->sigma_per_m;
}

/* Each thread keeps the medium it solved last: one path after another asks for the same. */
void ret_solve(const ret_cell *cell, ret_medium *out) {
  static _Thread_local ret_medium last;
  if (!same_cell(&last.cell, cell)) {
    last = (ret_medium){.cell = *cell};
    last.reduced_albedo = (1.0 - cell->alpha) * cell->albedo / (1.0 - cell->alpha * cell->albedo); /* (14) */
    find_roots(&last);
    find_amplitudes(&last);
  }
  *out = last;
}

/* --- loss, (12) ------------------------------------------------------------------------------------------------------------------- */

enum { ORDERS = 10 }; /* M: forward scatterings counted one by one */

/* Power scattered forward into the beam, I1. */
static double forward(const ret_medium *m, double tau, double tau_hat, double beam, double lobe) {
  double q_last = 4.0 / (beam * beam + ORDERS * lobe * lobe), sum = 0.0, term = 1.0;
  for (int i = 1; i <= ORDERS; i++) {
    term *= m->cell.alpha * m->cell.albedo * tau / i;
    sum += term * (4.0 / (beam * beam + i * lobe * lobe) - q_last);
  }
  return 0.25 * beam * beam * ((exp(-tau_hat) - exp(-tau)) * q_last + exp(-tau) * sum);
}

/* Power that comes from all sides, I2. */
static double diffuse(const ret_medium *m, double tau_hat, double beam) {
  double sum = -exp(-tau_hat) / weight(RET_DIRECTIONS);
  for (int k = 0; k < RET_ROOTS; k++) sum += m->amplitude[k] * exp(-tau_hat / m->root[k]) / (1.0 - 1.0 / m->root[k]);
  return 0.5 * beam * beam * sum;
}

double ret_loss_db(const ret_medium *m, double depth_m, double beam_deg) {
  double tau = m->cell.sigma_per_m * depth_m, tau_hat = (1.0 - m->cell.alpha * m->cell.albedo) * tau; /* (13) */
  double beam = 0.6 * beam_deg * PI / 180.0, lobe = 0.6 * m->cell.beta_deg * PI / 180.0;
  double power = exp(-tau) + forward(m, tau, tau_hat, beam, lobe) + diffuse(m, tau_hat, beam);
  return power < 1.0 ? -10.0 * log10(power) : 0.0;
}
