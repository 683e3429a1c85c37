/* colour.h - sRGB colours, OKLab arithmetic and the measures of legibility.
 *
 * Colours are mixed and shaded in OKLab, where equal steps of L look equally light (B. Ottosson, "A perceptual color space
 * for image processing", 2020). Lightness is CIE 1976 L* (CIE 15), contrast the ratio of WCAG 2.2.                      */
#ifndef EARSHOT_OUTPUT_COLOUR_H
#define EARSHOT_OUTPUT_COLOUR_H

#include <stdbool.h>
#include <stdint.h>

typedef struct es_rgb {
  uint8_t r, g, b;
} es_rgb; /* sRGB (IEC 61966-2-1) */

typedef struct es_oklab {
  double lightness, a, b;
} es_oklab;

es_oklab es_oklab_of(es_rgb colour);
es_rgb es_oklab_to_rgb(es_oklab colour); /* what sRGB cannot show is clipped, channel by channel */

es_rgb es_rgb_mix(es_rgb from, es_rgb to, double share);    /* share 0: from, 1: to; in OKLab */
es_rgb es_rgb_lighter(es_rgb colour, double oklab_l);       /* moves lightness only */
es_rgb es_rgb_over(es_rgb below, es_rgb ink, double cover); /* a thin line's pixel: plain average of the bytes */
bool es_rgb_parse(const char *hex, es_rgb *out);            /* "#17212B" */

double es_rgb_lstar(es_rgb colour);             /* 0..100 */
double es_rgb_contrast(es_rgb one, es_rgb two); /* 1..21 */

#endif
