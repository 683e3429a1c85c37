#include "output/colour.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* IEC 61966-2-1: byte to linear light and back. */
static double linear_of(uint8_t byte) {
  double c = byte / 255.0;
  return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static uint8_t byte_of(double light) {
  double c = light <= 0.0031308 ? light * 12.92 : 1.055 * pow(light, 1.0 / 2.4) - 0.055;
  if (!(c > 0.0)) return 0;
  return c >= 1.0 ? 255 : (uint8_t)lround(c * 255.0);
}

es_oklab es_oklab_of(es_rgb colour) {
  double r = linear_of(colour.r), g = linear_of(colour.g), b = linear_of(colour.b);
  double l = cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  double m = cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  double s = cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return (es_oklab){0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
                    1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
                    0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s};
}

static double cube(double x) { return x * x * x; }

es_rgb es_oklab_to_rgb(es_oklab c) {
  double l = cube(c.lightness + 0.3963377774 * c.a + 0.2158037573 * c.b);
  double m = cube(c.lightness - 0.1055613458 * c.a - 0.0638541728 * c.b);
  double s = cube(c.lightness - 0.0894841775 * c.a - 1.2914855480 * c.b);
  return (es_rgb){byte_of(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
                  byte_of(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
                  byte_of(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

es_rgb es_rgb_mix(es_rgb from, es_rgb to, double share) {
  es_oklab f = es_oklab_of(from), t = es_oklab_of(to);
  return es_oklab_to_rgb((es_oklab){f.lightness + share * (t.lightness - f.lightness), f.a + share * (t.a - f.a),
                                    f.b + share * (t.b - f.b)});
}

es_rgb es_rgb_lighter(es_rgb colour, double oklab_l) {
  es_oklab c = es_oklab_of(colour);
  c.lightness += oklab_l;
  return es_oklab_to_rgb(c);
}

static uint8_t between(uint8_t below, uint8_t ink, double cover) {
  return (uint8_t)lround(below + cover * ((double)ink - below));
}

es_rgb es_rgb_over(es_rgb below, es_rgb ink, double cover) {
  return (es_rgb){between(below.r, ink.r, cover), between(below.g, ink.g, cover), between(below.b, ink.b, cover)};
}

bool es_rgb_parse(const char *hex, es_rgb *out) {
  unsigned r, g, b;
  int used = 0;
  if (sscanf(hex, "#%2x%2x%2x%n", &r, &g, &b, &used) != 3 || used != 7 || strlen(hex) != 7) return false;
  *out = (es_rgb){(uint8_t)r, (uint8_t)g, (uint8_t)b};
  return true;
}

/* Relative luminance, the Y of sRGB's primaries. */
static double luminance(es_rgb c) {
  return 0.2126729 * linear_of(c.r) + 0.7151522 * linear_of(c.g) + 0.0721750 * linear_of(c.b);
}

double es_rgb_lstar(es_rgb colour) {
  double y = luminance(colour);
  return y > 216.0 / 24389.0 ? 116.0 * cbrt(y) - 16.0 : y * 24389.0 / 27.0;
}

double es_rgb_contrast(es_rgb one, es_rgb two) {
  double a = luminance(one), b = luminance(two);
  return a > b ? (a + 0.05) / (b + 0.05) : (b + 0.05) / (a + 0.05);
}
