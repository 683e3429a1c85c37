#include "output/page.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/files.h"
#include "output/markup.h"
#include "output/palette.h"

enum { FILE_WIDTH = 100, NAME_WIDTH = 28 };

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
void es_page_safety_heading(es_page *page, const char *text) { add(page, ES_PAGE_SAFETY, NULL, text); }

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

/* Words from column `indent`, broken before `width`; the first line begins where the pen stands. */
static void wrap(FILE *out, const char *text, int indent, int width) {
  int column = indent;
  for (const char *word = text; *word != '\0';) {
    size_t n = strcspn(word, " ");
    if (column > indent && column + 1 + (int)n > width) {
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

static void text_item(FILE *out, const es_page_item *item, int width) {
  switch (item->part) {
  case ES_PAGE_HEADING:
  case ES_PAGE_SAFETY: fprintf(out, "\n%s\n", item->text); return;
  case ES_PAGE_ROW:
    fprintf(out, "  %-*s", NAME_WIDTH - 2, item->name);
    if (strlen(item->name) > NAME_WIDTH - 3) fprintf(out, "\n%*s", NAME_WIDTH, "");
    wrap(out, item->text, NAME_WIDTH, width);
    return;
  case ES_PAGE_CAUTION:
    fputs("  ! ", out);
    wrap(out, item->text, 4, width);
    return;
  case ES_PAGE_SENTENCE:
  default: fputs("  ", out); wrap(out, item->text, 2, width);
  }
}

static void text_page(FILE *out, const es_page *page, int width) {
  fprintf(out, "%s\n%s\n", page->eyebrow, page->title);
  for (size_t i = 0; i < page->n; i++) text_item(out, &page->items[i], width);
}

/* --- HTML ---------------------------------------------------------------------------------------------------------- */

static void style(FILE *out, const es_palette *palette) {
  fputs("<style>\n:root{color-scheme:light dark;", out);
  es_palette_put_page(out, palette->page_light);
  fputs("}\n@media (prefers-color-scheme:dark){:root{", out);
  es_palette_put_page(out, palette->page_dark);
  fputs("}}\n"
        "body{margin:0 auto;padding:24px 32px;max-width:46rem;background:var(--page);color:var(--ink);"
        "font:16px/1.55 \"DejaVu Sans\",\"Noto Sans\",system-ui,sans-serif}\n"
        "h1,h2{font-family:\"DejaVu Serif\",\"Noto Serif\",Georgia,serif;font-weight:400;line-height:1.25}\n"
        "h1{font-size:30px;margin:.2em 0}h2{font-size:22px;margin:1.6em 0 .4em}\n"
        ".eyebrow{font-size:13px;font-weight:700;letter-spacing:.05em;color:var(--ink-2);margin:0}\n"
        "table{border-collapse:collapse;width:100%}th,td{text-align:left;vertical-align:top;padding:4px 12px 4px 0;"
        "border-bottom:1px solid var(--rule)}th{width:34%;font-weight:400;color:var(--ink-2)}\n"
        "p{max-width:66ch}.caution{background:var(--caution-bg);color:var(--caution-ink);"
        "border-left:5px solid var(--caution-edge);padding:8px 12px}"
        ".safety{display:grid;grid-template-columns:28px minmax(0,1fr);gap:14px;padding:16px 20px;margin:24px 0}"
        ".safety h2{margin-top:0}.safety th{color:inherit}.safety th,.safety td{border-color:var(--caution-edge)}"
        ".safety p{margin:8px 0 0}"
        ".vh{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}\n"
        "@media (max-width:600px){body{padding:16px}h1{font-size:27px}}\n"
        "@media print{@page{size:A4;margin:15mm}body{padding:0;max-width:none}tr,p,.safety{break-inside:avoid}"
        ".caution{print-color-adjust:exact}}\n</style>\n",
        out);
}

/* What is open while items are written. */
typedef struct open_parts {
  bool table, safety;
  const char *heading; /* names the tables under it */
} open_parts;

static void shut_table(FILE *out, open_parts *open) {
  if (open->table) fputs("</table>\n", out);
  open->table = false;
}

static void shut_all(FILE *out, open_parts *open) {
  shut_table(out, open);
  if (open->safety) fputs("</div></section>\n", out);
  open->safety = false;
}

static void put_heading(FILE *out, const es_page_item *item, int level, open_parts *open) {
  shut_all(out, open);
  open->safety = item->part == ES_PAGE_SAFETY;
  open->heading = item->text;
  if (open->safety)
    fputs(
        "<section class=\"caution safety\"><svg width=\"28\" height=\"28\" viewBox=\"0 0 28 28\" aria-hidden=\"true\">"
        "<path d=\"M14 3L26 25H2Z\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"2.4\" "
        "stroke-linejoin=\"round\"/><path d=\"M14 11v7M14 20.6v2\" stroke=\"currentColor\" stroke-width=\"2.6\"/>"
        "</svg><div><span class=\"vh\">Caution</span>",
        out);
  fprintf(out, "<h%d>", level);
  es_put_markup(out, item->text);
  fprintf(out, "</h%d>\n", level);
}

static void put_row(FILE *out, const es_page_item *item, open_parts *open) {
  if (!open->table) {
    fputs("<table aria-label=\"", out);
    es_put_markup(out, open->heading);
    fputs("\">\n", out);
  }
  open->table = true;
  fputs("<tr><th scope=\"row\">", out);
  es_put_markup(out, item->name);
  fputs("</th><td>", out);
  es_put_markup(out, item->text);
  fputs("</td></tr>\n", out);
}

/* Inside the safety block a caution is a paragraph of it. */
static void put_paragraph(FILE *out, const es_page_item *item, open_parts *open) {
  shut_table(out, open);
  fputs(item->part == ES_PAGE_CAUTION && !open->safety ? "<p class=\"caution\">" : "<p>", out);
  es_put_markup(out, item->text);
  fputs("</p>\n", out);
}

void es_page_put_html(FILE *out, const es_page *page, int level) {
  open_parts open = {0};
  for (size_t i = 0; i < page->n; i++) {
    const es_page_item *item = &page->items[i];
    if (item->part == ES_PAGE_ROW)
      put_row(out, item, &open);
    else if (item->part == ES_PAGE_HEADING || item->part == ES_PAGE_SAFETY)
      put_heading(out, item, level, &open);
    else
      put_paragraph(out, item, &open);
  }
  shut_all(out, &open);
}

static void html_page(FILE *out, const es_page *page, const es_palette *palette) {
  fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<title>",
        out);
  es_put_markup(out, page->title);
  fputs("</title>\n", out);
  style(out, palette);
  fputs("</head>\n<body>\n<p class=\"eyebrow\">", out);
  es_put_markup(out, page->eyebrow);
  fputs("</p>\n<h1>", out);
  es_put_markup(out, page->title);
  fputs("</h1>\n", out);
  es_page_put_html(out, page, 2);
  fputs("</body>\n</html>\n", out);
}

/* --- files --------------------------------------------------------------------------------------------------------- */

char *es_page_text(const es_page *page, int width) {
  char *bytes = NULL;
  size_t n = 0;
  FILE *out = page->full ? NULL : open_memstream(&bytes, &n);
  if (out == NULL) return NULL;
  text_page(out, page, width);
  if (fclose(out) == 0) return bytes;
  free(bytes);
  return NULL;
}

static int32_t write_page(const char *path, const es_page *page, const es_palette *palette, es_error *err) {
  char *bytes = NULL;
  size_t n = 0;
  FILE *out = page->full ? NULL : open_memstream(&bytes, &n);
  if (out == NULL) return es_fail(err, ES_E_MEMORY, "%s: the page is too long or memory is short", path);
  if (palette != NULL)
    html_page(out, page, palette);
  else
    text_page(out, page, FILE_WIDTH);
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
