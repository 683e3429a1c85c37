/* png_file.h - a picture as PNG: RGB, 8 bit, no alpha; sRGB, pHYs and iTXt chunks, no time [libpng]. */
#ifndef EARSHOT_OUTPUT_PNG_FILE_H
#define EARSHOT_OUTPUT_PNG_FILE_H

#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

typedef struct es_picture {
  const unsigned char *pixels; /* rows of native-endian 0x00RRGGBB, as cairo's RGB24 */
  int width, height;
  size_t row_bytes;
  uint32_t pixels_per_m;
  const char *const *keys, *const *texts; /* UTF-8; keys are cut at the 79 bytes the format allows */
  size_t n_texts;
} es_picture;

int32_t es_png_write(const char *path, const es_picture *picture, es_error *err);

#endif
