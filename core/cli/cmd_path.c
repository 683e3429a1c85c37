/* cmd_path.c - earshot path JOB.yaml LISTENER: one listener in full. */
#include <argp.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "cli/cli.h"
#include "cli/trees_text.h"
#include "run/path.h"
#include "run/path_picture.h"
#include "run/record.h"
#include "run/table.h"

enum { KEY_JSON = 2000, KEY_SCENARIO, KEY_PICTURE };

typedef struct args {
  es_common common;
  const char *job, *listener, *scenario, *picture;
  bool json;
} args;

static error_t parse(int key, char *arg, struct argp_state *state) {
  args *a = state->input;
  switch (key) {
  case ARGP_KEY_INIT: state->child_inputs[0] = &a->common; return 0;
  case KEY_JSON: a->json = true; return 0;
  case KEY_SCENARIO: a->scenario = arg; return 0;
  case KEY_PICTURE: a->picture = arg; return 0;
  case ARGP_KEY_ARG:
    if (a->listener != NULL) argp_error(state, "want a JOB and one LISTENER");
    if (a->job == NULL)
      a->job = arg;
    else
      a->listener = arg;
    return 0;
  case ARGP_KEY_END:
    if (a->listener == NULL) argp_error(state, "want a JOB and a LISTENER");
    return 0;
  default: return ARGP_ERR_UNKNOWN;
  }
}

static const struct argp_option options[] = {
    {"json", KEY_JSON, NULL, 0, "Print the whole answer as JSON", 0},
    {"scenario", KEY_SCENARIO, "NAME", 0, "This scenario (default: the job's first)", 0},
    {"picture", KEY_PICTURE, "FILE.png", 0, "Draw the profile: ground, trees, ray and Fresnel zone", 0},
    {0}};
static const struct argp_child children[] = {{&es_common_argp, 0, NULL, 0}, {0}};
static const struct argp parser = {
    options,
    parse,
    "JOB.yaml LISTENER",
    "One listener of a job in full: geometry, every term, every way, the budget, the share of "
    "time. LISTENER is a name of the list, or its row number as #3.\v"
    "Example: earshot path examples/skarn-head/job.yaml Q7XAN",
    children,
    NULL,
    NULL};

static const es_listener *find_listener(const es_job *job, const char *name, es_faults *faults) {
  double row;
  if (name[0] == '#' && es_parse_number(name + 1, &row) && row >= 1.0 && row <= (double)job->listeners.n)
    return &job->listeners.items[(size_t)row - 1];
  const es_listener *found = NULL;
  for (size_t i = 0; i < job->listeners.n; i++) {
    if (strcmp(job->listeners.items[i].name, name) != 0) continue;
    if (found != NULL) {
      es_fault_add(faults, job->listeners_path, 0, "more than one listener is named %s; give the row as #%zu", name,
                   i + 1);
      return NULL;
    }
    found = &job->listeners.items[i];
  }
  if (found == NULL) es_fault_add(faults, job->listeners_path, 0, "no listener is named %s", name);
  return found;
}

static const es_scenario *find_scenario(const es_job *job, const char *name, es_faults *faults) {
  for (size_t i = 0; i < job->n_scenarios; i++)
    if (name == NULL || strcmp(job->scenarios[i].name, name) == 0) return &job->scenarios[i];
  es_fault_add(faults, job->path, 0, "no scenario is named %s; the first is %s", name, job->scenarios[0].name);
  return NULL;
}

static void print_geometry(const es_path_answer *a) {
  printf("  distance %.2f km, bearing %.1f, back %.1f degrees\n", a->course.dist_m / 1e3, a->course.azimuth_deg,
         a->course.back_azimuth_deg);
  printf("  %s; leaves at %+.2f, arrives at %+.2f degrees\n", a->los ? "line of sight" : "beyond the horizon",
         es_deg(a->el_tx), es_deg(a->el_rx));
  if (isfinite(a->clearance_m))
    printf("  least clearance %.1f m (%.2f first Fresnel zones) at %.2f km\n", a->clearance_m, a->clearance_f1,
           a->worst_m / 1e3);
}

