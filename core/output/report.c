#include "output/report.h"

#include <errno.h>
#include <glib.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <zlib.h>

#include "output/files.h"
#include "output/markup.h"
#include "output/palette.h"
#include "output/report_parts.h"

extern const char es_report_page[], es_report_css[], es_report_js[];

/* --- text ------------------------------------------------------------------------------------------------------------------ */

/* Inside a script element nothing may look like an end of it or like a comment. */
static bool put_json(FILE *out, const json_t *data) {
  char *text = json_dumps(data, JSON_COMPACT | JSON_REAL_PRECISION(8));
  for (const char *c = text; c != NULL && *c != '\0'; c++)
    if (*c == '<')
      fputs("\\u003c", out);
    else
      fputc(*c, out);
  bool ok = text != NULL;
  free(text);
  return ok;
}

/* --- what is carried inside ----------------------------------------------------------------------------------------------------- */

static char *packed_grid(const es_report_grid *grid) {
  uLong n = (uLong)grid->side * (uLong)grid->side;
  uLongf room = compressBound(n);
  uint8_t *deflated = malloc(room);
  char *text = NULL;
  if (deflated != NULL && compress2(deflated, &room, grid->bytes, n, 9) == Z_OK) text = g_base64_encode(deflated, room);
  free(deflated);
  return text;
}

/* NULL with *whole false when it cannot be read. */
static char *packed_picture(const char *path, bool *whole) {
  gchar *bytes = NULL;
  gsize n;
  char *text = NULL;
  if (g_file_get_contents(path, &bytes, &n, NULL)) text = g_base64_encode((const guchar *)bytes, n);
  g_free(bytes);
  *whole &= text != NULL;
  return text;
}

/* So many things of one kind, of one scenario, found no room. */
typedef struct left_group {
  const char *kind, *of;
  size_t n;
} left_group;

typedef struct carried {
  char **grids, **pictures;
  size_t used, max;
  json_t *left_out;
  left_group *groups;
  size_t n_groups;
} carried;

static bool same_text(const char *a, const char *b) { return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0); }

static void count_left(carried *c, const char *kind, const char *of) {
  left_group *last = c->n_groups > 0 ? &c->groups[c->n_groups - 1] : NULL;
  if (last == NULL || !same_text(last->kind, kind) || !same_text(last->of, of))
    c->groups[c->n_groups++] = (left_group){kind, of, 0};
  c->groups[c->n_groups - 1].n++;
}

/* Takes the room of a text, with the element round it, when there is as much. */
static bool take_room(carried *c, size_t text_bytes) {
  size_t n = text_bytes + 128;
  if (c->used + n > c->max) return false;
  c->used += n;
  return true;
}

static void leave_out(carried *c, const char *id, const char *kind, const char *of) {
  json_array_append_new(c->left_out, json_string_nocheck(id));
  count_left(c, kind, of);
}

static bool carry_grid(const es_report *r, size_t i, carried *c) {
  char *text = packed_grid(&r->grids[i]);
  if (text == NULL) return false;
  if (take_room(c, strlen(text))) {
    c->grids[i] = text;
    return true;
  }
  g_free(text);
  leave_out(c, r->grids[i].id, "layer", r->grids[i].of);
  return true;
}

/* What finds no room is not read: thousands of listeners have thousands of pictures. Not every run draws every picture. */
static void carry_picture(const es_report *r, size_t i, carried *c, bool *whole) {
  const es_report_picture *p = &r->pictures[i];
  struct stat file;
  if (stat(p->path, &file) != 0) {
    *whole &= errno == ENOENT;
    return;
  }
  if (take_room(c, 4 * (((size_t)file.st_size + 2) / 3)))
    c->pictures[i] = packed_picture(p->path, whole);
  else
    leave_out(c, p->id, p->kind, p->of);
}

