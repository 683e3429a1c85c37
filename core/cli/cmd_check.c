/* cmd_check.c - earshot check JOB.yaml: every fault at once, and what a run will take. */
#include <argp.h>
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "cli/cli.h"
#include "run/estimate.h"
#include "run/map.h"
#include "run/trial.h"

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
    "What it tries lies in a temporary folder and is removed.\v"
    "Example: earshot check examples/skarn-head/job.yaml",
    children,
    NULL,
    NULL};

static double megabytes(size_t bytes) { return (double)bytes / 1e6; }

static void print_map(const es_setup *s, const es_trial *t) {
  const es_frame *f = &s->frame;
  if (!s->has_frame) {
    puts("map         none");
    return;
  }
  printf("map         %d x %d cells of %g m, %zu radials", f->cols, f->rows, f->cell_m, es_map_rays(s));
  if (s->job->n_scenarios > 1)
    printf(", in each of %zu scenarios; losses worked out %zu time%s", s->job->n_scenarios, t->passes,
           t->passes == 1 ? "" : "s");
  putchar('\n');
}

static void print_time(const es_setup *s, const es_trial *t, double ground_s, int threads) {
  double begin_s = ground_s + t->inputs_s, files_s = isnan(t->files_s) ? 0.0 : t->files_s;
  printf("time        about %.0f s on %d thread%s: ground %.1f, listeners %.1f",
         ceil(begin_s + t->listeners_s + t->maps_s + files_s), threads, threads == 1 ? "" : "s", begin_s,
         t->listeners_s);
  if (s->has_frame) printf(", maps %.1f", t->maps_s);
  if (isnan(t->files_s))
    puts("; files not counted");
  else
    printf(", files %.1f\n", files_s);
}

static void print_plan(const es_setup *s, const es_estimate *e, const es_trial *t, double ground_s, int threads) {
  const es_job *job = s->job;
  printf("beacon      %s, %.6f GHz\n", job->beacon.name, job->beacon.freq_ghz);
  printf("scenarios   %zu\nlisteners   %zu\npaths       %zu\n", job->n_scenarios, job->listeners.n,
         job->n_scenarios * job->listeners.n);
  print_map(s, t);
  fputs("models     ", stdout);
  for (size_t i = 0; i < s->chain.n; i++) printf(" %s", s->chain.models[i]->is.id);
  printf("\nground      %.1f km around the beacon, in steps of %.0f m\n", s->reach_m / 1e3, s->facts.step_m);
  printf("memory      about %.0f MB: %.0f MB of ground (%.0f MB while it is read), %.0f MB of map, "
         "%.0f MB of answers\n",
         megabytes(e->peak_bytes), megabytes(e->ground_bytes), megabytes(e->ground_peak_bytes), megabytes(e->map_bytes),
         megabytes(e->answer_bytes));
  if (e->disk_bytes > 0)
    printf("disk        about %.0f MB in the folder of the answers, while the map is made: its layers\n",
           megabytes(e->disk_bytes));
  print_time(s, t, ground_s, threads);
}

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Reads everything that a run would read. */
static void read_everything(const args *a, const es_job *job, es_setup *setup, es_estimate *estimate, es_trial *trial,
                            double *ground_s, es_faults *faults) {
  es_model_folders folders = es_common_folders(&a->common);
  double start = now_s();
  es_setup_plan(job, &folders, setup, faults);
  setup->memory_bytes = a->common.memory_bytes;
  if (es_setup_ground(setup, faults, NULL)) es_estimate_fits(setup, a->common.threads, "", faults);
  *ground_s = now_s() - start;
  if (faults->n_faults > 0) return;
  es_percentages percents = es_percentages_of(job, setup->timed, setup->highest_percent);
  es_error err = {0};
  es_estimate_bytes(setup, a->common.threads, estimate);
  int32_t status = es_trial_make(setup, &percents, a->common.threads, trial, &err);
  if (status == ES_E_FILE)
    es_note_add(faults, NULL, 0, "time: files cannot be tried: %s", err.detail);
  else if (status != 0)
    es_fault_error(faults, job->path, &err);
}

int es_cmd_check(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_setup setup = {0};
  es_estimate estimate = {0};
  es_trial trial = {0};
  double ground_s = 0.0;
  es_job *job = es_job_read(a.job, &faults);
  if (job != NULL) read_everything(&a, job, &setup, &estimate, &trial, &ground_s, &faults);
  es_faults_tell(&faults, a.common.quiet);
  if (faults.n_faults == 0)
    print_plan(&setup, &estimate, &trial, ground_s, a.common.threads);
  else
    fprintf(stderr, "%zu fault%s; nothing would be computed\n", faults.n_faults, faults.n_faults == 1 ? "" : "s");
  int status = faults.n_faults == 0 ? ES_EXIT_DONE : ES_EXIT_FAULT;
  es_setup_close(&setup);
  es_job_close(job);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return status;
}