static void print_loss(const es_percentages *p, const es_path_answer *a) {
  size_t m = p->median;
  for (size_t i = 0; i < a->n_terms; i++) printf("  %-14s %8.2f dB (surface way)\n", a->term_id[i], a->term_db[i][m]);
  for (int i = 0; i < ES_WAYS; i++)
    if (a->way_db[i] != NULL) printf("  %-14s %8.2f dB (whole way)\n", es_way_name((uint8_t)(1 << i)), a->way_db[i][m]);
  printf("  %-14s %8.2f dB, carried by %s\n", "all together", a->basic_db[m], es_way_name(a->winner[m]));
}

static void print_times(const es_percentages *p, const es_path_answer *a) {
  printf("  %10s %10s %10s %10s  %s\n", "time, %", "loss, dB", "level, dBm", "SNR, dB", "carried by");
  for (size_t k = 0; k < a->n; k++)
    printf("  %10g %10.1f %10.1f %10.1f  %s\n", p->value[k], a->basic_db[k], a->level_dbm[k], a->snr_db[k],
           es_way_name(a->winner[k]));
}

static void print_answer(const es_setup *setup, const es_scenario *scenario, const es_listener *l,
                         const es_percentages *p, const es_path_answer *a) {
  printf("%s, %s\n", l->name, scenario->name);
  if (a->status != ES_OK) {
    printf("  no answer: the ground is known for %.2f of %.2f km\n", a->reach_m / 1e3, a->course.dist_m / 1e3);
    return;
  }
  print_geometry(a);
  printf("Loss, half of the time\n");
  print_loss(p, a);
  es_trees_print(setup, a);
  printf("Budget\n  EIRP %.1f dBm (ERP %.1f dBm) toward it, receiving gain %.1f dBi, system %.0f K, noise %.1f dBm in "
         "2500 Hz\n",
         a->eirp_dbm, a->eirp_dbm - ES_ERP_TO_EIRP_DB, a->gain_rx_dbi, a->noise.system_k, a->noise.noise_2500_dbm);
  if (setup->timed) printf("By time of the year\n");
  print_times(p, a);
  if (!isnan(a->heard_percent))
    printf("Heard %.1f %% of the year in mode %s (needs %.1f dB in 2500 Hz)\n", a->heard_percent, l->rx.mode,
           a->needed_db);
}

static void evaluate(const args *a, es_setup *setup, es_faults *faults) {
  const es_job *job = setup->job;
  const es_listener *listener = find_listener(job, a->listener, faults);
  const es_scenario *scenario = find_scenario(job, a->scenario, faults);
  es_percentages percents = es_percentages_of(job, setup->timed, setup->highest_percent);
  es_worker *worker = es_workers_create(1);
  es_arena *results = es_arena_create();
  es_error err = {0};
  es_path_answer answer;
  es_radial radial;
  if (listener != NULL && scenario != NULL && worker != NULL && results != NULL) {
    if (es_path_evaluate(setup, scenario, listener, &percents, worker, results, NULL, NULL, &answer, &radial, &err) !=
        0) {
      es_fault_add(faults, job->path, 0, "%s", err.detail);
    } else if (a->json) {
      json_t *record = es_record_path(setup, scenario, listener, &percents, &answer);
      json_dumpf(record, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
      putchar('\n');
      json_decref(record);
    } else {
      print_answer(setup, scenario, listener, &percents, &answer);
    }
    if (a->picture != NULL && err.status == 0 && answer.status == ES_OK &&
        es_path_picture_write(a->picture, setup, scenario, listener, &percents, &answer, &radial, NULL, &err) != 0)
      es_fault_add(faults, job->path, 0, "%s", err.detail);
  }
  es_arena_destroy(results);
  es_workers_destroy(worker, 1);
}

int es_cmd_path(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_setup setup = {0};
  es_model_folders folders = es_common_folders(&a.common);
  es_job *job = es_job_open(a.job, &faults);
  if (job != NULL) {
    if (es_setup_plan(job, &folders, &setup, &faults) && es_setup_ground(&setup, &faults, NULL))
      evaluate(&a, &setup, &faults);
    es_setup_close(&setup);
  }
  es_faults_tell(&faults, a.common.quiet);
  int status = faults.n_faults == 0 ? ES_EXIT_DONE : ES_EXIT_FAULT;
  es_job_close(job);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return status;
}
