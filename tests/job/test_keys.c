/* test_keys.c - the reference pages hold every key with its range, unit and default. */
#include "job/keys.h"

#include "page.h"

static void page_holds(const char *path, const es_section *const *sections, size_t n) {
  char *text = page_read(path);
  for (size_t s = 0; s < n; s++)
    for (size_t k = 0; k < sections[s]->n; k++) {
      char *row = es_key_row(&sections[s]->keys[k]);
      assert_non_null(row);
      if (strstr(text, row) == NULL) fail_msg("%s lacks the row\n%s", path, row);
      free(row);
    }
  free(text);
}

static void job_page(void **state) {
  (void)state;
  const es_section *const sections[] = {
      &es_top_section,    &es_beacon_section,    &es_antenna_section, &es_power_section, &es_meter_section,
      &es_feeder_section, &es_connector_section, &es_keying_section,  &es_sheet_section, &es_receiver_section,
      &es_ground_section, &es_climate_section,   &es_map_section,     &es_vary_section,  &es_spread_section,
      &es_trees_section,  &es_obstacle_section,  &es_report_section,  &es_site_section,  &es_aim_section,
      &es_compare_section};
  page_holds("docs/job-file.md", sections, sizeof sections / sizeof *sections);
}

static void profile_page(void **state) {
  (void)state;
  const es_section *const sections[] = {&es_profile_section, &es_profile_end_section, &es_profile_antenna_section,
                                        &es_sea_distance_section};
  page_holds("docs/profile-file.md", sections, sizeof sections / sizeof *sections);
}

/* Both sides of the climate take the keys of the whole, one by one, except the maps. */
static void climate_sides(void **state) {
  (void)state;
  assert_int_equal(es_climate_section.n, es_climate_side_section.n + 1);
  assert_int_equal(es_climate_side_section.n, ES_CLIMATE_KEYS);
  for (size_t k = 0; k < es_climate_side_section.n; k++) {
    assert_string_equal(es_climate_section.keys[k].name, es_climate_side_section.keys[k].name);
    assert_int_equal(es_climate_section.keys[k].offset, k * sizeof(double)); /* in the order of es_climate_key */
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(job_page), cmocka_unit_test(profile_page),
                                     cmocka_unit_test(climate_sides)};
  return cmocka_run_group_tests_name("keys", tests, NULL, NULL);
}
