#include "output/page.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/files.h"
#include "output/palette.h"

enum { TEXT_WIDTH = 100, NAME_WIDTH = 28 };

/* --- gathering ----------------------------------------------------------------------------------------------------- */

static const char *kept(es_page *page, const char *format, va_list args) {
  va_list again;
  va_copy(again, args);
  int n = vsnprintf(NULL, 0, format, again);
  va_end(again);
  char *text = n >= 0 ? es_arena_get(page->arena, (size_t)n + 1) : NULL;
  if (text == NULL) return NULL;
  vsnprintf(text, (size_t)n + 1, format, args);
  return text;
}

static void add(es_page *page, es_page_part part, const char *name, const char *text) {
  if (page->n == ES_PAGE_ITEMS || text == NULL) {
    page->full = true;
    return;
  }
  page->items[page->n++] = (es_page_item){part, name, text};
}

void es_page_begin(es_page *page, es_arena *arena, const char *eyebrow, const char *title) {
  *page = (es_page){.arena = arena, .eyebrow = eyebrow, .title = title};
}

void es_page_heading(es_page *page, const char *text) { add(page, ES_PAGE_HEADING, NULL, text); }

#define GATHER(part, name)                                                                                             \
  va_list args;                                                                                                        \
  va_start(args, format);                                                                                              \
  const char *text = kept(page, format, args);                                                                         \
  va_end(args);                                                                                                        \
  add(page, (part), (name), text)

void es_page_row(es_page *page, const char *name, const char *format, ...) { GATHER(ES_PAGE_ROW, name); }
void es_page_sentence(es_page *page, const char *format, ...) { GATHER(ES_PAGE_SENTENCE, NULL); }
void es_page_caution(es_page *page, const char *format, ...) { GATHER(ES_PAGE_CAUTION, NULL); }

/* --- text ---------------------------------------------------------------------------------------------------------- */

/* Words from column `indent`, broken before TEXT_WIDTH; the first line begins where the pen stands. */
static void wrap(FILE *out, const char *text, int indent) {
  int column = indent;
  for (const char *word = text; *word != '\0';) {
    size_t n = strcspn(word, " ");
    if (column > indent && column + 1 + (int)n > TEXT_WIDTH) {
      fprintf(out, "\n%*s", indent, "");
      column = indent;
    } else if (column > indent) {
      fputc(' ', out);
      column++;
    }
    fwrite(word, 1, n, out);
    column += (int)n;
    word += n + strspn(word + n, " ");
  }
  fputc('\n', out);
}

static void text_item(FILE *out, const es_page_item *item) {
  switch (item->part) {
  case ES_PAGE_HEADING: fprintf(out, "\n%s\n", item->text); return;
  case ES_PAGE_ROW:
    fprintf(out, "  %-*s", NAME_WIDTH - 2, item->name);
    if (strlen(item->name) > NAME_WIDTH - 3) fprintf(out, "\n%*s", NAME_WIDTH, "");
    wrap(out, item->text, NAME_WIDTH);
    return;
  case ES_PAGE_CAUTION:
    fputs("  ! ", out);
    wrap(out, item->text, 4);
    return;
  case ES_PAGE_SENTENCE:
  default: fputs("  ", out); wrap(out, item->text, 2);
  }
}

static void text_page(FILE *out, const es_page *page) {
  fprintf(out, "%s\n%s\n", page->eyebrow, page->title);
  for (size_t i = 0; i < page->n; i++) text_item(out, &page->items[i]);
}

/* --- HTML ---------------------------------------------------------------------------------------------------------- */

static void escaped(FILE *out, const char *text) {
  for (; *text != '\0'; text++) {
    const char *as = *text == '&'   ? "&amp;"
                     : *text == '<' ? "&lt;"
                     : *text == '>' ? "&gt;"
                     : *text == '"' ? "&quot;"
                                    : NULL;
    if (as != NULL)
      fputs(as, out);
    else
      fputc(*text, out);
  }
}

static void colours(FILE *out, const es_rgb page[ES_PAGES]) {
  static const char *const names[ES_PAGES] = {"page",        "sheet",      "ink",         "ink-2", "rule",
                                              "edge",        "accent",     "accent-soft", "band",  "band-edge",
                                              "caution-ink", "caution-bg", "caution-edge"};
  for (int i = 0; i < ES_PAGES; i++) fprintf(out, "--%s:#%02X%02X%02X;", names[i], page[i].r, page[i].g, page[i].b);
}

