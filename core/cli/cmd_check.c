/* cmd_check.c - earshot check JOB.yaml: every fault at once, and what a run will take. */
#include <argp.h>
#include <math.h>
#include <stdio.h>

#include "cli/cli.h"
#include "radial/fan.h"
#include "run/path.h"

typedef struct args {
  es_common common;
  const char *job;
} args;

static error_t parse(int key, char *arg, struct argp_state *state) {
  args *a = state->input;
  switch (key) {
  case ARGP_KEY_INIT: state->child_inputs[0] = &a->common; return 0;
  case ARGP_KEY_ARG:
    if (a->job != NULL) argp_error(state, "one JOB at a time");
    a->job = arg;
    return 0;
  case ARGP_KEY_END:
    if (a->job == NULL) argp_error(state, "want a JOB");
    return 0;
  default: return ARGP_ERR_UNKNOWN;
  }
}

static const struct argp_child children[] = {{&es_common_argp, 0, NULL, 0}, {0}};
static const struct argp parser = {
    NULL,
    parse,
    "JOB.yaml",
    "Read a job and everything it names, tell every fault at once, and say what a run takes. "
    "Nothing is written.\v"
    "Example: earshot check examples/skarn-head/job.yaml",
    children,
    NULL,
    NULL};

static void print_plan(const es_setup *s, size_t ground_bytes) {
  const es_job *job = s->job;
  printf("beacon      %s, %.6f GHz\n", job->beacon.name, job->beacon.freq_ghz);
  printf("scenarios   %zu\nlisteners   %zu\npaths       %zu\n", job->n_scenarios, job->listeners.n,
         job->n_scenarios * job->listeners.n);
  if (job->map.wanted) {
    double side = 2.0 * floor(job->map.radius_km * 1e3 / job->map.cell_m) + 1.0;
    if (job->map.grid == ES_GRID_BEACON)
      printf("map         %.0f x %.0f cells of %g m, %zu times\n", side, side, job->map.cell_m, job->n_scenarios);
    else
      printf("map         the elevation's own cells, %zu times\n", job->n_scenarios);
  } else {
    puts("map         none");
  }
  printf("ground      %.1f km around the beacon\n", s->reach_m / 1e3);
  printf("memory      %.0f MB of ground, %.0f MB of map\n", (double)ground_bytes / 1e6, es_setup_map_bytes(s) / 1e6);
  fputs("models     ", stdout);
  for (size_t i = 0; i < s->chain.n; i++) printf(" %s", s->chain.models[i]->is.id);
  putchar('\n');
}

int es_cmd_check(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_setup setup = {0};
  es_model_folders folders = es_common_folders(&a.common);
  es_job *job = es_job_open(a.job, &faults);
  size_t ground = 0;
  if (job != NULL) {
    es_setup_plan(job, &folders, &setup, &faults);
    ground = es_ground_bytes(&job->ground, (es_ground_area){job->beacon.at, setup.reach_m}, &faults);
  }
  es_faults_tell(&faults, a.common.quiet);
  if (faults.n_faults == 0)
    print_plan(&setup, ground);
  else
    fprintf(stderr, "%zu fault%s; nothing would be computed\n", faults.n_faults, faults.n_faults == 1 ? "" : "s");
  int status = faults.n_faults == 0 ? ES_EXIT_DONE : ES_EXIT_FAULT;
  if (job != NULL) es_setup_close(&setup);
  es_job_close(job);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return status;
}
