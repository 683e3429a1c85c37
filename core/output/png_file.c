#include "output/png_file.h"

#include <errno.h>
#include <png.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "output/files.h"

enum { KEY_BYTES = 80 };

typedef struct writer {
  const es_picture *picture;
  FILE *file;
  png_text *texts;
  char (*keys)[KEY_BYTES];
  png_byte *row;
  char detail[120];
} writer;

static void failed(png_structp png, png_const_charp message) {
  writer *w = png_get_error_ptr(png);
  snprintf(w->detail, sizeof w->detail, "%s", message);
  longjmp(png_jmpbuf(png), 1);
}

static void warned(png_structp png, png_const_charp message) {
  (void)png;
  (void)message;
}

/* A keyword is 1 to 79 printable bytes without blanks at its ends. */
static void copy_key(char out[KEY_BYTES], const char *key) {
  size_t n = 0;
  for (; *key != '\0' && n < KEY_BYTES - 1; key++)
    if ((*key > ' ' && *key <= '~') || (*key == ' ' && n > 0)) out[n++] = *key;
  while (n > 0 && out[n - 1] == ' ') n--;
  out[n] = '\0';
  if (n == 0) strcpy(out, "Note");
}

static bool prepare(writer *w) {
  const es_picture *p = w->picture;
  w->row = malloc(3 * (size_t)p->width);
  w->texts = calloc(p->n_texts + 1, sizeof *w->texts);
  w->keys = calloc(p->n_texts + 1, sizeof *w->keys);
  if (w->row == NULL || w->texts == NULL || w->keys == NULL) return false;
  for (size_t i = 0; i < p->n_texts; i++) {
    copy_key(w->keys[i], p->keys[i]);
    w->texts[i] = (png_text){.compression = PNG_ITXT_COMPRESSION_NONE,
                             .key = w->keys[i],
                             .text = (char *)(uintptr_t)p->texts[i],
                             .itxt_length = strlen(p->texts[i])};
  }
  return true;
}

static void release(writer *w) {
  free(w->row);
  free(w->texts);
  free(w->keys);
}

static void fill_row(png_byte *row, const unsigned char *pixels, int width) {
  for (int x = 0; x < width; x++) {
    uint32_t pixel;
    memcpy(&pixel, pixels + 4 * (size_t)x, sizeof pixel);
    row[3 * x] = (png_byte)(pixel >> 16 & 255);
    row[3 * x + 1] = (png_byte)(pixel >> 8 & 255);
    row[3 * x + 2] = (png_byte)(pixel & 255);
  }
}

static void put_head(png_structp png, png_infop info, const writer *w) {
  const es_picture *p = w->picture;
  png_set_IHDR(png, info, (png_uint_32)p->width, (png_uint_32)p->height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
  png_set_pHYs(png, info, p->pixels_per_m, p->pixels_per_m, PNG_RESOLUTION_METER);
  if (p->n_texts > 0) png_set_text(png, info, w->texts, (int)p->n_texts);
  png_set_compression_level(png, 3);                          /* a third of the time of 6 for a tenth more at most */
  png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_NONE); /* flat colours pack best as they are */
  png_write_info(png, info);
}

/* libpng reports by longjmp; nothing here is changed between setjmp and a jump. */
static bool put_picture(png_structp png, png_infop info, writer *w) {
  if (setjmp(png_jmpbuf(png)) != 0) return false;
  png_init_io(png, w->file);
  put_head(png, info, w);
  for (int y = 0; y < w->picture->height; y++) {
    fill_row(w->row, w->picture->pixels + (size_t)y * w->picture->row_bytes, w->picture->width);
    png_write_row(png, w->row);
  }
  png_write_end(png, NULL);
  return true;
}

static bool put_file(writer *w) {
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, w, failed, warned);
  png_infop info = png != NULL ? png_create_info_struct(png) : NULL;
  bool ok = info != NULL && put_picture(png, info, w);
  png_destroy_write_struct(&png, &info);
  return ok;
}

static bool write_to(const char *temporary, writer *w) {
  w->file = fopen(temporary, "wb");
  if (w->file == NULL) {
    snprintf(w->detail, sizeof w->detail, "%s", strerror(errno));
    return false;
  }
  bool ok = put_file(w);
  if (fclose(w->file) != 0 && ok) {
    snprintf(w->detail, sizeof w->detail, "%s", strerror(errno));
    ok = false;
  }
  return ok;
}

int32_t es_png_write(const char *path, const es_picture *picture, es_error *err) {
  writer w = {.picture = picture, .detail = "out of memory"};
  char *temporary = es_file_begin(path);
  if (temporary == NULL) return es_fail(err, ES_E_FILE, "%s: cannot be written (%s)", path, strerror(errno));
  int32_t status;
  if (prepare(&w) && write_to(temporary, &w)) {
    status = es_file_finish(temporary, path, err);
  } else {
    status = es_fail(err, ES_E_FILE, "%s: cannot be written as PNG (%s)", path, w.detail);
    es_file_abandon(temporary);
  }
  release(&w);
  free(temporary);
  return status;
}
