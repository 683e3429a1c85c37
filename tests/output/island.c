#include "island.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"

static double hashed(int x, int y, unsigned seed) {
  uint32_t h = (uint32_t)x * 374761393u + (uint32_t)y * 668265263u + seed * 2246822519u;
  h = (h ^ (h >> 13)) * 1274126177u;
  return (double)((h ^ (h >> 16)) & 0xFFFFFF) / 0xFFFFFF;
}

static double smooth(double t) { return t * t * (3.0 - 2.0 * t); }

/* Values at whole places, smooth between. */
static double noise(double x, double y, unsigned seed) {
  int i = (int)floor(x), j = (int)floor(y);
  double u = smooth(x - i), v = smooth(y - j);
  return (1.0 - v) * ((1.0 - u) * hashed(i, j, seed) + u * hashed(i + 1, j, seed)) +
         v * ((1.0 - u) * hashed(i, j + 1, seed) + u * hashed(i + 1, j + 1, seed));
}

static double rough(double x, double y, unsigned seed, int octaves) {
  double sum = 0.0, size = 1.0;
  for (int k = 0; k < octaves; k++, size *= 0.5) sum += size * (noise(x / size, y / size, seed + (unsigned)k) - 0.5);
  return sum;
}

/* East and north as shares of the radius. */
static double height_m(double e, double n) {
  double one = 1.0 - pow((e + 0.30) / 0.52, 2.0) - pow((n + 0.05 + 0.3 * e) / 0.34, 2.0);
  double two = 1.0 - pow((e - 0.52) / 0.26, 2.0) - pow((n - 0.55) / 0.20, 2.0);
  double land = fmax(fmax(one, two), -0.6) + 0.9 * rough(3.0 * e + 7.0, 3.0 * n + 3.0, 5, 7);
  double hills = fabs(rough(5.0 * e, 5.0 * n, 21, 7));
  return land > 0.35 ? 40.0 + 500.0 * (land - 0.35) * (0.3 + 2.0 * hills) : land < 0.25 ? -1.0 : 400.0 * (land - 0.25);
}

static double wooded(double e, double n) { return rough(6.0 * e + 2.0, 6.0 * n, 77, 5); }

static double snr_db(double e, double n, double h, bool sea) {
  double away = hypot(e, n), edge = 10.0 * rough(2.0 * atan2(e, n), away, 9, 2);
  double over = sea ? 34.0 - 52.0 * away - edge : 38.0 - 44.0 * away - edge + 0.02 * h;
  return sea ? over : over - (wooded(e, n) > 0.12 ? 25.0 : 0.0) - 70.0 * fabs(rough(9.0 * e, 9.0 * n, 31, 6)) * away;
}

static double value_of(es_map_kind kind, double e, double n, double h, bool sea) {
  double snr = snr_db(e, n, h, sea);
  switch (kind) {
  case ES_MAP_LEVEL: return snr;
  case ES_MAP_HEARD: return 100.0 / (1.0 + exp(-0.25 * (snr + 4.0)));
  case ES_MAP_WAY:
    if (snr < -32.0) return 0.0;
    if (snr < -10.0) return n < -0.4 && e > 0.0 ? ES_DUCT : ES_SCATTER;
    return ES_SURFACE + (!sea && wooded(e, n) > 0.12 ? ES_MAP_TREES : 0);
  case ES_MAP_LOSS: return 150.0 - 1.5 * snr;
  case ES_MAP_CLEARANCE: return sea ? 2.0 - 6.0 * hypot(e, n) : 0.12 * snr;
  case ES_MAP_DIFFERENCE: break;
  }
  return sea ? 0.0 : 14.0 * rough(7.0 * e, 7.0 * n, 55, 4) - (wooded(e, n) > 0.12 ? 6.0 : 0.0);
}

static void *room(size_t n, size_t size) {
  void *p = calloc(n, size);
  if (p == NULL) abort();
  return p;
}

static void fill_cells(island *s, es_map_kind kind) {
  const es_frame *f = &s->frame;
  for (int row = 0; row < f->rows; row++)
    for (int col = 0; col < f->cols; col++) {
      size_t cell = (size_t)row * (size_t)f->cols + (size_t)col;
      double e = (f->x0 + (col + 0.5) * f->cell_m) / f->radius_m, n = (f->y0 - (row + 0.5) * f->cell_m) / f->radius_m;
      double h = height_m(e, n);
      bool sea = h<0.0, lost = e> 0.55 && n < -0.4;
      s->zone[cell] = sea && !lost ? ES_ZONE_SEA : ES_ZONE_INLAND;
      s->ground_m[cell] = lost ? NAN : sea ? 0.0f : (float)h;
      s->values[cell] = lost || hypot(e, n) > 1.0 ? NAN : (float)value_of(kind, e, n, h, sea);
    }
}