/* The map that needs no script, then the layers, then the other pictures, while there is room. */
static bool carry(const es_report *r, size_t used, carried *c) {
  *c = (carried){.grids = calloc(r->n_grids + 1, sizeof *c->grids),
                 .pictures = calloc(r->n_pictures + 1, sizeof *c->pictures),
                 .used = used,
                 .max = r->max_bytes,
                 .left_out = json_array(),
                 .groups = calloc(r->n_grids + r->n_pictures + 1, sizeof *c->groups)};
  if (c->grids == NULL || c->pictures == NULL || c->left_out == NULL || c->groups == NULL) return false;
  bool whole = true;
  if (r->n_pictures > 0) carry_picture(r, 0, c, &whole);
  for (size_t i = 0; i < r->n_grids; i++)
    if (!carry_grid(r, i, c)) return false;
  for (size_t i = 1; i < r->n_pictures; i++) carry_picture(r, i, c, &whole);
  return whole && json_object_set(r->data, "left_out", c->left_out) == 0;
}

static void release(const es_report *r, carried *c) {
  for (size_t i = 0; c->grids != NULL && i < r->n_grids; i++) g_free(c->grids[i]);
  for (size_t i = 0; c->pictures != NULL && i < r->n_pictures; i++) g_free(c->pictures[i]);
  free(c->grids);
  free(c->pictures);
  free(c->groups);
  json_decref(c->left_out);
}

static void put_carried(FILE *out, const es_report *r, const carried *c) {
  for (size_t i = 0; i < r->n_grids; i++)
    if (c->grids[i] != NULL)
      fprintf(out, "<script type=\"text/plain\" id=\"g-%s\" data-side=\"%d\">%s</script>\n", r->grids[i].id,
              r->grids[i].side, c->grids[i]);
  for (size_t i = 1; i < r->n_pictures; i++)
    if (c->pictures[i] != NULL)
      fprintf(out, "<script type=\"text/plain\" id=\"p-%s\">%s</script>\n", r->pictures[i].id, c->pictures[i]);
}

/* --- colours --------------------------------------------------------------------------------------------------------------------- */

static void put_named(FILE *out, const char *name, es_rgb c) {
  fprintf(out, "--%s:#%02X%02X%02X;", name, c.r, c.g, c.b);
}

/* Pictures are paper: their colours are the light page's in both themes. */
static void put_colours(FILE *out, const es_palette *p) {
  fputs(":root{color-scheme:light dark;--plate:1;", out);
  es_palette_put_page(out, p->page_light);
  put_named(out, "paper", p->paper[ES_PAPER_SHEET]);
  put_named(out, "paper-ink", p->page_light[ES_PAGE_INK]);
  put_named(out, "paper-ink-2", p->page_light[ES_PAGE_INK_2]);
  put_named(out, "paper-rule", p->page_light[ES_PAGE_RULE]);
  put_named(out, "paper-accent", p->page_light[ES_PAGE_ACCENT]);
  put_named(out, "zone", p->profile[ES_PROFILE_ZONE]);
  put_named(out, "zone-edge", p->profile[ES_PROFILE_ZONE_EDGE]);
  put_named(out, "grid", p->profile[ES_PROFILE_GRID]);
  put_named(out, "gain", p->difference[5]);
  put_named(out, "loss", p->difference[1]);
  put_named(out, "loss-line", p->difference[0]);
  put_named(out, "land", p->paper[ES_PAPER_LAND]);
  put_named(out, "sea", p->paper[ES_PAPER_SEA]);
  put_named(out, "coast", p->paper[ES_PAPER_COAST]);
  put_named(out, "no-data", p->paper[ES_PAPER_NO_DATA]);
  fputs("}\n@media screen and (prefers-color-scheme:dark){:root{--plate:.9;", out);
  es_palette_put_page(out, p->page_dark);
  fputs("}}\n", out);
}

/* --- the page ---------------------------------------------------------------------------------------------------------------------- */

typedef struct page {
  const es_report *report;
  const carried *carried;
  const es_palette *palette;
} page;

static void put_map_picture(FILE *out, const page *p) {
  if (p->report->n_pictures == 0 || p->carried->pictures[0] == NULL) return;
  fprintf(out, "<img width=\"1600\" height=\"1212\" data-scenario=\"%lld\" alt=\"",
          (long long)json_integer_value(json_object_get(p->report->data, "shown_first")));
  es_put_markup(out, json_string_value(json_object_get(p->report->data, "map_alt")));
  fprintf(out, "\" src=\"data:image/png;base64,%s\">", p->carried->pictures[0]);
}

