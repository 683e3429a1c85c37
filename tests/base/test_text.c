/* test_text.c - tables of text: RFC 4180 and what we add to it (comment lines, line numbers, a byte order mark). */
#include "near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"

static es_text_table *parse(const char *text) {
  es_error err = {0};
  es_text_table *t = es_text_table_parse("list.csv", text, strlen(text), &err);
  if (t == NULL) fail_msg("%s", err.detail);
  return t;
}

/* Section 2 of RFC 4180, rule by rule: each of these is a table of two columns and two rows, "b1" holding `cell`. */
static void rules_of_rfc_4180(void **state) {
  (void)state;
  static const struct {
    const char *text, *cell;
  } cases[] = {
      {"a,b\r\n1,x\r\n2,y\r\n", "x"},               /* 1: lines end in CRLF */
      {"a,b\n1,x\n2,y\n", "x"},                     /* or in LF, as most files have it */
      {"a,b\r\n1,x\r\n2,y", "x"},                   /* 2: the last line may lack its end */
      {"a,b\r\n1,\"x\"\r\n2,y\r\n", "x"},           /* 5: quotes around a cell */
      {"a,b\r\n1,\"x,z\"\r\n2,y\r\n", "x,z"},       /* 6: a comma inside */
      {"a,b\r\n1,\"x\r\nz\"\r\n2,y\r\n", "x\r\nz"}, /* 6: a line break inside */
      {"a,b\r\n1,\"x\"\"z\"\r\n2,y\r\n", "x\"z"},   /* 7: a quote inside */
      {"a,b\n1,\"\"\n2,y\n", ""},                   /* an empty cell */
      {"a,b\n1,\n2,y\n", ""},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    es_text_table *t = parse(cases[i].text);
    assert_int_equal(es_text_table_rows(t), 2);
    assert_int_equal(es_text_table_column(t, "b"), 1);
    assert_string_equal(es_text_table_cell(t, 0, 1), cases[i].cell);
    assert_string_equal(es_text_table_cell(t, 1, 1), "y");
    es_text_table_close(t);
  }
}

/* Rule 4: blanks belong to a cell. We let go of those around an unquoted one and keep quoted ones. */
static void blanks_around_cells(void **state) {
  (void)state;
  es_text_table *t = parse("name,height\n  Skarn Head  , 12 \n\"  kept  \",3\n");
  assert_string_equal(es_text_table_cell(t, 0, 0), "Skarn Head");
  assert_string_equal(es_text_table_cell(t, 0, 1), "12");
  assert_string_equal(es_text_table_cell(t, 1, 0), "  kept  ");
  es_text_table_close(t);
}

static void comments_are_passed_over_and_lines_counted(void **state) {
  (void)state;
  es_text_table *t =
      parse("# profile | units: km, m\n# more, with a comma\nd_km,h_m\n0,10\n\n# a note between\n1,\"2\n#0\"\n3,30\n");
  assert_string_equal(es_text_table_header(t, 0), "d_km");
  assert_int_equal(es_text_table_rows(t), 3);
  assert_int_equal(es_text_table_line(t, 0), 4);
  assert_int_equal(es_text_table_line(t, 1), 7);
  assert_string_equal(es_text_table_cell(t, 1, 1), "2\n#0"); /* inside quotes it is no comment */
  assert_int_equal(es_text_table_line(t, 2), 9);
  es_text_table_close(t);
}

static void a_byte_order_mark_is_no_part_of_the_first_name(void **state) {
  (void)state;
  es_text_table *t = parse("\xEF\xBB\xBF"
                           "name,lon\nQ1,2\n");
  assert_int_equal(es_text_table_column(t, "name"), 0);
  es_text_table_close(t);
  t = parse("\xEF\xBB\xBF# first a note\nname,lon\nQ1,2\n");
  assert_int_equal(es_text_table_column(t, "name"), 0);
  es_text_table_close(t);
}

static void short_rows_and_absent_columns(void **state) {
  (void)state;
  es_text_table *t = parse("a,b,c\n1\n1,2,3,4\n");
  assert_string_equal(es_text_table_cell(t, 0, 2), "");
  assert_string_equal(es_text_table_cell(t, 1, 3), "4");
  assert_true(es_text_table_column(t, "d") == SIZE_MAX);
  assert_true(es_text_table_column(t, "A") == SIZE_MAX);
  assert_null(es_text_table_header(t, 3));
  es_text_table_close(t);
}

static void a_header_alone_has_no_rows(void **state) {
  (void)state;
  es_text_table *t = parse("a,b\n");
  assert_int_equal(es_text_table_rows(t), 0);
  es_text_table_close(t);
}

static void what_is_no_table_is_refused(void **state) {
  (void)state;
  static const char *const texts[] = {"", "\n\n", "# only a comment\n", "\xEF\xBB\xBF"};
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
    es_error err = {0};
    assert_null(es_text_table_parse("list.csv", texts[i], strlen(texts[i]), &err));
    assert_int_equal(err.status, ES_E_INPUT);
    assert_non_null(strstr(err.detail, "list.csv"));
    assert_non_null(strstr(err.detail, "want a header row"));
  }
}

static void quotes_left_open_are_told_with_their_line(void **state) {
  (void)state;
  static const char text[] = "a,b\n1,2\n3,\"4\n5,6\n";
  es_error err = {0};
  assert_null(es_text_table_parse("list.csv", text, sizeof text - 1, &err));
  assert_int_equal(err.status, ES_E_INPUT);
  assert_non_null(strstr(err.detail, "list.csv:3:"));
}

