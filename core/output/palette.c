#include "output/palette.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/text.h"

extern const char es_palettes_csv[];

static const double STRENGTH_AT_SEA = 0.55;

/* Where the rows of each named palette go. */
static const struct place {
  const char *name;
  size_t offset, n;
} places[] = {
#define PLACE(text, member)                                                                                            \
  { text, offsetof(es_palette, member), sizeof(((const es_palette *)NULL)->member) / sizeof(es_rgb) }
    PLACE("paper", paper),           PLACE("heard", heard),     PLACE("heard-sea", heard_sea),
    PLACE("heard-ramp", heard_ramp), PLACE("level", level),     PLACE("level-sea", level_sea),
    PLACE("level-ramp", level_ramp), PLACE("way", way),         PLACE("way-sea", way_sea),
    PLACE("difference", difference), PLACE("profile", profile), PLACE("page-light", page_light),
    PLACE("page-dark", page_dark),
#undef PLACE
};
enum { PLACES = sizeof places / sizeof places[0] };

static const struct place *place_named(const char *name) {
  for (size_t i = 0; i < PLACES; i++)
    if (strcmp(places[i].name, name) == 0) return &places[i];
  return NULL;
}

static int32_t read_row(const es_text_table *table, size_t row, size_t columns[3], es_palette *out, es_error *err) {
  const struct place *place = place_named(es_text_table_cell(table, row, columns[0]));
  double index = NAN;
  bool counted = es_parse_number(es_text_table_cell(table, row, columns[1]), &index);
  es_rgb colour;
  if (place == NULL || !counted || index < 0.0 || index >= (double)place->n ||
      !es_rgb_parse(es_text_table_cell(table, row, columns[2]), &colour))
    return es_fail(err, ES_E_INTERNAL, "palettes.csv:%ld: want a known palette, its index and #RRGGBB",
                   es_text_table_line(table, row));
  memcpy((char *)out + place->offset + (size_t)index * sizeof colour, &colour, sizeof colour);
  return ES_OK;
}

static int32_t read_rows(const es_text_table *table, es_palette *out, es_error *err) {
  size_t columns[3] = {es_text_table_column(table, "palette"), es_text_table_column(table, "index"),
                       es_text_table_column(table, "hex")};
  size_t rows = es_text_table_rows(table);
  if (rows * sizeof(es_rgb) != sizeof *out)
    return es_fail(err, ES_E_INTERNAL, "palettes.csv: %zu colours, want %zu", rows, sizeof *out / sizeof(es_rgb));
  for (size_t row = 0; row < rows; row++) {
    int32_t status = read_row(table, row, columns, out, err);
    if (status != ES_OK) return status;
  }
  return ES_OK;
}

int32_t es_palette_load(es_palette *out, es_error *err) {
  es_text_table *table = es_text_table_parse("palettes.csv", es_palettes_csv, strlen(es_palettes_csv), err);
  if (table == NULL) return ES_E_INTERNAL;
  memset(out, 0, sizeof *out);
  int32_t status = read_rows(table, out, err);
  es_text_table_close(table);
  return status;
}

es_rgb es_ramp_at(const es_rgb *nodes, int n, double share) {
  double at = fmin(fmax(share, 0.0), 1.0) * (n - 1);
  int below = (int)at;
  if (below >= n - 1) return nodes[n - 1];
  return es_rgb_mix(nodes[below], nodes[below + 1], at - below);
}

es_rgb es_palette_at_sea(const es_palette *palette, es_rgb land) {
  return es_rgb_mix(palette->paper[ES_PAPER_SEA], land, STRENGTH_AT_SEA);
}

void es_palette_put_page(FILE *out, const es_rgb page[ES_PAGES]) {
  static const char *const names[ES_PAGES] = {"page",        "sheet",      "ink",         "ink-2", "rule",
                                              "edge",        "accent",     "accent-soft", "band",  "band-edge",
                                              "caution-ink", "caution-bg", "caution-edge"};
  for (int i = 0; i < ES_PAGES; i++) fprintf(out, "--%s:#%02X%02X%02X;", names[i], page[i].r, page[i].g, page[i].b);
}
