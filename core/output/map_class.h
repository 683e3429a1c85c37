/* map_class.h - what a map shows, its steps, their words, colours and textures.
 *
 * The steps of "heard" are even in the normal deviate (1, 10, 50, 90, 99 %); those of "level" are what the modes need.   */
#ifndef EARSHOT_OUTPUT_MAP_CLASS_H
#define EARSHOT_OUTPUT_MAP_CLASS_H

#include <stddef.h>

#include "output/palette.h"
#include "output/texture.h"

typedef enum es_map_kind {
  ES_MAP_LEVEL,     /* SNR in 2500 Hz, dB */
  ES_MAP_HEARD,     /* share of the year heard, percent */
  ES_MAP_WAY,       /* ES_SURFACE, ES_DUCT, ES_SCATTER as numbers 1, 2, 4; + ES_MAP_TREES; 0: none */
  ES_MAP_LOSS,      /* basic transmission loss, dB */
  ES_MAP_CLEARANCE, /* path clearance, first Fresnel zones */
  ES_MAP_DIFFERENCE /* dB, one scenario minus another */
} es_map_kind;

/* Added to ES_SURFACE where the wave passes over or through trees on its way. */
enum { ES_MAP_TREES = 8 };
enum { ES_MAP_CLASSES_MAX = 7 };

/* Shapes of the listeners' marks; the filled ones hear it more than half the year. */
typedef enum es_mark_shape {
  ES_MARK_DISC,
  ES_MARK_SQUARE,
  ES_MARK_TRIANGLE,
  ES_MARK_DIAMOND,       /* open */
  ES_MARK_TRIANGLE_DOWN, /* open */
  ES_MARK_RING,          /* open */
  ES_MARK_SALTIRE,
  ES_MARK_DASH /* no answer */
} es_mark_shape;

typedef struct es_map_step {
  const char *word;  /* "nearly always" */
  const char *range; /* as written in the key; of a way: what it means */
  es_mark_shape shape;
} es_map_step;

/* Class of a value: 0 is the lowest ("not heard", "no mode"), NaN (and a way unknown) gives -1. A value on an edge
 * belongs to the class above it; a loss against another scenario (difference < 0) to the one that lost more. */
int es_map_class(es_map_kind kind, double value);

/* The classes of a kind from lowest to highest; *n of them. */
const es_map_step *es_map_steps(es_map_kind kind, size_t *n);
/* Least value of each class but the lowest; *n of them. NULL where classes have no order (ways). Of a difference: of its
 * amount, the classes on both sides of "no change". */
const double *es_map_limits(es_map_kind kind, size_t *n);
const char *es_map_quantity(es_map_kind kind); /* heading of the key: "Share of the year heard" */

/* How a class is drawn. bare: no fill, land and sea as they are. */
typedef struct es_map_paint {
  es_rgb land, sea;
  es_texture texture;
  es_rgb texture_land, texture_sea;
  bool bare;
} es_map_paint;
void es_map_paints(const es_palette *palette, es_map_kind kind, es_map_paint paints[ES_MAP_CLASSES_MAX]);

#endif
