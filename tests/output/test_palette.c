/* test_palette.c - the built-in colours keep their gates: lightness, contrast, what the eye needs in a grey print. */
#include "near.h"
#include "output/palette.h"

static es_palette palette;

static int load(void **state) {
  (void)state;
  return es_palette_load(&palette, NULL);
}

/* Reference colours of W3C CSS Color Module Level 4 (sample values of oklab()). */
static void oklab_matches_its_publication(void **state) {
  (void)state;
  es_oklab red = es_oklab_of((es_rgb){255, 0, 0}), white = es_oklab_of((es_rgb){255, 255, 255});
  assert_near(red.lightness, 0.62796, 1e-5);
  assert_near(red.a, 0.22486, 1e-5);
  assert_near(red.b, 0.12585, 1e-5);
  assert_near(white.lightness, 1.0, 1e-6);
  assert_near(white.a, 0.0, 1e-6);
}

static void oklab_there_and_back(void **state) {
  (void)state;
  for (int k = 0; k < 9; k++) {
    es_rgb c = palette.heard_ramp[k], d = es_oklab_to_rgb(es_oklab_of(c));
    assert_memory_equal(&c, &d, sizeof c);
  }
}

/* WCAG 2.2, technique G18: #767676 on white is the lightest grey above 4.5:1 (4.54). CIE 1976: Y = 18.42 % is L* 50. */
static void measures_match_their_standards(void **state) {
  (void)state;
  assert_near(es_rgb_contrast((es_rgb){0x76, 0x76, 0x76}, (es_rgb){255, 255, 255}), 4.54, 0.005);
  assert_near(es_rgb_contrast((es_rgb){0, 0, 0}, (es_rgb){255, 255, 255}), 21.0, 1e-3);
  assert_near(es_rgb_lstar((es_rgb){255, 255, 255}), 100.0, 1e-3);
  assert_near(es_rgb_lstar((es_rgb){119, 119, 119}), 50.03, 0.02);
}

static void falls_by(const es_rgb *ramp, int n, double least) {
  for (int k = 1; k < n; k++) assert_true(es_rgb_lstar(ramp[k - 1]) - es_rgb_lstar(ramp[k]) >= least);
}

static void ramps_fall_in_lightness(void **state) {
  (void)state;
  falls_by(palette.heard, 5, 10.0);
  falls_by(palette.level, 6, 9.0);
  falls_by(palette.heard_ramp, 9, 4.0);
  falls_by(palette.level_ramp, 9, 4.0);
  falls_by(palette.heard_sea, 5, 5.0);
  falls_by(palette.level_sea, 6, 4.0);
}

static void first_step_leaves_bare_land(void **state) {
  (void)state;
  double land = es_rgb_lstar(palette.paper[ES_PAPER_LAND]);
  assert_true(land - es_rgb_lstar(palette.heard[0]) >= 5.0);
  assert_true(land - es_rgb_lstar(palette.level[0]) >= 5.0);
}

static void sea_is_land_at_55_percent(void **state) {
  (void)state;
  for (int k = 0; k < 5; k++) {
    es_rgb sea = es_palette_at_sea(&palette, palette.heard[k]);
    assert_memory_equal(&sea, &palette.heard_sea[k], sizeof sea);
  }
}

static void main_ways_differ_in_grey(void **state) {
  (void)state;
  for (int i = 0; i < 4; i++)
    for (int k = 0; k < i; k++) assert_true(fabs(es_rgb_lstar(palette.way[i]) - es_rgb_lstar(palette.way[k])) >= 9.0);
}

static void arms_of_a_difference_weigh_the_same(void **state) {
  (void)state;
  for (int k = 0; k < 3; k++)
    assert_true(fabs(es_rgb_lstar(palette.difference[k]) - es_rgb_lstar(palette.difference[6 - k])) <= 3.0);
}

static void profile_lines_stand_out(void **state) {
  (void)state;
  es_rgb white = palette.paper[ES_PAPER_SHEET];
  static const int EDGES[] = {ES_PROFILE_GROUND_EDGE, ES_PROFILE_CANOPY_EDGE, ES_PROFILE_ZONE_EDGE, ES_PROFILE_BLOCKED};
  for (int k = 0; k < 4; k++) assert_true(es_rgb_contrast(palette.profile[EDGES[k]], white) >= 4.5);
  assert_true(es_rgb_contrast(palette.profile[ES_PROFILE_RAY], white) >= 12.0);
  assert_true(es_rgb_contrast(palette.profile[ES_PROFILE_MAST], white) >= 12.0);
}

static void page_is_legible(const es_rgb *t) {
  static const struct {
    int ink, ground;
    double least;
  } WANT[] = {{ES_PAGE_INK, ES_PAGE_PAGE, 7},
              {ES_PAGE_INK, ES_PAGE_SHEET, 7},
              {ES_PAGE_INK_2, ES_PAGE_PAGE, 4.5},
              {ES_PAGE_INK_2, ES_PAGE_SHEET, 4.5},
              {ES_PAGE_ACCENT, ES_PAGE_SHEET, 4.5},
              {ES_PAGE_ACCENT, ES_PAGE_PAGE, 4.5},
              {ES_PAGE_ACCENT, ES_PAGE_ACCENT_SOFT, 4.5},
              {ES_PAGE_INK, ES_PAGE_ACCENT_SOFT, 7},
              {ES_PAGE_INK, ES_PAGE_BAND, 7},
              {ES_PAGE_BAND_EDGE, ES_PAGE_SHEET, 4.5},
              {ES_PAGE_CAUTION_INK, ES_PAGE_CAUTION_BG, 7},
              {ES_PAGE_CAUTION_EDGE, ES_PAGE_CAUTION_BG, 3},
              {ES_PAGE_EDGE, ES_PAGE_SHEET, 3},
              {ES_PAGE_EDGE, ES_PAGE_PAGE, 3}};
  for (size_t k = 0; k < sizeof WANT / sizeof WANT[0]; k++)
    assert_true(es_rgb_contrast(t[WANT[k].ink], t[WANT[k].ground]) >= WANT[k].least);
}

static void pages_are_legible(void **state) {
  (void)state;
  page_is_legible(palette.page_light);
  page_is_legible(palette.page_dark);
}

static void ramp_meets_its_nodes(void **state) {
  (void)state;
  for (int k = 0; k < 9; k++) {
    es_rgb at = es_ramp_at(palette.level_ramp, 9, k / 8.0);
    assert_memory_equal(&at, &palette.level_ramp[k], sizeof at);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(oklab_matches_its_publication),
                                     cmocka_unit_test(oklab_there_and_back),
                                     cmocka_unit_test(measures_match_their_standards),
                                     cmocka_unit_test(ramps_fall_in_lightness),
                                     cmocka_unit_test(first_step_leaves_bare_land),
                                     cmocka_unit_test(sea_is_land_at_55_percent),
                                     cmocka_unit_test(main_ways_differ_in_grey),
                                     cmocka_unit_test(arms_of_a_difference_weigh_the_same),
                                     cmocka_unit_test(profile_lines_stand_out),
                                     cmocka_unit_test(pages_are_legible),
                                     cmocka_unit_test(ramp_meets_its_nodes)};
  return cmocka_run_group_tests_name("palette", tests, load, NULL);
}
