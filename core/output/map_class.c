#include "output/map_class.h"

#include <math.h>

/* Least value of classes 1, 2, ... */
static const double LEVEL_FROM_DB[] = {-28, -24, -15, -8, 6, 20};
static const double HEARD_FROM_PERCENT[] = {1, 10, 50, 90, 99};
static const double LOSS_FROM_DB[] = {120, 140, 160, 180, 200, 220};
static const double CLEARANCE_FROM_ZONES[] = {-5, -1, 0, 0.6, 1, 5};
static const double DIFFERENCE_FROM_DB[] = {1, 3, 10};

static const es_map_step LEVEL_STEPS[] = {
    {"no mode", "under −28", ES_MARK_SALTIRE},
    {"slow digital", "−28 to −24", ES_MARK_RING},
    {"waterfall", "−24 to −15", ES_MARK_TRIANGLE_DOWN},
    {"Morse by ear", "−15 to −8", ES_MARK_DIAMOND},
    {"easy Morse", "−8 to +6", ES_MARK_TRIANGLE},
    {"voice (SSB)", "+6 to +20", ES_MARK_SQUARE},
    {"loud", "+20 and more", ES_MARK_DISC},
};
static const es_map_step HEARD_STEPS[] = {
    {"not heard", "under 1 %", ES_MARK_SALTIRE},  {"rarely", "1–10 %", ES_MARK_TRIANGLE_DOWN},
    {"sometimes", "10–50 %", ES_MARK_DIAMOND},    {"often", "50–90 %", ES_MARK_TRIANGLE},
    {"nearly always", "90–99 %", ES_MARK_SQUARE}, {"always", "99–100 %", ES_MARK_DISC},
};
static const es_map_step WAY_STEPS[] = {
    {"no way", "nothing carries it here", ES_MARK_SALTIRE},
    {"along the ground", "line of sight or over an edge", ES_MARK_DISC},
    {"over or through trees", "woods on the way", ES_MARK_DISC},
    {"ducting", "trapped in a layer of air", ES_MARK_DISC},
    {"troposcatter", "scattered high in the air", ES_MARK_DISC},
};
static const es_map_step LOSS_STEPS[] = {
    {"under 120 dB", "", ES_MARK_DISC}, {"120 to 140", "", ES_MARK_DISC}, {"140 to 160", "", ES_MARK_DISC},
    {"160 to 180", "", ES_MARK_DISC},   {"180 to 200", "", ES_MARK_DISC}, {"200 to 220", "", ES_MARK_DISC},
    {"220 and more", "", ES_MARK_DISC},
};
static const es_map_step CLEARANCE_STEPS[] = {
    {"deep in shadow", "under −5", ES_MARK_DISC}, {"in shadow", "−5 to −1", ES_MARK_DISC},
    {"just in shadow", "−1 to 0", ES_MARK_DISC},  {"grazing", "0 to 0.6", ES_MARK_DISC},
    {"nearly clear", "0.6 to 1", ES_MARK_DISC},   {"clear", "1 to 5", ES_MARK_DISC},
    {"wide open", "5 and more", ES_MARK_DISC},
};
static const es_map_step DIFFERENCE_STEPS[] = {
    {"much lost", "−10 or worse", ES_MARK_DISC},    {"lost", "−10 to −3", ES_MARK_DISC},
    {"a bit lost", "−3 to −1", ES_MARK_DISC},       {"no change", "−1 to +1", ES_MARK_DISC},
    {"a bit gained", "+1 to +3", ES_MARK_DISC},     {"gained", "+3 to +10", ES_MARK_DISC},
    {"much gained", "+10 or better", ES_MARK_DISC},
};

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static int way_class(double value) {
  if (value == 0.0) return 0;
  if (value == ES_SURFACE) return 1 + ES_WAY_SURFACE;
  if (value == ES_SURFACE + ES_MAP_TREES) return 1 + ES_WAY_TREES;
  if (value == ES_DUCT) return 1 + ES_WAY_DUCT;
  return value == ES_SCATTER ? 1 + ES_WAY_SCATTER : -1;
}

const double *es_map_limits(es_map_kind kind, size_t *n) {
#define LIMITS(array) (*n = COUNT(array), array)
  switch (kind) {
  case ES_MAP_LEVEL: return LIMITS(LEVEL_FROM_DB);
  case ES_MAP_HEARD: return LIMITS(HEARD_FROM_PERCENT);
  case ES_MAP_LOSS: return LIMITS(LOSS_FROM_DB);
  case ES_MAP_CLEARANCE: return LIMITS(CLEARANCE_FROM_ZONES);
  case ES_MAP_DIFFERENCE: return LIMITS(DIFFERENCE_FROM_DB);
  case ES_MAP_WAY: break;
  }
  *n = 0;
  return NULL;
#undef LIMITS
}

