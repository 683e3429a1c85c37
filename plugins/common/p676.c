/* p676.c - see p676.h. Equation and table numbers are those of ITU-R P.676-13 Annex 1. */
#include "common/p676.h"

#include <math.h>
#include <stddef.h>

static const double KELVIN_OVER_G = 216.7; /* e = rho T / 216.7, (4) */

/* Table 1: spectroscopic data of oxygen; a4 of (6a) is 0 for every line. */
static const struct {
  double f0, a1, a2, a3, a5, a6;
} oxygen_lines[P676_OXYGEN_LINES] = {
    {50.474214, 0.975, 9.651, 6.69, 2.566, 6.85},
    {50.987745, 2.529, 8.653, 7.17, 2.246, 6.8},
    {51.503360, 6.193, 7.709, 7.64, 1.947, 6.729},
    {52.021429, 14.32, 6.819, 8.11, 1.667, 6.64},
    {52.542418, 31.24, 5.983, 8.58, 1.388, 6.526},
    {53.066934, 64.29, 5.201, 9.06, 1.349, 6.206},
    {53.595775, 124.6, 4.474, 9.55, 2.227, 5.085},
    {54.130025, 227.3, 3.8, 9.96, 3.17, 3.75},
    {54.671180, 389.7, 3.182, 10.37, 3.558, 2.654},
    {55.221384, 627.1, 2.618, 10.89, 2.56, 2.952},
    {55.783815, 945.3, 2.109, 11.34, -1.172, 6.135},
    {56.264774, 543.4, 0.014, 17.03, 3.525, -0.978},
    {56.363399, 1331.8, 1.654, 11.89, -2.378, 6.547},
    {56.968211, 1746.6, 1.255, 12.23, -3.545, 6.451},
    {57.612486, 2120.1, 0.91, 12.62, -5.416, 6.056},
    {58.323877, 2363.7, 0.621, 12.95, -1.932, 0.436},
    {58.446588, 1442.1, 0.083, 14.91, 6.768, -1.273},
    {59.164204, 2379.9, 0.387, 13.53, -6.561, 2.309},
    {59.590983, 2090.7, 0.207, 14.08, 6.957, -0.776},
    {60.306056, 2103.4, 0.207, 14.15, -6.395, 0.699},
    {60.434778, 2438, 0.386, 13.39, 6.342, -2.825},
    {61.150562, 2479.5, 0.621, 12.92, 1.014, -0.584},
    {61.800158, 2275.9, 0.91, 12.63, 5.014, -6.619},
    {62.411220, 1915.4, 1.255, 12.17, 3.029, -6.759},
    {62.486253, 1503, 0.083, 15.13, -4.499, 0.844},
    {62.997984, 1490.2, 1.654, 11.74, 1.856, -6.675},
    {63.568526, 1078, 2.108, 11.34, 0.658, -6.139},
    {64.127775, 728.7, 2.617, 10.88, -3.036, -2.895},
    {64.678910, 461.3, 3.181, 10.38, -3.968, -2.59},
    {65.224078, 274, 3.8, 9.96, -3.528, -3.68},
    {65.764779, 153, 4.473, 9.55, -2.548, -5.002},
    {66.302096, 80.4, 5.2, 9.06, -1.66, -6.091},
    {66.836834, 39.8, 5.982, 8.58, -1.68, -6.393},
    {67.369601, 18.56, 6.818, 8.11, -1.956, -6.475},
    {67.900868, 8.172, 7.708, 7.64, -2.216, -6.545},
    {68.431006, 3.397, 8.652, 7.17, -2.492, -6.6},
    {68.960312, 1.334, 9.65, 6.69, -2.773, -6.65},
    {118.750334, 940.3, 0.01, 16.64, -0.439, 0.079},
    {368.498246, 67.4, 0.048, 16.4, 0, 0},
    {424.763020, 637.7, 0.044, 16.4, 0, 0},
    {487.249273, 237.4, 0.049, 16, 0, 0},
    {715.392902, 98.1, 0.145, 16, 0, 0},
    {773.839490, 572.3, 0.141, 16.2, 0, 0},
    {834.145546, 183.1, 0.145, 14.7, 0, 0},
};

