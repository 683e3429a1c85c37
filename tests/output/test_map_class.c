/* test_map_class.c - a value on an edge belongs to the class above; unknown stays unknown. */
#include "output/map_class.h"

#include "near.h"

static const struct row {
  es_map_kind kind;
  double value;
  int class;
} rows[] = {
    {ES_MAP_HEARD, 0.0, 0},       {ES_MAP_HEARD, 0.999, 0},     {ES_MAP_HEARD, 1.0, 1},
    {ES_MAP_HEARD, 10.0, 2},      {ES_MAP_HEARD, 49.99, 2},     {ES_MAP_HEARD, 50.0, 3},
    {ES_MAP_HEARD, 90.0, 4},      {ES_MAP_HEARD, 99.0, 5},      {ES_MAP_HEARD, 100.0, 5},
    {ES_MAP_HEARD, NAN, -1},      {ES_MAP_LEVEL, -28.01, 0},    {ES_MAP_LEVEL, -28.0, 1},
    {ES_MAP_LEVEL, -24.0, 2},     {ES_MAP_LEVEL, -15.0, 3},     {ES_MAP_LEVEL, -8.0, 4},
    {ES_MAP_LEVEL, 6.0, 5},       {ES_MAP_LEVEL, 19.99, 5},     {ES_MAP_LEVEL, 20.0, 6},
    {ES_MAP_LEVEL, -INFINITY, 0}, {ES_MAP_LEVEL, NAN, -1},      {ES_MAP_WAY, 0.0, 0},
    {ES_MAP_WAY, ES_SURFACE, 1},  {ES_MAP_WAY, 9.0, 2},         {ES_MAP_WAY, ES_DUCT, 3},
    {ES_MAP_WAY, ES_SCATTER, 4},  {ES_MAP_WAY, 3.0, -1},        {ES_MAP_WAY, NAN, -1},
    {ES_MAP_LOSS, 119.9, 0},      {ES_MAP_LOSS, 120.0, 1},      {ES_MAP_LOSS, 220.0, 6},
    {ES_MAP_CLEARANCE, -5.1, 0},  {ES_MAP_CLEARANCE, 0.0, 3},   {ES_MAP_CLEARANCE, 0.6, 4},
    {ES_MAP_CLEARANCE, 5.0, 6},   {ES_MAP_DIFFERENCE, 0.0, 3},  {ES_MAP_DIFFERENCE, 0.99, 3},
    {ES_MAP_DIFFERENCE, 1.0, 4},  {ES_MAP_DIFFERENCE, -1.0, 2}, {ES_MAP_DIFFERENCE, 3.0, 5},
    {ES_MAP_DIFFERENCE, -3.0, 1}, {ES_MAP_DIFFERENCE, 10.0, 6}, {ES_MAP_DIFFERENCE, -10.0, 0},
    {ES_MAP_DIFFERENCE, NAN, -1},
};

static void classes_have_their_edges(void **state) {
  (void)state;
  for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++)
    if (es_map_class(rows[k].kind, rows[k].value) != rows[k].class)
      fail_msg("kind %d, value %g: class %d, want %d", rows[k].kind, rows[k].value,
               es_map_class(rows[k].kind, rows[k].value), rows[k].class);
}

static void every_class_has_a_step(void **state) {
  (void)state;
  for (int kind = ES_MAP_LEVEL; kind <= ES_MAP_DIFFERENCE; kind++) {
    size_t n;
    const es_map_step *steps = es_map_steps((es_map_kind)kind, &n);
    assert_in_range(n, 5, ES_MAP_CLASSES_MAX);
    assert_int_equal(es_map_class((es_map_kind)kind, kind == ES_MAP_WAY ? ES_SCATTER : 1e9), (int)n - 1);
    for (size_t k = 0; k < n; k++) assert_true(steps[k].word[0] != '\0');
  }
}

/* Lost is the only hatched arm; not heard has no fill. */
static void paints_keep_their_signs(void **state) {
  (void)state;
  es_palette palette;
  es_map_paint paints[ES_MAP_CLASSES_MAX];
  assert_int_equal(es_palette_load(&palette, NULL), ES_OK);
  es_map_paints(&palette, ES_MAP_DIFFERENCE, paints);
  for (int k = 0; k < 7; k++) assert_int_equal(paints[k].texture, k < 3 ? ES_TEXTURE_LOST : ES_TEXTURE_NONE);
  es_map_paints(&palette, ES_MAP_HEARD, paints);
  assert_true(paints[0].bare && !paints[1].bare);
  assert_memory_equal(&paints[5].land, &palette.heard[4], sizeof(es_rgb));
}

/* A line's share of the area is its width over the spacing across it. */
static double mean_cover(es_texture texture, double pixel) {
  double sum = 0.0;
  const int n = (int)(1260.0 / pixel); /* a multiple of every period */
  for (int i = 0; i < n; i++)
    for (int k = 0; k < 126; k++) sum += es_texture_cover(texture, (i + 0.5) * pixel, (k + 0.5) * pixel, pixel);
  return sum / (126.0 * n);
}

static void textures_have_their_weight(void **state) {
  (void)state;
  assert_near(mean_cover(ES_TEXTURE_NO_DATA, 0.25), 1.5 * sqrt(2.0) / 9.0, 0.01);
  assert_near(mean_cover(ES_TEXTURE_LOST, 0.25), 1.0 * sqrt(2.0) / 7.0, 0.01);
  assert_near(mean_cover(ES_TEXTURE_LEVEL, 1.0), 1.0 / 7.0, 0.001);
  assert_near(mean_cover(ES_TEXTURE_NONE, 1.0), 0.0, 0.0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(classes_have_their_edges), cmocka_unit_test(every_class_has_a_step),
      cmocka_unit_test(paints_keep_their_signs), cmocka_unit_test(textures_have_their_weight)};
  return cmocka_run_group_tests_name("map_class", tests, NULL, NULL);
}
