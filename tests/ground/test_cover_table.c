/* test_cover_table.c - what stands on cover classes: good tables, bad ones, the built-in ones. */
#include "ground/cover_table.h"

#include "earshot/model.h"
#include "station/folder.h"

typedef struct fixture {
  test_folder folder;
  es_faults faults;
  es_cover_table table;
} fixture;

static int set_up(void **state) {
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  folder_open(&f->folder);
  *state = f;
  return 0;
}

static int tear_down(void **state) {
  fixture *f = *state;
  es_faults_free(&f->faults);
  folder_close(&f->folder);
  free(f);
  return 0;
}

static bool read_text(fixture *f, const char *text) {
  return es_cover_table_read(folder_write(&f->folder, "cover.csv", text), &f->table, &f->faults);
}

static void a_good_table(void **state) {
  fixture *f = *state;
  assert_true(
      read_text(f, "class,height_m,base_m,density,leaf\n10,15,2,0.8,conifer\n20,3,,,\n30,0,,,\n40,12,0,1,opaque\n"));
  assert_true(f->table.given);
  assert_near(f->table.of[10].height_m, 15.0, 0.0);
  assert_near(f->table.of[10].base_m, 2.0, 0.0);
  assert_near(f->table.of[10].density, 0.8, 0.0);
  assert_int_equal(f->table.of[10].leaf, ES_CONIFER);
  assert_near(f->table.of[20].density, 1.0, 0.0);
  assert_int_equal(f->table.of[20].leaf, ES_MIXED_LEAF);
  assert_int_equal(f->table.of[30].leaf, ES_NO_LEAF);
  assert_int_equal(f->table.of[40].leaf, ES_OPAQUE);
  assert_int_equal(f->table.of[99].leaf, ES_NO_LEAF);
}

static void bad_tables(void **state) {
  fixture *f = *state;
  assert_false(read_text(f, "class,height_m,base_m,density,leaf\n"
                            "1,,0,1,mixed\n"
                            "2,10,12,1,mixed\n"
                            "3,10,0,1.5,mixed\n"
                            "4,10,0,1,palm\n"
                            "300,10,0,1,mixed\n"
                            "5,10,0,1,mixed\n"
                            "5,11,0,1,mixed\n"));
  assert_fault(&f->faults, 2, "class 1 has no height_m");
  assert_fault(&f->faults, 3, "class 2: base_m=12 is above its top, height_m=10");
  assert_fault(&f->faults, 4, "density");
  assert_fault(&f->faults, 5, "leaf=palm: want broadleaf, conifer, mixed, opaque or none");
  assert_fault(&f->faults, 6, "class");
  assert_fault(&f->faults, 8, "class 5 is there twice");
  assert_int_equal(f->faults.n_faults, 6);
}

static void no_table_at_all(void **state) {
  fixture *f = *state;
  assert_false(read_text(f, "code,height\n1,2\n"));
  assert_fault(&f->faults, 1, "want the columns class and height_m");
}

/* Legends: ESA WorldCover 2021 has 11 classes, the CORINE raster 44. */
static void built_in_legends(void **state) {
  fixture *f = *state;
  static const struct {
    es_cover_legend legend;
    int tree, water;
    uint8_t leaf;
  } rows[] = {{ES_WORLDCOVER_2021, 10, 80, ES_MIXED_LEAF},
              {ES_CORINE_2018, 23, 41, ES_BROADLEAF},
              {ES_CORINE_2018, 24, 44, ES_CONIFER},
              {ES_CORINE_2018, 25, 40, ES_MIXED_LEAF}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    assert_true(es_cover_table_builtin(rows[i].legend, &f->table, &f->faults));
    assert_int_equal(f->table.of[rows[i].tree].leaf, rows[i].leaf);
    assert_true(f->table.of[rows[i].tree].height_m > 10.0);
    assert_int_equal(f->table.of[rows[i].water].leaf, ES_NO_LEAF);
  }
  assert_int_equal(f->faults.n, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(a_good_table, set_up, tear_down),
                                     cmocka_unit_test_setup_teardown(bad_tables, set_up, tear_down),
                                     cmocka_unit_test_setup_teardown(no_table_at_all, set_up, tear_down),
                                     cmocka_unit_test_setup_teardown(built_in_legends, set_up, tear_down)};
  return cmocka_run_group_tests_name("cover_table", tests, NULL, NULL);
}