/* Table 2: spectroscopic data of water vapour. */
static const struct {
  double f0, b1, b2, b3, b4, b5, b6;
} vapour_lines[P676_VAPOUR_LINES] = {
    {22.235080, 0.1079, 2.144, 26.38, 0.76, 5.087, 1},     {67.803960, 0.0011, 8.732, 28.58, 0.69, 4.93, 0.82},
    {119.995940, 0.0007, 8.353, 29.48, 0.7, 4.78, 0.79},   {183.310087, 2.273, 0.668, 29.06, 0.77, 5.022, 0.85},
    {321.225630, 0.047, 6.179, 24.04, 0.67, 4.398, 0.54},  {325.152888, 1.514, 1.541, 28.23, 0.64, 4.893, 0.74},
    {336.227764, 0.001, 9.825, 26.93, 0.69, 4.74, 0.61},   {380.197353, 11.67, 1.048, 28.11, 0.54, 5.063, 0.89},
    {390.134508, 0.0045, 7.347, 21.52, 0.63, 4.81, 0.55},  {437.346667, 0.0632, 5.048, 18.45, 0.6, 4.23, 0.48},
    {439.150807, 0.9098, 3.595, 20.07, 0.63, 4.483, 0.52}, {443.018343, 0.192, 5.048, 15.55, 0.6, 5.083, 0.5},
    {448.001085, 10.41, 1.405, 25.64, 0.66, 5.028, 0.67},  {470.888999, 0.3254, 3.597, 21.34, 0.66, 4.506, 0.65},
    {474.689092, 1.26, 2.379, 23.2, 0.65, 4.804, 0.64},    {488.490108, 0.2529, 2.852, 25.86, 0.69, 5.201, 0.72},
    {503.568532, 0.0372, 6.731, 16.12, 0.61, 3.98, 0.43},  {504.482692, 0.0124, 6.731, 16.12, 0.61, 4.01, 0.45},
    {547.676440, 0.9785, 0.158, 26, 0.7, 4.5, 1},          {552.020960, 0.184, 0.158, 26, 0.7, 4.5, 1},
    {556.935985, 497, 0.159, 30.86, 0.69, 4.552, 1},       {620.700807, 5.015, 2.391, 24.38, 0.71, 4.856, 0.68},
    {645.766085, 0.0067, 8.633, 18, 0.6, 4, 0.5},          {658.005280, 0.2732, 7.816, 32.1, 0.69, 4.14, 1},
    {752.033113, 243.4, 0.396, 30.86, 0.68, 4.352, 0.84},  {841.051732, 0.0134, 8.177, 15.9, 0.33, 5.76, 0.45},
    {859.965698, 0.1325, 8.055, 30.6, 0.68, 4.09, 0.84},   {899.303175, 0.0547, 7.914, 29.85, 0.68, 4.53, 0.9},
    {902.611085, 0.0386, 8.429, 28.65, 0.7, 5.1, 0.95},    {906.205957, 0.1836, 5.11, 24.08, 0.7, 4.7, 0.53},
    {916.171582, 8.4, 1.441, 26.73, 0.7, 5.15, 0.78},      {923.112692, 0.0079, 10.293, 29, 0.7, 5, 0.8},
    {970.315022, 9.009, 1.919, 25.5, 0.64, 4.94, 0.67},    {987.926764, 134.6, 0.257, 29.85, 0.68, 4.55, 0.9},
    {1780.000000, 17506, 0.952, 196.3, 2, 24.15, 5},
};

