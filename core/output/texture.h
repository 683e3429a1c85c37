/* texture.h - the second channel of a colour: patterns of thin strokes, so that a grey print still tells what is what.
 *
 * A texture is a function of the place on the sheet; map and key ask the same one, so they always agree.                */
#ifndef EARSHOT_OUTPUT_TEXTURE_H
#define EARSHOT_OUTPUT_TEXTURE_H

typedef enum es_texture {
  ES_TEXTURE_NONE,
  ES_TEXTURE_NO_DATA, /* rising lines, 1.5 px every 9 px */
  ES_TEXTURE_LOST,    /* falling lines, 1 px every 7 px */
  ES_TEXTURE_DOTS,    /* 2 px dots, 6 px grid, staggered: trees */
  ES_TEXTURE_LEVEL,   /* level lines, 1 px every 7 px: ducting */
  ES_TEXTURE_DASHES   /* falling dashes 6 px in 20 x 10 px bricks: troposcatter */
} es_texture;

/* How much of the pixel around (x, y) the texture's ink covers, 0..1. Units: px at scale 1; pixel_px: a pixel's side. */
double es_texture_cover(es_texture texture, double x, double y, double pixel_px);

#endif
