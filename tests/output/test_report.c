/* test_report.c - the report's file: text stays text, nothing outgrows the size asked for, same input, same bytes. */
#include "output/report.h"

#include <zlib.h>

#include "island.h"
#include "scratch.h"

static const char NASTY[] = "</script><b onclick='x'>\"&\" \xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D";

static json_t *sample(void) {
  json_t *path = json_pack("{s:s,s:f,s:[s,s,n],s:s}", "shape", "disc", "heard_percent", 76.4, "best", "voice", "Morse",
                           "limited", NASTY);
  return json_pack("{s:b,s:i,s:s,s:s,s:{s:s,s:[[s,s]]},s:[[s,s]],s:[{s:s,s:f,s:f}],s:[[o]],s:{s:[]},s:[]}", "timed", 1,
                   "shown_first", 0, "kind", "heard", "page_title", NASTY, "answer", "title", NASTY, "facts", NASTY,
                   "more", "cautions", NASTY, "means", "listeners", "name", NASTY, "km", 62.44, "bearing_deg", 236.9,
                   "paths", path, "steps", "heard", "counts");
}

static char *written(void **state, const es_report *report, size_t *n) {
  char *path = scratch_path(state, "report.html");
  es_error err = {0};
  assert_int_equal(es_report_write(path, report, &err), 0);
  char *text = scratch_read(path, n);
  free(path);
  return text;
}

static size_t count(const char *text, const char *what) {
  size_t n = 0;
  for (const char *at = text; (at = strstr(at, what)) != NULL; at++) n++;
  return n;
}

/* A name that is markup appears only written out, and inside the JSON without a single '<'. */
static void text_stays_text(void **state) {
  size_t n;
  json_t *data = sample();
  es_report report = {.data = data, .max_bytes = 1000000};
  char *html = written(state, &report, &n);
  assert_null(strstr(html, "<b onclick"));
  assert_int_equal(count(html, "&lt;/script&gt;&lt;b onclick=&apos;x&apos;&gt;&quot;&amp;&quot; \xD7\xA9"), 7);
  char *json = strstr(html, "id=\"data\">"), *end = strstr(json, "</script>");
  *end = '\0';
  assert_null(strchr(json + 10, '<'));
  json_t *back = json_loads(json + 10, 0, NULL);
  assert_non_null(back);
  assert_string_equal(json_string_value(json_object_get(back, "page_title")), NASTY);
  json_decref(back);
  free(html);
  json_decref(data);
}

/* Without a script: the share, the range of modes, kilometres with one decimal, bearing with three digits. */
static void table_stands_alone(void **state) {
  size_t n;
  json_t *data = sample();
  es_report report = {.data = data, .max_bytes = 1000000};
  char *html = written(state, &report, &n);
  assert_non_null(
      strstr(html, "76\xC2\xA0%</td><td class=\"m\">voice</td><td class=\"m\">Morse</td><td class=\"m\">\xE2\x80\x93"));
  assert_non_null(strstr(html, "62.4</td><td class=\"n\">237</td>"));
  free(html);
  json_decref(data);
}

/* Bytes that deflate cannot shrink. */
static uint8_t *noise(size_t n) {
  uint8_t *bytes = malloc(n);
  assert_non_null(bytes);
  uint32_t seed = 1;
  for (size_t i = 0; i < n; i++) bytes[i] = (uint8_t)((seed = seed * 1664525u + 1013904223u) >> 24);
  return bytes;
}

static void size_is_kept(void **state) {
  enum { SIDE = 256 };
  uint8_t *bytes = noise(SIDE * SIDE);
  char *ids[] = {strdup("base"), strdup("heard-0"), strdup("heard-1")};
  es_report_grid grids[] = {
      {ids[0], SIDE, bytes, NULL}, {ids[1], SIDE, bytes, "18m"}, {ids[2], SIDE, bytes, "30m <b>"}};
  es_report_picture none[] = {
      {"map", "/nowhere.png", "map sheet", "18m"}}; /* nor does a map without listeners lose its layers */
  json_t *data = sample();
  es_report report = {data, grids, 3, none, 1, NULL, 330000};
  size_t n;
  char *html = written(state, &report, &n);
  assert_true(n <= report.max_bytes);
  assert_non_null(strstr(html, "id=\"g-base\" data-side=\"256\""));
  assert_non_null(strstr(html, "id=\"g-heard-0\""));
  assert_null(strstr(html, "id=\"g-heard-1\""));
  assert_non_null(strstr(html, "\"left_out\":[\"heard-1\"]"));
  assert_non_null(
      strstr(html, "within 0.33\xC2\xA0MB: 1 layer of 30m &lt;b&gt;. They lie in the folder")); /* and says so */
  free(html);
  for (int i = 0; i < 3; i++) free(ids[i]);
  free(bytes);
  json_decref(data);
}

/* No request may leave the page: nothing names another file, and the page says so itself. */
static void nothing_is_fetched(void **state) {
  size_t n;
  json_t *data = sample();
  es_report report = {.data = data, .max_bytes = 1000000};
  char *html = written(state, &report, &n);
  assert_non_null(strstr(html, "default-src 'none'"));
  assert_int_equal(count(html, "http"), count(html, "http-equiv") + count(html, "http://www.w3.org/2000/svg"));
  assert_null(strstr(html, "@import"));
  free(html);
  json_decref(data);
}

static uint8_t level_code(double db) { return isnan(db) ? 0 : (uint8_t)(10 + es_map_class(ES_MAP_LEVEL, db)); }

/* Grid and frame of equal width: every byte is its own cell, north up. */
static void grid_is_the_frame(void **state) {
  (void)state;
  island i = island_make((es_lonlat){-36.1, 46.5}, 30000, 101, ES_MAP_LEVEL, 0, 1);
  int side = i.frame.cols;
  int wide = es_report_base_side(side);
  for (int k = 0; k < side * side; k++) i.values[k] = k / side < side / 2 ? 25.0f : -60.0f; /* loud in the north */
  uint8_t *layer = malloc((size_t)side * (size_t)side), *base = malloc((size_t)wide * (size_t)wide);
  assert_non_null(layer);
  assert_non_null(base);
  es_map_ground ground = {i.ground_m, (size_t)i.frame.cols, i.zone};
  es_error err = {0};
  es_report_layer(&i.frame, side, i.values, level_code, layer);
  assert_int_equal(es_report_base(&i.frame, side, i.values, &ground, base, &err), 0);
  assert_int_equal(layer[0], 1); /* the corner lies outside */
  assert_true(base[0] == 1);     /* and its ground is drawn, to the frame of the sheet */
  assert_near((double)wide / side, 1100.0 / 1050.0, 2.0 / side);
  int middle = side / 2;
  assert_int_equal(layer[side / 4 * side + middle], level_code(25.0)); /* north is up */
  assert_int_equal(layer[3 * side / 4 * side + middle], level_code(-60.0));
  assert_int_equal(layer[middle * side + side / 4], layer[middle * side + 3 * side / 4]);
  assert_int_equal(layer[side / 2 * side + side / 2], level_code((double)i.values[side / 2 * side + side / 2]));
  free(layer);
  free(base);
  island_free(&i);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(text_stays_text, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(table_stands_alone, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(size_is_kept, scratch_make, scratch_remove),
      cmocka_unit_test_setup_teardown(nothing_is_fetched, scratch_make, scratch_remove),
      cmocka_unit_test(grid_is_the_frame),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