static void style(FILE *out, const es_palette *palette) {
  fputs("<style>\n:root{color-scheme:light dark;", out);
  colours(out, palette->page_light);
  fputs("}\n@media (prefers-color-scheme:dark){:root{", out);
  colours(out, palette->page_dark);
  fputs("}}\n"
        "body{margin:0 auto;padding:24px 32px;max-width:46rem;background:var(--page);color:var(--ink);"
        "font:16px/1.55 \"DejaVu Sans\",\"Noto Sans\",system-ui,sans-serif}\n"
        "h1,h2{font-family:\"DejaVu Serif\",\"Noto Serif\",Georgia,serif;font-weight:400;line-height:1.25}\n"
        "h1{font-size:30px;margin:.2em 0}h2{font-size:22px;margin:1.6em 0 .4em}\n"
        ".eyebrow{font-size:13px;font-weight:700;letter-spacing:.05em;color:var(--ink-2);margin:0}\n"
        "table{border-collapse:collapse;width:100%}th,td{text-align:left;vertical-align:top;padding:4px 12px 4px 0;"
        "border-bottom:1px solid var(--rule)}th{width:34%;font-weight:400;color:var(--ink-2)}\n"
        "p{max-width:66ch}.caution{background:var(--caution-bg);color:var(--caution-ink);"
        "border-left:5px solid var(--caution-edge);padding:8px 12px}\n"
        "@media (max-width:600px){body{padding:16px}h1{font-size:27px}}\n"
        "@media print{@page{size:A4;margin:15mm}body{padding:0;max-width:none}tr,p{break-inside:avoid}"
        ".caution{print-color-adjust:exact}}\n</style>\n",
        out);
}

static void html_item(FILE *out, const es_page_item *item, bool *in_table) {
  bool row = item->part == ES_PAGE_ROW;
  if (row && !*in_table) fputs("<table>\n", out);
  if (!row && *in_table) fputs("</table>\n", out);
  *in_table = row;
  switch (item->part) {
  case ES_PAGE_ROW:
    fputs("<tr><th scope=\"row\">", out);
    escaped(out, item->name);
    fputs("</th><td>", out);
    escaped(out, item->text);
    fputs("</td></tr>\n", out);
    return;
  case ES_PAGE_HEADING: fputs("<h2>", out); break;
  case ES_PAGE_CAUTION: fputs("<p class=\"caution\">", out); break;
  case ES_PAGE_SENTENCE:
  default: fputs("<p>", out);
  }
  escaped(out, item->text);
  fputs(item->part == ES_PAGE_HEADING ? "</h2>\n" : "</p>\n", out);
}

static void html_page(FILE *out, const es_page *page, const es_palette *palette) {
  bool in_table = false;
  fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<title>",
        out);
  escaped(out, page->title);
  fputs("</title>\n", out);
  style(out, palette);
  fputs("</head>\n<body>\n<p class=\"eyebrow\">", out);
  escaped(out, page->eyebrow);
  fputs("</p>\n<h1>", out);
  escaped(out, page->title);
  fputs("</h1>\n", out);
  for (size_t i = 0; i < page->n; i++) html_item(out, &page->items[i], &in_table);
  fputs(in_table ? "</table>\n</body>\n</html>\n" : "</body>\n</html>\n", out);
}

/* --- files --------------------------------------------------------------------------------------------------------- */

static int32_t write_page(const char *path, const es_page *page, const es_palette *palette, es_error *err) {
  char *bytes = NULL;
  size_t n = 0;
  FILE *out = page->full ? NULL : open_memstream(&bytes, &n);
  if (out == NULL) return es_fail(err, ES_E_MEMORY, "%s: the page is too long or memory is short", path);
  if (palette != NULL)
    html_page(out, page, palette);
  else
    text_page(out, page);
  bool ok = fclose(out) == 0;
  int32_t status = ok ? es_file_write(path, bytes, n, err) : es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  free(bytes);
  return status;
}

int32_t es_page_write_text(const char *path, const es_page *page, es_error *err) {
  return write_page(path, page, NULL, err);
}

int32_t es_page_write_html(const char *path, const es_page *page, es_error *err) {
  es_palette palette;
  int32_t status = es_palette_load(&palette, err);
  return status == 0 ? write_page(path, page, &palette, err) : status;
}
