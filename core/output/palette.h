/* palette.h - every colour of the pictures, read from palettes.csv (embedded at build time).
 *
 * No other colour is written anywhere in the source. Ramps run from little (light) to much (dark).                      */
#ifndef EARSHOT_OUTPUT_PALETTE_H
#define EARSHOT_OUTPUT_PALETTE_H

#include <stdio.h>

#include "base/status.h"
#include "output/colour.h"

/* Rows of the palettes with names; the order is the table's. */
enum { ES_PAPER_SHEET, ES_PAPER_LAND, ES_PAPER_SEA, ES_PAPER_COAST, ES_PAPER_NO_DATA, ES_PAPER_INK, ES_PAPERS };
enum { ES_WAY_SURFACE, ES_WAY_TREES, ES_WAY_DUCT, ES_WAY_SCATTER, ES_WAY_RAIN, ES_WAY_AIRCRAFT, ES_WAY_COLOURS };
enum {
  ES_PROFILE_GROUND,
  ES_PROFILE_GROUND_EDGE,
  ES_PROFILE_CANOPY,
  ES_PROFILE_CANOPY_EDGE,
  ES_PROFILE_WATER,
  ES_PROFILE_RAY,
  ES_PROFILE_ZONE,
  ES_PROFILE_ZONE_EDGE,
  ES_PROFILE_BLOCKED,
  ES_PROFILE_GRID,
  ES_PROFILE_MAST,
  ES_PROFILES
};
enum {
  ES_PAGE_PAGE,
  ES_PAGE_SHEET,
  ES_PAGE_INK,
  ES_PAGE_INK_2,
  ES_PAGE_RULE,
  ES_PAGE_EDGE,
  ES_PAGE_ACCENT,
  ES_PAGE_ACCENT_SOFT,
  ES_PAGE_BAND,
  ES_PAGE_BAND_EDGE,
  ES_PAGE_CAUTION_INK,
  ES_PAGE_CAUTION_BG,
  ES_PAGE_CAUTION_EDGE,
  ES_PAGES
};

typedef struct es_palette {
  es_rgb paper[ES_PAPERS];
  es_rgb heard[5], heard_sea[5], heard_ramp[9];
  es_rgb level[6], level_sea[6], level_ramp[9];
  es_rgb way[ES_WAY_COLOURS], way_sea[ES_WAY_COLOURS];
  es_rgb difference[7];
  es_rgb profile[ES_PROFILES];
  es_rgb page_light[ES_PAGES], page_dark[ES_PAGES];
} es_palette;

/* Fails only when the table that was built in is not whole. */
int32_t es_palette_load(es_palette *out, es_error *err);

/* A page's colours as custom properties of CSS: "--page:#FFFFFF;--sheet:...". */
void es_palette_put_page(FILE *out, const es_rgb page[ES_PAGES]);

/* A colour of a ramp of n nodes at share 0..1, between nodes in OKLab. */
es_rgb es_ramp_at(const es_rgb *nodes, int n, double share);
/* A land colour's counterpart at sea: 55 % of it over the sea. */
es_rgb es_palette_at_sea(const es_palette *palette, es_rgb land);

#endif
