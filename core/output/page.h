/* page.h - a page of headings, named values and sentences, written as plain text and as HTML that needs nothing else. */
#ifndef EARSHOT_OUTPUT_PAGE_H
#define EARSHOT_OUTPUT_PAGE_H

#include <stdbool.h>
#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"

/* A safety heading opens a block that is seen as a caution, up to the next heading. */
typedef enum es_page_part {
  ES_PAGE_HEADING,
  ES_PAGE_SAFETY,
  ES_PAGE_ROW,
  ES_PAGE_SENTENCE,
  ES_PAGE_CAUTION
} es_page_part;

typedef struct es_page_item {
  es_page_part part;
  const char *name, *text; /* name: of a row */
} es_page_item;

enum { ES_PAGE_ITEMS = 160 };
typedef struct es_page {
  es_arena *arena; /* behind all texts */
  const char *eyebrow, *title;
  es_page_item items[ES_PAGE_ITEMS];
  size_t n;
  bool full; /* something was left out: no room, no memory */
} es_page;

void es_page_begin(es_page *page, es_arena *arena, const char *eyebrow, const char *title);
void es_page_heading(es_page *page, const char *text);
void es_page_safety_heading(es_page *page, const char *text);
void es_page_row(es_page *page, const char *name, const char *format, ...) __attribute__((format(printf, 3, 4)));
void es_page_sentence(es_page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
void es_page_caution(es_page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Lines of at most `width` characters, 40 or more, unless a word is longer; the caller frees. NULL when the page is too long or
 * memory is short. */
char *es_page_text(const es_page *page, int width);
/* Lines of at most 100. */
int32_t es_page_write_text(const char *path, const es_page *page, es_error *err);
/* One file, no request leaves it; light and dark by the reader's preference; prints on A4. */
int32_t es_page_write_html(const char *path, const es_page *page, es_error *err);
/* Its parts as HTML inside another page, headings at the level given (2 to 5). */
void es_page_put_html(FILE *out, const es_page *page, int level);

#endif