static int limits_reached(es_map_kind kind, double value) {
  size_t n;
  const double *from = es_map_limits(kind, &n);
  int k = 0;
  while ((size_t)k < n && value >= from[k]) k++;
  return k;
}

/* The two arms of a difference mirror each other about "no change". */
int es_map_class(es_map_kind kind, double value) {
  if (isnan(value)) return -1;
  if (kind == ES_MAP_WAY) return way_class(value);
  if (kind != ES_MAP_DIFFERENCE) return limits_reached(kind, value);
  int steps = limits_reached(kind, fabs(value));
  return value < 0.0 ? 3 - steps : 3 + steps;
}

const es_map_step *es_map_steps(es_map_kind kind, size_t *n) {
#define STEPS(array) (*n = COUNT(array), array)
  switch (kind) {
  case ES_MAP_LEVEL: return STEPS(LEVEL_STEPS);
  case ES_MAP_HEARD: return STEPS(HEARD_STEPS);
  case ES_MAP_WAY: return STEPS(WAY_STEPS);
  case ES_MAP_LOSS: return STEPS(LOSS_STEPS);
  case ES_MAP_CLEARANCE: return STEPS(CLEARANCE_STEPS);
  case ES_MAP_DIFFERENCE: break;
  }
  return STEPS(DIFFERENCE_STEPS);
#undef STEPS
}

const char *es_map_quantity(es_map_kind kind) {
  switch (kind) {
  case ES_MAP_LEVEL: return "Signal over noise in 2500 Hz, dB";
  case ES_MAP_HEARD: return "Share of the year heard";
  case ES_MAP_WAY: return "What carries the signal";
  case ES_MAP_LOSS: return "Loss on the way, dB";
  case ES_MAP_CLEARANCE: return "Room around the sight line, zones";
  case ES_MAP_DIFFERENCE: break;
  }
  return "Change of level, dB";
}

static es_map_paint bare_paint(const es_palette *p) {
  es_rgb land = p->paper[ES_PAPER_LAND], sea = p->paper[ES_PAPER_SEA];
  return (es_map_paint){land, sea, ES_TEXTURE_NONE, land, sea, true};
}

static es_map_paint plain_paint(es_rgb land, es_rgb sea) {
  return (es_map_paint){land, sea, ES_TEXTURE_NONE, land, sea, false};
}

static es_map_paint textured_paint(es_rgb land, es_rgb sea, es_texture texture, double lighter) {
  return (es_map_paint){land, sea, texture, es_rgb_lighter(land, lighter), es_rgb_lighter(sea, lighter), false};
}

static void way_paints(const es_palette *p, es_map_paint paints[]) {
  static const es_texture TEXTURE[] = {ES_TEXTURE_NONE, ES_TEXTURE_DOTS, ES_TEXTURE_LEVEL, ES_TEXTURE_DASHES};
  static const double LIGHTER[] = {0.0, 0.16, -0.12, 0.15};
  paints[0] = bare_paint(p);
  for (int k = 0; k < 4; k++) paints[1 + k] = textured_paint(p->way[k], p->way_sea[k], TEXTURE[k], LIGHTER[k]);
}

/* Lost is hatched, since both arms have the same lightness; the darkest step is hatched in a lighter tone. */
static void difference_paints(const es_palette *p, es_map_paint paints[]) {
  for (int k = 0; k < 7; k++) {
    es_rgb land = p->difference[k], sea = es_palette_at_sea(p, land);
    paints[k] = k < 3 ? textured_paint(land, sea, ES_TEXTURE_LOST, k == 0 ? 0.13 : -0.13) : plain_paint(land, sea);
  }
}

static void ramp_paints(const es_palette *p, es_map_paint paints[]) {
  for (int k = 0; k < 7; k++) {
    es_rgb land = es_ramp_at(p->level_ramp, 9, k / 6.0);
    paints[k] = plain_paint(land, es_palette_at_sea(p, land));
  }
}

void es_map_paints(const es_palette *p, es_map_kind kind, es_map_paint paints[ES_MAP_CLASSES_MAX]) {
  for (int k = 0; k < ES_MAP_CLASSES_MAX; k++) paints[k] = bare_paint(p);
  switch (kind) {
  case ES_MAP_LEVEL:
    for (int k = 0; k < 6; k++) paints[1 + k] = plain_paint(p->level[k], p->level_sea[k]);
    break;
  case ES_MAP_HEARD:
    for (int k = 0; k < 5; k++) paints[1 + k] = plain_paint(p->heard[k], p->heard_sea[k]);
    break;
  case ES_MAP_WAY: way_paints(p, paints); break;
  case ES_MAP_LOSS:
  case ES_MAP_CLEARANCE: ramp_paints(p, paints); break;
  case ES_MAP_DIFFERENCE: difference_paints(p, paints); break;
  }
}
