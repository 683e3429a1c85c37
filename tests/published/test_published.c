/* test_published.c - whole tables of published results through the door of `earshot profile`.
 *
 * They are in the folder EARSHOT_CHECK_VALUES; without it the test counts as skipped. test_own.c runs extracts of
 * the same tables that are part of the project. */
#include <stdlib.h>

#include "tables.h"

static void whole_table(void **state) { pub_check(*state, getenv("EARSHOT_CHECK_VALUES"), true); }

#define TABLE(variable) cmocka_unit_test_prestate(whole_table, (void *)&(variable))

int main(void) {
  if (getenv("EARSHOT_CHECK_VALUES") == NULL) return 77; /* SKIP_RETURN_CODE */
  struct CMUnitTest tests[] = {TABLE(p2001_4_table),          TABLE(p2001_3_table), TABLE(p452_18_table),
                               TABLE(p452_18_software_table), TABLE(p452_17_table), TABLE(p526_published_table),
                               TABLE(p526_computed_table)};
  for (size_t i = 0; i < sizeof tests / sizeof *tests; i++)
    tests[i].name = ((const pub_table *)tests[i].initial_state)->file;
  return cmocka_run_group_tests_name("published", tests, NULL, NULL);
}