/* (3), (6a), (7) of oxygen, with the vapour pressure left open. */
static void prepare_oxygen(p676_air *air) {
  double theta = air->theta, p = air->press_hpa, t08 = pow(theta, 0.8);
  for (size_t i = 0; i < P676_OXYGEN_LINES; i++) {
    p676_line *line = &air->oxygen[i];
    line->f0_ghz = oxygen_lines[i].f0;
    line->strength = oxygen_lines[i].a1 * 1e-7 * p * pow(theta, 3.0) * exp(oxygen_lines[i].a2 * (1.0 - theta));
    line->width_dry = oxygen_lines[i].a3 * 1e-4 * p * t08;
    line->width_wet = oxygen_lines[i].a3 * 1e-4 * 1.1 * theta;
    line->extra = (oxygen_lines[i].a5 + oxygen_lines[i].a6 * theta) * 1e-4 * t08;
  }
}

/* (3), (6a), (6b) of water vapour, for one hPa of it where that is a factor. */
static void prepare_vapour(p676_air *air) {
  double theta = air->theta;
  for (size_t i = 0; i < P676_VAPOUR_LINES; i++) {
    p676_line *line = &air->vapour[i];
    line->f0_ghz = vapour_lines[i].f0;
    line->strength = vapour_lines[i].b1 * 0.1 * pow(theta, 3.5) * exp(vapour_lines[i].b2 * (1.0 - theta));
    line->width_dry = vapour_lines[i].b3 * 1e-4 * air->press_hpa * pow(theta, vapour_lines[i].b4);
    line->width_wet = vapour_lines[i].b3 * 1e-4 * vapour_lines[i].b5 * pow(theta, vapour_lines[i].b6);
    line->extra = 2.1316e-12 * line->f0_ghz * line->f0_ghz / theta; /* Doppler width squared */
  }
}

void p676_prepare(p676_air *air, double freq_ghz, double press_hpa, double temp_k) {
  air->freq_ghz = freq_ghz;
  air->press_hpa = press_hpa;
  air->temp_k = temp_k;
  air->theta = 300.0 / temp_k;
  prepare_oxygen(air);
  prepare_vapour(air);
}

/* (5): line shape. */
static double shape(double f, double f0, double width, double delta) {
  double below = f0 - f, above = f0 + f, w2 = width * width;
  return f / f0 * ((width - delta * below) / (below * below + w2) + (width - delta * above) / (above * above + w2));
}

/* (8), (9): the dry continuum. */
static double continuum(const p676_air *air, double e) {
  double f = air->freq_ghz, p = air->press_hpa, theta = air->theta;
  double d = 5.6e-4 * (p + e) * pow(theta, 0.8);
  double debye = 6.14e-5 / (d * (1.0 + (f / d) * (f / d)));
  double nitrogen = 1.4e-12 * p * pow(theta, 1.5) / (1.0 + 1.9e-5 * pow(f, 1.5));
  return f * p * theta * theta * (debye + nitrogen);
}

static double oxygen_sum(const p676_air *air, double e) {
  double sum = 0.0;
  for (size_t i = 0; i < P676_OXYGEN_LINES; i++) {
    const p676_line *line = &air->oxygen[i];
    double width = line->width_dry + line->width_wet * e;
    width = sqrt(width * width + 2.25e-6); /* Zeeman splitting, (6b) */
    sum += line->strength * shape(air->freq_ghz, line->f0_ghz, width, line->extra * (air->press_hpa + e));
  }
  return sum;
}

static double vapour_sum(const p676_air *air, double e) {
  double sum = 0.0;
  for (size_t i = 0; i < P676_VAPOUR_LINES; i++) {
    const p676_line *line = &air->vapour[i];
    double width = line->width_dry + line->width_wet * e;
    width = 0.535 * width + sqrt(0.217 * width * width + line->extra); /* (6b) */
    sum += line->strength * e * shape(air->freq_ghz, line->f0_ghz, width, 0.0);
  }
  return sum;
}

p676_gamma p676_specific(const p676_air *air, double vapour_g_m3) {
  double e = vapour_g_m3 * air->temp_k / KELVIN_OVER_G;
  double factor = 0.1820 * air->freq_ghz; /* (1) */
  return (p676_gamma){.oxygen_db_km = factor * (oxygen_sum(air, e) + continuum(air, e)),
                      .vapour_db_km = factor * vapour_sum(air, e)};
}
