/* cmd_run.c - earshot run JOB.yaml --output DIR. */
#include <argp.h>
#include <stdio.h>

#include "cli/cli.h"
#include "run/run.h"

typedef struct args {
  es_common common;
  const char *job, *output;
} args;

static error_t parse(int key, char *arg, struct argp_state *state) {
  args *a = state->input;
  switch (key) {
  case ARGP_KEY_INIT: state->child_inputs[0] = &a->common; return 0;
  case 'o': a->output = arg; return 0;
  case ARGP_KEY_ARG:
    if (a->job != NULL) argp_error(state, "one JOB at a time");
    a->job = arg;
    return 0;
  case ARGP_KEY_END:
    if (a->job == NULL) argp_error(state, "want a JOB");
    if (a->output == NULL) argp_error(state, "want --output DIR");
    return 0;
  default: return ARGP_ERR_UNKNOWN;
  }
}

static const struct argp_option options[] = {{"output", 'o', "DIR", 0, "Folder for the answers; made when missing", 0},
                                             {0}};
static const struct argp_child children[] = {{&es_common_argp, 0, NULL, 0}, {0}};
static const struct argp parser = {
    options,
    parse,
    "JOB.yaml",
    "Compute every listener and the map of a job, in every scenario.\v"
    "Example: earshot run examples/skarn-head/job.yaml --output out/skarn-head\n\n"
    "Writes report.html, digest.txt, listeners.csv, .gpkg and .geojson, map-*.png, .tif and .kmz, coverage-*, paths/, "
    "run.json and run-log.json. "
    "The same input gives the same bytes, run-log.json aside. docs/job-file.md describes the job.",
    children,
    NULL,
    NULL};

int es_cmd_run(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_error err = {0};
  es_job *job = es_job_read(a.job, &faults);
  es_run_options run_options = {.folder = a.output,
                                .models = es_common_folders(&a.common),
                                .threads = a.common.threads,
                                .quiet = a.common.quiet,
                                .memory_bytes = a.common.memory_bytes};
  int32_t status = job != NULL ? es_run(job, &run_options, &faults, &err) : ES_E_INPUT;
  es_faults_tell(&faults, a.common.quiet);
  if (status != 0 && faults.n_faults == 0) fprintf(stderr, "earshot: %s\n", err.detail);
  int exit_status = status == 0 ? ES_EXIT_DONE : faults.n_faults > 0 ? ES_EXIT_FAULT : ES_EXIT_STOPPED;
  if (exit_status == ES_EXIT_DONE && !a.common.quiet) fprintf(stderr, "answers are in %s\n", a.output);
  es_job_close(job);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return exit_status;
}
