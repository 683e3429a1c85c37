/* test_obstacle.c - what people measured near a station. */
#include "station/obstacle.h"

#include "earshot/model.h"
#include "station/folder.h"

static void a_good_list(void **state) {
  (void)state;
  test_folder folder;
  es_faults faults = {0};
  es_obstacles list = {0};
  folder_open(&folder);
  const char *path = folder_write(&folder, "o.csv",
                                  "station,azimuth_from_deg,azimuth_to_deg,distance_m,depth_m,top_m,base_m,kind,leaf\n"
                                  "Ness,110,160,28,9,17,3,tree,conifer\n"
                                  "beacon,350,20,60,12,9,,building,\n"
                                  "beacon,0,360,60,12,9,,,\n");
  assert_true(es_obstacles_read(path, &list, &faults));
  assert_int_equal(list.n, 3);
  assert_string_equal(list.items[0].station, "Ness");
  assert_int_equal(list.items[0].leaf, ES_CONIFER);
  assert_near(list.items[0].base_m, 3.0, 0.0);
  assert_int_equal(list.items[1].leaf, ES_OPAQUE);
  assert_int_equal(list.items[2].leaf, ES_MIXED_LEAF);
  assert_near(list.items[2].density, 1.0, 0.0);
  es_obstacles_free(&list);
  folder_close(&folder);
}

static void bad_rows(void **state) {
  (void)state;
  test_folder folder;
  es_faults faults = {0};
  es_obstacles list = {0};
  folder_open(&folder);
  const char *path = folder_write(&folder, "o.csv",
                                  "station,azimuth_from_deg,azimuth_to_deg,distance_m,depth_m,top_m,base_m,kind\n"
                                  ",110,160,28,9,17,3,tree\n"
                                  "Ness,110,160,28,9,7,8,tree\n"
                                  "Ness,110,160,28,9,7,3,shed\n"
                                  "Ness,110,160,,9,7,3,tree\n");
  assert_false(es_obstacles_read(path, &list, &faults));
  assert_fault(&faults, 2, "station is empty");
  assert_fault(&faults, 3, "base_m=8 is above top_m=7");
  assert_fault(&faults, 4, "kind=shed: want tree, building or ridge");
  assert_fault(&faults, 5, "distance_m is empty");
  assert_int_equal(faults.n_faults, 4);
  es_faults_free(&faults);
  es_obstacles_free(&list);
  folder_close(&folder);
}

static void bearings(void **state) {
  (void)state;
  static const struct {
    double from, to, bearing;
    bool crossed;
  } rows[] = {{110, 160, 130, true}, {110, 160, 110, true}, {110, 160, 161, false}, {350, 20, 5, true},
              {350, 20, 355, true},  {350, 20, 180, false}, {-10, 20, 355, true},   {0, 360, 200, true},
              {160, 110, 300, true}, {160, 110, 130, false}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    es_obstacle o = {.azimuth_from_deg = rows[i].from, .azimuth_to_deg = rows[i].to};
    assert_int_equal(es_obstacle_crossed(&o, rows[i].bearing), rows[i].crossed);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(a_good_list), cmocka_unit_test(bad_rows),
                                     cmocka_unit_test(bearings)};
  return cmocka_run_group_tests_name("obstacle", tests, NULL, NULL);
}