/* What found no room, in the order in which it would have been taken in. */
static void put_left_out(FILE *out, const page *p) {
  const carried *c = p->carried;
  if (c->n_groups == 0) return;
  fprintf(out, "<p id=\"left-out\">Left out, to keep this file within %.4g\u00a0MB: ", (double)c->max / 1e6);
  for (size_t i = 0; i < c->n_groups; i++) {
    const left_group *g = &c->groups[i];
    fprintf(out, "%s%zu %s%s", i > 0 ? "; " : "", g->n, g->kind, g->n == 1 ? "" : "s");
    if (g->of == NULL) continue;
    fputs(" of ", out);
    es_put_markup(out, g->of);
  }
  fputs(". They lie in the folder of the run. Taken in first is the map sheet of the scenario shown first, then all "
        "layers, that scenario's profiles, the other scenarios' sheets, then their profiles.</p>\n",
        out);
}

static void put_sheet(FILE *out, const es_page *sheet) {
  if (sheet == NULL) return;
  fputs("<section id=\"sheet\" aria-labelledby=\"h-s\"><h2 id=\"h-s\">", out);
  es_put_markup(out, sheet->title);
  fputs("</h2>\n<div class=\"card items\">", out);
  es_page_put_html(out, sheet, 3);
  fputs("</div></section>\n", out);
}

/* The template's {{words}}, one for each thing that is put in. */
static bool put_part(FILE *out, const page *p, const char *word, size_t n) {
  json_t *data = p->report->data;
#define IS(name) (n == sizeof(name) - 1 && memcmp(word, name, n) == 0)
  if (IS("colours"))
    put_colours(out, p->palette);
  else if (IS("css"))
    fputs(es_report_css, out);
  else if (IS("js"))
    fputs(es_report_js, out);
  else if (IS("json"))
    return put_json(out, data);
  else if (IS("carried"))
    put_carried(out, p->report, p->carried);
  else if (IS("map"))
    put_map_picture(out, p);
  else if (IS("answer"))
    es_report_put_answer(out, data);
  else if (IS("cautions"))
    es_report_put_cautions(out, data, SIZE_MAX);
  else if (IS("left_out"))
    put_left_out(out, p);
  else if (IS("table"))
    es_report_put_table(out, data);
  else if (IS("sheet"))
    put_sheet(out, p->report->sheet);
  else if (IS("title") || IS("who") || IS("foot"))
    es_put_markup(out, json_string_value(json_object_get(data, IS("title") ? "page_title"
                                                               : IS("who") ? "who"
                                                                           : "foot")));
  else
    return false;
#undef IS
  return true;
}

static bool put_page(FILE *out, const page *p) {
  for (const char *at = es_report_page; *at != '\0';) {
    const char *open = strstr(at, "{{"), *shut = open != NULL ? strstr(open, "}}") : NULL;
    if (shut == NULL) return fputs(at, out) >= 0;
    fwrite(at, 1, (size_t)(open - at), out);
    if (!put_part(out, p, open + 2, (size_t)(shut - open - 2))) return false;
    at = shut + 2;
  }
  return true;
}

/* What the page weighs before anything is carried: its text, the JSON, the table twice over. */
static size_t bare_size(const es_report *r) {
  size_t json = json_dumpb(r->data, NULL, 0, JSON_COMPACT | JSON_REAL_PRECISION(8));
  return strlen(es_report_page) + strlen(es_report_css) + strlen(es_report_js) + json + json / 4 + 65536;
}

int32_t es_report_write(const char *path, const es_report *report, es_error *err) {
  es_palette palette;
  carried c = {0};
  char *text = NULL;
  size_t n = 0;
  int32_t status = es_palette_load(&palette, err);
  if (status != 0) return status;
  FILE *out = open_memstream(&text, &n);
  bool ok = out != NULL && carry(report, bare_size(report), &c);
  ok = ok && put_page(out, &(page){report, &c, &palette});
  ok = out != NULL && fclose(out) == 0 && ok;
  status = ok ? es_file_write(path, text, n, err) : es_fail(err, ES_E_MEMORY, "%s: out of memory", path);
  release(report, &c);
  free(text);
  return status;
}
