/* test_tree.c - YAML itself: what is read, and each thing that is no YAML, with its line. */
#include "job/tree.h"

#include "station/folder.h"

static void kinds_and_lines(void **state) {
  (void)state;
  test_folder f;
  es_faults faults = {0};
  folder_open(&f);
  es_tree *t = es_tree_open(folder_write(&f, "a.yaml",
                                         "# a remark\n"
                                         "a: &x [1, two]\n"
                                         "b:\n"
                                         "c: \"\"\n"
                                         "d: {e: f}\n"
                                         "g: *x\n"),
                            &faults);
  assert_non_null(t);
  es_node root = es_tree_root(t);
  assert_int_equal(es_tree_kind(t, root), ES_NODE_MAP);
  assert_int_equal(es_tree_count(t, root), 5);
  es_node a = es_tree_value(t, root, 0), g = es_tree_value(t, root, 4);
  assert_int_equal(es_tree_kind(t, a), ES_NODE_LIST);
  assert_string_equal(es_tree_text(t, es_tree_item(t, a, 1)), "two");
  assert_int_equal(es_tree_line(t, a), 2);
  assert_int_equal(es_tree_kind(t, es_tree_value(t, root, 1)), ES_NODE_EMPTY);
  assert_int_equal(es_tree_kind(t, es_tree_value(t, root, 2)), ES_NODE_TEXT); /* quoted, so a text */
  assert_int_equal(es_tree_line(t, es_tree_key(t, root, 3)), 5);
  assert_int_equal(g, a); /* an alias is the node it names */
  assert_int_equal(es_tree_kind(t, ES_NO_NODE), ES_NODE_NONE);
  assert_int_equal(es_tree_item(t, a, 2), ES_NO_NODE);
  assert_int_equal(es_tree_value(t, a, 0), ES_NO_NODE);
  assert_string_equal(es_tree_text(t, a), "");
  es_tree_close(t);
  es_faults_free(&faults);
  folder_close(&f);
}

static void no_yaml(void **state) {
  (void)state;
  static const struct {
    const char *text, *words;
    long line;
  } cases[] = {
      {"a: 1\nb: [1, 2\nc: 3\n", "not YAML", 3},
      {"a: 1\n  b: 2\n", "not YAML", 2},
      {"a: 1\nb:\tc: 2\n\t- x\n", "not YAML", 2},
      {"a: *nowhere\n", "undefined alias", 1},
      {"", "the file is empty", 1},
      {"# only a remark\n", "the file is empty", 1},
      {"a: 1\n---\nb: 2\n", "a second document", 3},
      {"a: \xFF\xFE\n", "not YAML", 0},
      {"a: 'open\nb: 1\n", "not YAML", 3},
  };
  test_folder f;
  folder_open(&f);
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    es_faults faults = {0};
    assert_null(es_tree_open(folder_write(&f, "a.yaml", cases[i].text), &faults));
    assert_fault(&faults, cases[i].line, cases[i].words);
    es_faults_free(&faults);
  }
  es_faults faults = {0};
  assert_null(es_tree_open(folder_file(&f, "none.yaml"), &faults));
  assert_fault(&faults, 0, "cannot be read");
  assert_null(es_tree_open(f.path, &faults)); /* a folder */
  assert_int_equal(faults.n_faults, 2);
  es_faults_free(&faults);
  folder_close(&f);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(kinds_and_lines), cmocka_unit_test(no_yaml)};
  return cmocka_run_group_tests_name("tree", tests, NULL, NULL);
}