/* An inch sign in an unquoted cell is a letter like any other: what follows keeps its lines and comments. */
static void a_quote_inside_an_unquoted_cell(void **state) {
  (void)state;
  es_text_table *t = parse("name,dish\nQ1,24\" dish\n# a note\nQ2,y\n");
  assert_int_equal(es_text_table_rows(t), 2);
  assert_string_equal(es_text_table_cell(t, 0, 1), "24\" dish");
  assert_string_equal(es_text_table_cell(t, 1, 0), "Q2");
  assert_int_equal(es_text_table_line(t, 1), 4);
  es_text_table_close(t);
}

/* --- numbers --------------------------------------------------------------------------------------------------------------- */

static void numbers_and_their_faults(void **state) {
  (void)state;
  es_text_table *t = parse("name,height_m\nQ1,12.5\nQ2,twelve\nQ3,\nQ4,-1\nQ5,1e3\nQ6,12 m\n");
  es_faults faults = {0};
  double value;
  assert_true(es_text_table_number(t, 0, 1, 0.0, 500.0, &value, &faults));
  assert_near(value, 12.5, 0.0);
  assert_true(es_text_table_number(t, 2, 1, 0.0, 500.0, &value, &faults)); /* empty: not given, never zero */
  assert_true(isnan(value));
  assert_int_equal(faults.n, 0);
  const size_t bad[] = {1, 3, 4, 5};
  for (size_t i = 0; i < 4; i++) {
    assert_false(es_text_table_number(t, bad[i], 1, 0.0, 500.0, &value, &faults));
    assert_true(isnan(value));
  }
  assert_int_equal(faults.n_faults, 4);
  assert_string_equal(faults.items[0].file, "list.csv");
  assert_int_equal(faults.items[0].line, 3);
  assert_string_equal(faults.items[0].text, "height_m=twelve: want a number from 0 to 500");
  assert_int_equal(faults.items[1].line, 5);
  es_faults_free(&faults);
  es_text_table_close(t);
}

static void what_is_a_number(void **state) {
  (void)state;
  double value = 7.0;
  assert_true(es_parse_number("-12.5e-1", &value));
  assert_near(value, -1.25, 0.0);
  assert_true(es_parse_number(" 3 ", &value));
  assert_near(value, 3.0, 0.0);
  static const char *const bad[] = {"", " ", "1,5", "1 2", "ten", "nan", "inf", "1e999", "0x", "--1", "5m"};
  value = 7.0;
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    assert_false(es_parse_number(bad[i], &value));
    assert_near(value, 7.0, 0.0); /* left alone */
  }
}

/* --- files ------------------------------------------------------------------------------------------------------------------ */

static void a_file_is_read_whole(void **state) {
  (void)state;
  char path[] = "/tmp/earshot-test-text-XXXXXX";
  int fd = mkstemp(path);
  assert_true(fd >= 0);
  FILE *file = fdopen(fd, "wb");
  fputs("d_km,h_m\n", file);
  for (int i = 0; i < 20000; i++) fprintf(file, "%d.5,%d\n", i, 7 * i); /* longer than one read */
  fclose(file);
  es_error err = {0};
  es_text_table *t = es_text_table_open(path, &err);
  unlink(path);
  assert_non_null(t);
  assert_int_equal(es_text_table_rows(t), 20000);
  assert_string_equal(es_text_table_cell(t, 19999, 1), "139993");
  assert_int_equal(es_text_table_line(t, 19999), 20001);
  es_text_table_close(t);
}

static void a_file_that_cannot_be_read_says_so(void **state) {
  (void)state;
  static const char *const paths[] = {"/nowhere/list.csv", "/tmp"};
  for (size_t i = 0; i < 2; i++) {
    es_error err = {0};
    assert_null(es_text_table_open(paths[i], &err));
    assert_int_equal(err.status, ES_E_FILE);
    assert_non_null(strstr(err.detail, paths[i]));
  }
}

static void paths_beside_a_file(void **state) {
  (void)state;
  static const struct {
    const char *beside, *path, *want;
  } rows[] = {{"jobs/a.yaml", "list.csv", "jobs/list.csv"},
              {"a.yaml", "list.csv", "list.csv"},
              {"/j/a.yaml", "../list.csv", "/j/../list.csv"},
              {"jobs/a.yaml", "/data/list.csv", "/data/list.csv"}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    char *path = es_path_beside(rows[i].beside, rows[i].path);
    assert_string_equal(path, rows[i].want);
    free(path);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rules_of_rfc_4180),
      cmocka_unit_test(blanks_around_cells),
      cmocka_unit_test(comments_are_passed_over_and_lines_counted),
      cmocka_unit_test(a_byte_order_mark_is_no_part_of_the_first_name),
      cmocka_unit_test(short_rows_and_absent_columns),
      cmocka_unit_test(a_header_alone_has_no_rows),
      cmocka_unit_test(what_is_no_table_is_refused),
      cmocka_unit_test(quotes_left_open_are_told_with_their_line),
      cmocka_unit_test(a_quote_inside_an_unquoted_cell),
      cmocka_unit_test(numbers_and_their_faults),
      cmocka_unit_test(what_is_a_number),
      cmocka_unit_test(a_file_is_read_whole),
      cmocka_unit_test(a_file_that_cannot_be_read_says_so),
      cmocka_unit_test(paths_beside_a_file),
  };
  return cmocka_run_group_tests_name("text tables", tests, NULL, NULL);
}
