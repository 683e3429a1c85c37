/* cmd_profile.c - earshot profile FILE.yaml --json: the validation door. */
#include <argp.h>
#include <stdio.h>

#include "cli/cli.h"
#include "run/profile.h"

enum { KEY_JSON = 2000 };

typedef struct args {
  es_common common;
  const char *path;
  bool json;
} args;

static error_t parse(int key, char *arg, struct argp_state *state) {
  args *a = state->input;
  switch (key) {
  case ARGP_KEY_INIT: state->child_inputs[0] = &a->common; return 0;
  case KEY_JSON: a->json = true; return 0;
  case ARGP_KEY_ARG:
    if (a->path != NULL) argp_error(state, "one FILE at a time");
    a->path = arg;
    return 0;
  case ARGP_KEY_END:
    if (a->path == NULL) argp_error(state, "want a FILE");
    return 0;
  default: return ARGP_ERR_UNKNOWN;
  }
}

static const struct argp_option options[] = {{"json", KEY_JSON, NULL, 0, "Print the whole answer as JSON", 0}, {0}};
static const struct argp_child children[] = {{&es_common_argp, 0, NULL, 0}, {0}};
static const struct argp parser = {options,
                                   parse,
                                   "FILE.yaml",
                                   "Evaluate one profile given as numbers, through the same code as a run.\v"
                                   "Example: earshot profile examples/profile/two-hills.yaml --json\n\n"
                                   "docs/profile-file.md describes the file.",
                                   children,
                                   NULL,
                                   NULL};

static void print_ways(const json_t *ways) {
  for (void *at = json_object_iter((json_t *)ways); at != NULL; at = json_object_iter_next((json_t *)ways, at)) {
    const json_t *loss = json_object_get(json_object_iter_value(at), "basic_loss_db");
    printf(" %s %.2f", json_object_iter_key(at), json_number_value(loss));
  }
}

static void print_plain(const json_t *answer) {
  const json_t *results = json_object_get(answer, "results");
  printf("%12s %16s  %-13s  %s\n", "time, %", "basic loss, dB", "status", "by way, dB");
  for (size_t i = 0; i < json_array_size(results); i++) {
    const json_t *result = json_array_get(results, i);
    printf("%12g %16.2f  %-13s ", json_number_value(json_object_get(result, "time_percent")),
           json_number_value(json_object_get(result, "basic_loss_db")),
           json_string_value(json_object_get(result, "status")));
    print_ways(json_object_get(result, "ways"));
    putchar('\n');
  }
}

int es_cmd_profile(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_model_folders folders = es_common_folders(&a.common);
  es_profile_job *job = es_profile_job_open(a.path, &faults);
  json_t *answer = job != NULL ? es_profile_evaluate(job, &folders, &faults) : NULL;
  es_faults_tell(&faults, a.common.quiet);
  if (answer != NULL && a.json) {
    json_dumpf(answer, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(15));
    putchar('\n');
  } else if (answer != NULL) {
    print_plain(answer);
  }
  int status = answer != NULL && faults.n_faults == 0 ? ES_EXIT_DONE : ES_EXIT_FAULT;
  json_decref(answer);
  es_profile_job_close(job);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return status;
}
