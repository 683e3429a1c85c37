/* shape.c - where the islands are.
 * Each island is a chain of ribs: straight pieces with a half-width and an uplift at either end, drawn in a plane that
 * noise has bent, so that no coast is straight and no cape round.                                                       */
#include "island.h"

#include <math.h>

typedef struct rib {
  double east_km[2], north_km[2], half_width_km[2], uplift[2];
} rib;

static const rib ribs[] = {
    /* the main island, from the south-western cape to the north */
    {{-47, -37}, {-54, -36}, {6, 11}, {1.5, 5.0}},
    {{-37, -27}, {-36, -14}, {11, 13}, {5.0, 9.0}},
    {{-27, -27}, {-14, 10}, {13, 11}, {9.0, 11.0}},
    {{-27, -37}, {10, 32}, {11, 10}, {11.0, 8.0}},
    {{-37, -33}, {32, 50}, {10, 5}, {8.0, 2.5}},
    /* spurs: Skarn Head, the western cape, the north-eastern arm */
    {{-24, -6}, {-6, -0.8}, {8, 4.6}, {7.0, 5.0}},
    {{-6, 1.6}, {-0.8, -1.6}, {4.6, 3.2}, {5.0, 7.6}},
    {{-30, -50}, {2, 12}, {8, 4}, {6.0, 2.0}},
    {{-33, -14}, {28, 38}, {7, 4}, {5.0, 2.0}},
    /* the smaller island, 42 km south-east of the head */
    {{28, 36}, {-30, -20}, {3.6, 5}, {2.5, 5.0}},
    {{36, 41}, {-20, -11}, {5, 2.2}, {5.0, 1.5}},
    /* the far island, 120 km north-east */
    {{30, 47}, {96, 104}, {6, 10}, {2.5, 7.0}},
    {{47, 64}, {104, 112}, {10, 8}, {7.0, 6.0}},
    {{64, 74}, {112, 126}, {8, 4}, {6.0, 2.0}},
    {{50, 56}, {104, 90}, {7, 3}, {4.0, 1.5}},
};
enum { RIBS = sizeof ribs / sizeof ribs[0] };

/* How far inland of one rib's edge a point is, in half-widths, and what uplift the rib has there. */
static place rib_at(const rib *r, double east_km, double north_km) {
  double de = r->east_km[1] - r->east_km[0], dn = r->north_km[1] - r->north_km[0];
  double x = east_km - r->east_km[0], y = north_km - r->north_km[0];
  double t = (x * de + y * dn) / (de * de + dn * dn);
  t = t < 0.0 ? 0.0 : t > 1.0 ? 1.0 : t;
  double off_e = x - t * de, off_n = y - t * dn;
  double width = r->half_width_km[0] + t * (r->half_width_km[1] - r->half_width_km[0]);
  double uplift = r->uplift[0] + t * (r->uplift[1] - r->uplift[0]);
  return (place){.inland = 1.0 - sqrt(off_e * off_e + off_n * off_n) / width, .uplift = uplift};
}

/* Larger of two values, rounded off where they meet within `soft`. */
static double soft_max(double a, double b, double soft) {
  double near = (soft - fabs(a - b)) / soft;
  double larger = a > b ? a : b;
  return near > 0.0 ? larger + near * near * soft * 0.25 : larger;
}

static place all_ribs_at(double east_km, double north_km) {
  place here = {.inland = -10.0, .uplift = 0.0};
  double weight = 0.0, sum = 0.0;
  for (int k = 0; k < RIBS; k++) {
    place one = rib_at(&ribs[k], east_km, north_km);
    here.inland = soft_max(here.inland, one.inland, 0.35);
    if (one.inland <= -1.0) continue;
    double share = (one.inland + 1.0) * (one.inland + 1.0) * (one.inland + 1.0);
    weight += share;
    sum += share * one.uplift;
  }
  here.uplift = weight > 0.0 ? sum / weight : 0.0;
  return here;
}

/* The head itself keeps its place: the plane is bent less near it. */
static double bend_at(double east_km, double north_km) {
  double from_head = sqrt(east_km * east_km + north_km * north_km);
  return 0.25 + 0.75 * smooth_step(2.0, 14.0, from_head);
}

place shape_at(double east_km, double north_km) {
  double bend = bend_at(east_km, north_km);
  double e = east_km + bend * (6.5 * noise_fractal(east_km / 21.0, north_km / 21.0, 3, 11) +
                               1.9 * noise_fractal(east_km / 5.0, north_km / 5.0, 4, 23));
  double n = north_km + bend * (6.5 * noise_fractal(east_km / 21.0, north_km / 21.0, 3, 37) +
                                1.9 * noise_fractal(east_km / 5.0, north_km / 5.0, 4, 41));
  place here = all_ribs_at(e, n);
  here.inland += bend * 0.16 * noise_fractal(east_km / 3.4, north_km / 3.4, 4, 53);
  double crests = noise_ridged(e / 17.0, n / 17.0, 3, 61);
  double patches = 1.0 + 0.45 * noise_fractal(east_km / 12.0, north_km / 12.0, 2, 71);
  here.uplift *= smooth_step(-0.02, 0.75, here.inland) * (0.45 + 0.9 * crests) * patches + 0.06;
  if (here.inland <= 0.0) here.uplift = 0.0;
  return here;
}
