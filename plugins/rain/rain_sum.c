#include "rain_sum.h"

#include "earshot/x86_level.h"

const double rain_probability[RAIN_HEIGHTS + RAIN_AT_ONCE] = {
    0.000555, 0.000802, 0.001139, 0.001594, 0.002196, 0.002978, 0.003976, 0.005227, 0.006764, 0.008617,
    0.010808, 0.013346, 0.016225, 0.019419, 0.022881, 0.026542, 0.030312, 0.034081, 0.037724, 0.041110,
    0.044104, 0.046583, 0.048439, 0.049589, 0.049978, 0.049589, 0.048439, 0.046583, 0.044104, 0.041110,
    0.037724, 0.034081, 0.030312, 0.026542, 0.022881, 0.019419, 0.016225, 0.013346, 0.010808, 0.008617,
    0.006764, 0.005227, 0.003976, 0.002978, 0.002196, 0.001594, 0.001139, 0.000802, 0.000555};

ES_KERNEL_FORMS(rain_kernel, rain_kernel)

double rain_sum(const rain_path *path, double scale) { return best()->sum(path, scale); }

void rain_multipliers(const rain_stack *stack, size_t first, size_t n, double *out) {
  best()->multipliers(stack, first, n, out);
}

void rain_rates(const double *multiplier, size_t n, double ln_rate, double inv_alpha, double *out) {
  best()->rates(multiplier, n, ln_rate, inv_alpha, out);
}

void rain_scales(const double *fade_db, const double *inv_alpha, size_t n, double *out) {
  best()->scales(fade_db, inv_alpha, n, out);
}
