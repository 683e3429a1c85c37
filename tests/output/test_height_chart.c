/* test_height_chart.c - both charts of heights: whole files, the same bytes twice, an SVG that is well-formed XML. */
#include "output/height_chart.h"

#include <glib.h>
#include <math.h>
#include <stdlib.h>

#include "base/checksum.h"
#include "station/folder.h"

enum { N = 6, WHO = 14 };

typedef struct sample {
  double height_m[N], low[WHO][N], median[WHO][N], high[WHO][N], counts[2][N], area[N];
  es_height_box boxes[WHO];
  es_height_level levels[2];
  es_height_line lines[2];
  es_height_chart chart;
} sample;

static void invent(sample *s) {
  static const char *const names[WHO] = {"Q1AAA",    "Q2BBB A name that is far too long for so small a box",
                                         "<Q3&CCC>", "Q4",
                                         "Q5",       "Q6",
                                         "Q7",       "Q8",
                                         "Q9",       "Q0",
                                         "QA",       "QB",
                                         "QC",       "QD"};
  for (size_t i = 0; i < N; i++) {
    s->height_m[i] = 5.0 + 7.0 * (double)i;
    s->area[i] = 100.0 + 40.0 * (double)i;
    s->counts[0][i] = (double)i;
    s->counts[1][i] = 10.0;
    for (size_t w = 0; w < WHO; w++) {
      s->median[w][i] = -30.0 + 5.0 * (double)i - (double)w;
      s->low[w][i] = s->median[w][i] - 8.0;
      s->high[w][i] = s->median[w][i] + 8.0;
    }
  }
  s->median[3][2] = s->low[3][2] = s->high[3][2] = NAN; /* a hole in the curve */
  for (size_t i = 0; i < N; i++) s->low[4][i] = s->high[4][i] = NAN;
  for (size_t w = 0; w < WHO; w++)
    s->boxes[w] = (es_height_box){
        names[w], "+17\u00a0dB to 22\u00a0m", ES_MARK_DISC, s->low[w], s->median[w], s->high[w], w == 5 ? N : 3};
  s->levels[0] = (es_height_level){"voice", 5.8};
  s->levels[1] = (es_height_level){"Morse", -14.6};
  s->lines[0] = (es_height_line){"voice", s->counts[0]};
  s->lines[1] = (es_height_line){"Morse", s->counts[1]};
  s->chart = (es_height_chart){.eyebrow = "SKARN HEAD \u00b7 HEIGHT",
                               .title = "22\u00a0m is high enough",
                               .lead = "Listeners & heights",
                               .foot = "Run 01234567.",
                               .height_m = s->height_m,
                               .n = N,
                               .proposed = 3,
                               .levels = s->levels,
                               .n_levels = 2,
                               .boxes = s->boxes,
                               .n_boxes = WHO,
                               .left_out = "and 2 who gain less than 1\u00a0dB",
                               .lines = s->lines,
                               .n_lines = 2,
                               .n_listeners = WHO,
                               .area_km2 = s->area};
}

typedef int32_t (*write_fn)(const char *png, const char *svg, const es_height_chart *chart, es_error *err);

static uint64_t sum_of(const char *path) {
  uint64_t sum = 0, bytes = 0;
  es_error err = {0};
  assert_int_equal(es_checksum_file(path, &sum, &bytes, &err), 0);
  assert_true(bytes > 5000);
  return sum;
}

static void well_formed(const char *path) {
  char *text = NULL;
  gsize length = 0;
  GError *error = NULL;
  const GMarkupParser parser = {0};
  assert_true(g_file_get_contents(path, &text, &length, NULL));
  GMarkupParseContext *context = g_markup_parse_context_new(&parser, 0, NULL, NULL);
  bool ok = g_markup_parse_context_parse(context, text, (gssize)length, &error) &&
            g_markup_parse_context_end_parse(context, &error);
  if (!ok) fail_msg("%s: %s", path, error->message);
  assert_non_null(strstr(text, "<svg"));
  g_markup_parse_context_free(context);
  g_free(text);
}

static void written(test_folder *f, write_fn write, const es_height_chart *chart, const char *name, uint64_t sums[2]) {
  es_error err = {0};
  char *png = es_format("%s/%s.png", f->path, name), *svg = es_format("%s/%s.svg", f->path, name);
  if (write(png, svg, chart, &err) != 0) fail_msg("%s", err.detail);
  sums[0] = sum_of(png);
  sums[1] = sum_of(svg);
  well_formed(svg);
  const char *keep = getenv("EARSHOT_KEEP_PICTURES"); /* a folder: to look at them */
  if (keep != NULL) {
    char *to = es_format("%s/%s.png", keep, name), *too = es_format("%s/%s.svg", keep, name);
    assert_int_equal(write(to, too, chart, &err), 0);
    free(to);
    free(too);
  }
  free(png);
  free(svg);
}

static void both_charts(void **state) {
  (void)state;
  static const write_fn writers[] = {es_height_counts_write, es_height_snr_write};
  static sample s;
  test_folder f;
  folder_open(&f);
  for (int i = 0; i < 2; i++) {
    uint64_t first[2], again[2], other[2];
    invent(&s);
    written(&f, writers[i], &s.chart, i == 0 ? "counts" : "snr", first);
    written(&f, writers[i], &s.chart, i == 0 ? "counts-again" : "snr-again", again);
    assert_memory_equal(first, again, sizeof first);
    s.chart.proposed = N;
    s.chart.area_km2 = NULL;
    written(&f, writers[i], &s.chart, i == 0 ? "counts-other" : "snr-other", other);
    assert_true(other[0] != first[0] && other[1] != first[1]);
  }
  folder_close(&f);
}

static void one_height_is_no_chart(void **state) {
  (void)state;
  static sample s;
  es_error err = {0};
  test_folder f;
  folder_open(&f);
  invent(&s);
  s.chart.n = 1;
  char *png = es_format("%s/a.png", f.path), *svg = es_format("%s/a.svg", f.path);
  assert_int_equal(es_height_snr_write(png, svg, &s.chart, &err), ES_E_RANGE);
  assert_int_not_equal(access(png, F_OK), 0);
  assert_int_not_equal(access(svg, F_OK), 0);
  free(png);
  free(svg);
  folder_close(&f);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(both_charts), cmocka_unit_test(one_height_is_no_chart)};
  return cmocka_run_group_tests_name("height_chart", tests, NULL, NULL);
}
