/* p838.c - coefficients k and alpha of ITU-R P.838-3, tables 1 to 4.
 *
 * The last two terms of alpha for vertical polarisation nearly cancel: all printed digits are needed.           */
#include "common/p838.h"

#include <math.h>

typedef struct bell {
  double a, b, c;
} bell;

/* A sum of bells over x = log10 f, and a line m x + c. */
typedef struct curve {
  bell bells[5];
  double m, c;
} curve;

static const curve K_H = {{{-5.33980, -0.10008, 1.13098},
                           {-0.35351, 1.26970, 0.45400},
                           {-0.23789, 0.86036, 0.15354},
                           {-0.94158, 0.64552, 0.16817},
                           {0.0, 0.0, 1.0}},
                          -0.18961,
                          0.71147};
static const curve K_V = {{{-3.80595, 0.56934, 0.81061},
                           {-3.44965, -0.22911, 0.51059},
                           {-0.39902, 0.73042, 0.11899},
                           {0.50167, 1.07319, 0.27195},
                           {0.0, 0.0, 1.0}},
                          -0.16398,
                          0.63297};
static const curve ALPHA_H = {{{-0.14318, 1.82442, -0.55187},
                               {0.29591, 0.77564, 0.19822},
                               {0.32177, 0.63773, 0.13164},
                               {-5.37610, -0.96230, 1.47828},
                               {16.1721, -3.29980, 3.43990}},
                              0.67849,
                              -1.95537};
static const curve ALPHA_V = {{{-0.07771, 2.33840, -0.76284},
                               {0.56727, 0.95545, 0.54039},
                               {-0.20238, 1.14520, 0.26809},
                               {-48.2991, 0.791669, 0.116226},
                               {48.5833, 0.791459, 0.116479}},
                              -0.053739,
                              0.83433};

static double curve_at(const curve *on, double x) {
  double sum = on->m * x + on->c;
  for (int j = 0; j < 5; j++) {
    double z = (x - on->bells[j].b) / on->bells[j].c;
    sum += on->bells[j].a * exp(-z * z);
  }
  return sum;
}

p838_linear p838_at(double freq_ghz) {
  double x = log10(fmax(freq_ghz, 1.0)), below = fmin(freq_ghz, 1.0);
  p838_linear linear = {.k_h = below * pow(10.0, curve_at(&K_H, x)),
                        .alpha_h = curve_at(&ALPHA_H, x),
                        .k_v = below * pow(10.0, curve_at(&K_V, x)),
                        .alpha_v = curve_at(&ALPHA_V, x)};
  return linear;
}

void p838_path(const p838_linear *linear, double elevation_rad, double cos_2tilt, double *k, double *alpha) {
  double cosine = cos(elevation_rad), part = cosine * cosine * cos_2tilt;
  double ka_h = linear->k_h * linear->alpha_h, ka_v = linear->k_v * linear->alpha_v;
  *k = 0.5 * (linear->k_h + linear->k_v + (linear->k_h - linear->k_v) * part);
  *alpha = 0.5 * (ka_h + ka_v + (ka_h - ka_v) * part) / *k;
}