static void fill_marks(island *s, es_map_kind kind, unsigned seed) {
  static const char *const PREFIX[] = {"Q1", "Q4", "Q7"};
  for (size_t i = 0; i < s->n_marks; i++) {
    double e = -0.2, n = 0.0, h = -1.0;
    for (int k = 0; h < 0.0 && k < 60; k++) {
      e = 1.9 * hashed((int)i, k, seed) - 0.95;
      n = 1.9 * hashed((int)i, k, seed + 1) - 0.95;
      h = hypot(e, n) < 0.98 ? height_m(e, n) : -1.0;
    }
    double u = 26.0 * hashed((int)i, 0, 3), v = 26.0 * hashed((int)i, 1, 3), w = 26.0 * hashed((int)i, 2, 3);
    snprintf(s->names[i], sizeof s->names[i], "%s%c%c%c", PREFIX[i % 3], 'A' + (int)fmin(u, 25.0),
             'A' + (int)fmin(v, 25.0), i % 4 == 0 ? '\0' : 'A' + (int)fmin(w, 25.0));
    double azimuth = atan2(e, n), dist_m = hypot(e, n) * s->frame.radius_m;
    s->marks[i] = (es_map_mark){s->names[i], es_geodesic_ahead(s->frame.beacon, es_deg(azimuth), dist_m), dist_m,
                                azimuth, value_of(kind, e, n, h, false)};
  }
}

island island_make(es_lonlat beacon, double radius_m, int cells, es_map_kind kind, size_t n_marks, unsigned seed) {
  double cell_m = 2.0 * radius_m / cells;
  island s = {.frame = {.kind = ES_FRAME_BEACON,
                        .beacon = beacon,
                        .x0 = -radius_m,
                        .y0 = radius_m,
                        .cell_m = cell_m,
                        .cols = cells,
                        .rows = cells,
                        .radius_m = radius_m}};
  size_t n = (size_t)cells * (size_t)cells;
  s.ground_m = room(n, sizeof *s.ground_m);
  s.values = room(n, sizeof *s.values);
  s.zone = room(n, sizeof *s.zone);
  s.n_marks = n_marks;
  s.marks = room(n_marks + 1, sizeof *s.marks);
  s.names = room(n_marks + 1, sizeof *s.names);
  fill_cells(&s, kind);
  fill_marks(&s, kind, seed);
  return s;
}

void island_free(island *s) {
  free(s->ground_m);
  free(s->values);
  free(s->zone);
  free(s->marks);
  free(s->names);
}

static const char *const FACT_NAMES[] = {"Frequency", "Radiated power", "",      "Antenna",
                                         "Height",    "Ways counted",   "Method"};
static const char *const FACT_TEXTS[] = {"10 368.875 MHz",
                                         "2.0 W EIRP (33.1 dBm)",
                                         "1.2 W ERP (31.0 dBm)",
                                         "slotted guide, 10.1 dBi, horizontal",
                                         "18 m above ground, 186 m above sea",
                                         "surface, trees, ducting, troposcatter",
                                         "whole-year chain, ITU-R P.2001-6"};

static const struct words {
  const char *title, *lead, *second, *note;
} WORDS[] = {
    [ES_MAP_LEVEL] =
        {"How strong it arrives", "Level in the middle of the year", "trees in leaf · antenna 18 m above ground",
         "Colours: a standard listener, 0.6 m dish 10 m up, noise figure 1.0 dB. Shapes: each listener’s own "
         "antenna, receiver and trees."},
    [ES_MAP_HEARD] =
        {"How much of the year it is heard", "Morse by ear, median operator",
         "trees in leaf · antenna 18 m above ground",
         "Colours: a standard listener, 0.6 m dish 10 m up, noise figure 1.0 dB. Shapes: each listener’s own "
         "antenna, receiver and trees. Filled shapes hear it more than half the year."},
    [ES_MAP_WAY] = {"Which way the signal comes", "at the middle of the year (50 % of the time)",
                    "trees in leaf · antenna 18 m above ground", "The way that carries the strongest signal."},
    [ES_MAP_LOSS] = {"How much is lost on the way", "Basic transmission loss, half the year",
                     "trees in leaf · antenna 18 m above ground", "Between antennas without gain (isotropic)."},
    [ES_MAP_CLEARANCE] = {"How clear the sight line is", "Clearance of the worst point, median refraction",
                          "bare ground · antenna 18 m above ground",
                          "In radii of the first Fresnel zone, the room a wave needs around the sight line."},
    [ES_MAP_DIFFERENCE] = {"What the leaves take", "level in leaf minus out of leaf, in dB",
                           "half the year · antenna 18 m above ground",
                           "Lost: weaker in leaf. Gained: stronger in leaf."},
};

es_sheet island_sheet(es_map_kind kind) {
  static const char *const KEYS[] = {"Software", "Run"};
  static const char *const VALUES[] = {"Earshot 0.1.0", "4F2C91D0"};
  const struct words *w = &WORDS[kind];
  return (es_sheet){
      .kind = kind,
      .beacon_name = "Skarn Head",
      .eyebrow = "SKARN HEAD · Q0SKN · HN16wn",
      .title = w->title,
      .lead = w->lead,
      .second = w->second,
      .colours_note = w->note,
      .how_sure = "Eight listeners in ten should lie within 10 dB of the level behind this map. On the sea "
                  "that moves an edge by about 40 km; behind a ridge by less than 1 km.",
      .fact_names = FACT_NAMES,
      .fact_texts = FACT_TEXTS,
      .n_facts = sizeof FACT_NAMES / sizeof FACT_NAMES[0],
      .foot = "Ground: made-up island, 3″ steps, 2024, heights above EGM2008, bare earth. Trees: made-up canopy "
              "heights, 3″, 2024. Climate: latitude fallback (no maps given). Earshot 0.1.0, run 4F2C91D0.",
      .text_keys = KEYS,
      .text_values = VALUES,
      .n_text = 2,
      .locator_squares = true,
      .scale = 1};
}
