/* test_path_chains.c - earshot path --chain: two chains side by side are the two that it shows one by one.
 *
 * Runs the program (its path is the first argument) on the demo's job. */
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#include "base/text.h"
#include "near.h"

#define ASKED "path examples/skarn-head/job.yaml '#9' --quiet"

/* What the program prints; caller frees. */
static char *printed(const char *program, const char *options, int *status) {
  char *command = es_format("'%s' " ASKED " %s 2>/dev/null", program, options);
  FILE *pipe = popen(command, "r");
  assert_non_null(pipe);
  char *text = calloc(1, 1 << 17);
  assert_non_null(text);
  size_t n = fread(text, 1, (1 << 17) - 1, pipe);
  assert_true(n < (1 << 17) - 1);
  int ended = pclose(pipe);
  assert_true(WIFEXITED(ended));
  *status = WEXITSTATUS(ended);
  free(command);
  return text;
}

static json_t *record(const char *program, const char *options) {
  int status;
  char *text = printed(program, options, &status);
  json_t *json = json_loads(text, 0, NULL);
  assert_int_equal(status, 0);
  assert_non_null(json);
  free(text);
  return json;
}

static double last_percent(const json_t *chains, const char *name) {
  const json_t *list = json_object_get(json_object_get(json_object_get(chains, name), "by_time"), "time_percent");
  return json_number_value(json_array_get(list, json_array_size(list) - 1));
}

static void both_are_the_two(void **state) {
  static const char *const names[] = {"whole-year", "openings"};
  json_t *both = record(*state, "--chain both --json"), *chains = json_object_get(both, "chains");
  assert_int_equal(json_object_size(chains), 2);
  for (int i = 0; i < 2; i++) {
    char *options = es_format("--chain %s --json", names[i]);
    json_t *one = record(*state, options);
    assert_true(json_equal(one, json_object_get(chains, names[i])));
    json_decref(one);
    free(options);
  }
  assert_near(last_percent(chains, "openings"), 50.0, 0.0); /* it knows nothing beyond half of the time */
  assert_true(last_percent(chains, "whole-year") > 99.0);
  json_decref(both);
}

static void text_shows_both_and_the_climate(void **state) {
  static const char *const words[] = {"whole-year",
                                      "openings",
                                      "apart, dB",
                                      "Climate at the middle of the path",
                                      "tropo_climate",
                                      "hPa",
                                      "zero_isotherm_km",
                                      "latitude",
                                      "default",
                                      "user",
                                      "50 |",
                                      "carried by"};
  int status;
  char *text = printed(*state, "--chain both", &status);
  assert_int_equal(status, 0);
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strstr(text, words[i]) == NULL) fail_msg("no '%s' in:\n%s", words[i], text);
  free(text);
}

static void an_unknown_chain_is_refused(void **state) {
  int status;
  char *text = printed(*state, "--chain summer", &status);
  assert_int_not_equal(status, 0);
  assert_string_equal(text, "");
  free(text);
}

int main(int argc, char **argv) {
  assert_true(argc == 2);
  const struct CMUnitTest tests[] = {cmocka_unit_test_prestate(both_are_the_two, argv[1]),

                                     cmocka_unit_test_prestate(text_shows_both_and_the_climate, argv[1]),
                                     cmocka_unit_test_prestate(an_unknown_chain_is_refused, argv[1])};
  return cmocka_run_group_tests_name("path_chains", tests, NULL, NULL);
}
