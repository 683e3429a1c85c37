/* map_colour.c - the colour of every pixel of the map: class, texture, relief, edges at sea, void, waterlines, coast. */
#include <math.h>

#include "output/map_parts.h"

static const double RELIEF_ON_COLOUR = 0.055, RELIEF_ON_BARE = 0.05; /* half-range of OKLab L */
static const double COAST_STRENGTH = 0.85, OUTSIDE_STRENGTH = 0.5;
enum { SHADES = 65 };

/* Every colour a land pixel of a class can take: by relief, plain and under the texture's ink. */
typedef struct land_colours {
  es_rgb plain[SHADES], ink[SHADES];
} land_colours;

static void fill_land(const es_map_paint *paint, land_colours *out) {
  double range = paint->bare ? RELIEF_ON_BARE : RELIEF_ON_COLOUR;
  for (int k = 0; k < SHADES; k++) {
    double lighter = range * (2.0 * k / (SHADES - 1) - 1.0);
    out->plain[k] = es_rgb_lighter(paint->land, lighter);
    out->ink[k] = es_rgb_lighter(paint->texture_land, lighter);
  }
}

typedef struct painter {
  const es_map_parts *parts;
  const es_field_map *field;
  land_colours land[ES_MAP_CLASSES_MAX];
  es_rgb outside[3]; /* by ES_FIELD_SEA ... */
  es_rgb coast, coast_outside, sheet, no_data;
} painter;

static void prepare(painter *p) {
  const es_palette *colours = &p->parts->palette;
  p->sheet = colours->paper[ES_PAPER_SHEET];
  p->coast = colours->paper[ES_PAPER_COAST];
  p->no_data = colours->paper[ES_PAPER_NO_DATA];
  for (int k = 0; k < ES_MAP_CLASSES_MAX; k++) fill_land(&p->parts->paints[k], &p->land[k]);
  p->outside[ES_FIELD_SEA] = es_rgb_mix(p->sheet, colours->paper[ES_PAPER_SEA], OUTSIDE_STRENGTH);
  p->outside[ES_FIELD_LAND] = es_rgb_mix(p->sheet, colours->paper[ES_PAPER_LAND], OUTSIDE_STRENGTH);
  p->outside[ES_FIELD_VOID] = p->outside[ES_FIELD_SEA];
}

/* A class at sea that is stronger than its neighbour's; one px wide at any scale. */
static bool edge_at_sea(const es_field_map *f, int x, int y) {
  size_t side = (size_t)f->side, at = (size_t)y * side + (size_t)x, step = (size_t)f->scale;
  if (x < f->scale || y < f->scale || x >= f->side - f->scale || y >= f->side - f->scale) return false;
  const size_t around[4] = {at - step, at + step, at - step * side, at + step * side};
  for (int k = 0; k < 4; k++)
    if (f->ground[around[k]] == ES_FIELD_SEA && f->class[around[k]] >= 0 && f->class[around[k]] < f -> class[at])
      return true;
  return false;
}

static es_rgb class_colour(const painter *p, size_t at, int x, int y) {
  const es_field_map *f = p->field;
  int class = f->class[at];
  const es_map_paint *paint = &p->parts->paints[class];
  double cover = paint->texture == ES_TEXTURE_NONE
                     ? 0.0
                     : es_texture_cover(paint->texture, (x + 0.5) / f->scale, (y + 0.5) / f->scale, 1.0 / f->scale);
  if (f->ground[at] != ES_FIELD_LAND) {
    if (edge_at_sea(f, x, y)) return paint->land;
    return cover > 0.0 ? es_rgb_over(paint->sea, paint->texture_sea, cover) : paint->sea;
  }
  int shade = (int)lround((0.5 + 0.5 * (double)f->relief[at]) * (SHADES - 1));
  const land_colours *land = &p->land[class];
  return cover > 0.0 ? es_rgb_over(land->plain[shade], land->ink[shade], cover) : land->plain[shade];
}

/* Waterlines at 4, 9 and 15 px from the coast, each fainter; the coast itself. */
static double coast_cover(float away_px, double pixel) {
  static const double AT[] = {4.0, 9.0, 15.0}, STRENGTH[] = {0.30, 0.20, 0.12};
  if (away_px <= 1.0f) return COAST_STRENGTH;
  double away = (double)away_px - 0.5 * pixel; /* from the shore, not from the middle of its last pixel */
  for (int k = 0; k < 3; k++) {
    double inside = fmin(1.0, (0.5 - fabs(away - AT[k])) / pixel + 0.5);
    if (inside > 0.0) return STRENGTH[k] * inside;
  }
  return 0.0;
}

static es_rgb pixel_colour(const painter *p, int x, int y) {
  const es_field_map *f = p->field;
  size_t at = (size_t)y * (size_t)f->side + (size_t)x;
  if (f->class[at] == ES_FIELD_OUTSIDE) {
    es_rgb colour = p->outside[f->ground[at]];
    return f->coast_px[at] <= 1.0f ? es_rgb_over(colour, p->coast, OUTSIDE_STRENGTH * COAST_STRENGTH) : colour;
  }
  double pixel = 1.0 / f->scale;
  es_rgb colour;
  if (f->class[at] == ES_FIELD_NO_DATA)
    colour = es_rgb_over(p->sheet, p->no_data,
                         es_texture_cover(ES_TEXTURE_NO_DATA, (x + 0.5) * pixel, (y + 0.5) * pixel, pixel));
  else
    colour = class_colour(p, at, x, y);
  double cover = f->ground[at] == ES_FIELD_SEA ? coast_cover(f->coast_px[at], pixel) : 0.0;
  return cover > 0.0 ? es_rgb_over(colour, p->coast, cover) : colour;
}

void es_map_colour(const es_map_parts *parts, cairo_surface_t *surface) {
  painter p = {.parts = parts, .field = &parts->field};
  prepare(&p);
  cairo_surface_flush(surface);
  int left = (int)ES_MAP_LEFT_PX * p.field->scale, top = (int)ES_MAP_TOP_PX * p.field->scale;
  for (int y = 0; y < p.field->side; y++) {
    unsigned char *row =
        cairo_image_surface_get_data(surface) + (ptrdiff_t)(top + y) * cairo_image_surface_get_stride(surface);
    uint32_t *pixels = (uint32_t *)(void *)row + left;
    for (int x = 0; x < p.field->side; x++) {
      es_rgb c = pixel_colour(&p, x, y);
      pixels[x] = (uint32_t)c.r << 16 | (uint32_t)c.g << 8 | c.b;
    }
  }
  cairo_surface_mark_dirty(surface);
}
