/* cmd_path.c - earshot path JOB.yaml LISTENER: one listener in full. */
#include <argp.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "cli/cli.h"
#include "cli/path_text.h"
#include "run/another.h"
#include "run/path_picture.h"
#include "run/record.h"
#include "run/verdict.h"

enum { KEY_JSON = 2000, KEY_SCENARIO, KEY_CHAIN, KEY_PICTURE };

typedef struct args {
  es_common common;
  const char *job, *listener, *scenario, *chain, *picture;
  bool json;
} args;

static bool is_chain(const char *word) {
  for (int k = ES_CHAIN_DIFFRACTION; k <= ES_CHAIN_OPENINGS; k++)
    if (strcmp(word, es_chain_name((es_chain_kind)k)) == 0) return true;
  return strcmp(word, "both") == 0;
}

static error_t parse(int key, char *arg, struct argp_state *state) {
  args *a = state->input;
  switch (key) {
  case ARGP_KEY_INIT: state->child_inputs[0] = &a->common; return 0;
  case KEY_JSON: a->json = true; return 0;
  case KEY_SCENARIO: a->scenario = arg; return 0;
  case KEY_CHAIN:
    if (!is_chain(arg)) argp_error(state, "--chain=%s: want whole-year, openings, both or diffraction", arg);
    a->chain = arg;
    return 0;
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
    {"chain", KEY_CHAIN, "CHAIN", 0,
     "whole-year, openings, diffraction, or both: whole-year and openings side by side (default: the job's)", 0},
    {"picture", KEY_PICTURE, "FILE.png", 0, "Draw the profile: ground, trees, ray and Fresnel zone", 0},
    {0}};
static const struct argp_child children[] = {{&es_common_argp, 0, NULL, 0}, {0}};
static const struct argp parser = {
    options,
    parse,
    "JOB.yaml LISTENER",
    "One listener of a job in full: geometry, every term, every way, the budget, the share of "
    "time. LISTENER is a name of the list, or its row number as #3.\v"
    "Example: earshot path examples/skarn-head/job.yaml \"Q7XAN Sorrel Bay\"\n"
    "         earshot path examples/skarn-head/job.yaml '#6' --chain both",
    children,
    NULL,
    NULL};

/* The whole name, or its first word, which often is a call. */
static bool is_called(const char *whole, const char *name) {
  size_t n = strlen(name);
  return strncmp(whole, name, n) == 0 && (whole[n] == '\0' || whole[n] == ' ');
}

static const es_listener *find_listener(const es_job *job, const char *name, es_faults *faults) {
  double row;
  if (name[0] == '#' && es_parse_number(name + 1, &row) && row >= 1.0 && row <= (double)job->listeners.n)
    return &job->listeners.items[(size_t)row - 1];
  const es_listener *found = NULL;
  for (size_t i = 0; i < job->listeners.n; i++) {
    if (!is_called(job->listeners.items[i].name, name)) continue;
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

/* --- chains ------------------------------------------------------------------------------------------------------- */

enum { VIEWS = 2 };

/* What --chain asks for: one chain, or the two with a distribution over time. Without it, the job's own. */
static size_t wanted_chains(const char *word, const es_job *job, es_chain_kind out[VIEWS]) {
  out[0] = job->chain;
  if (word == NULL) return 1;
  if (strcmp(word, "both") == 0) {
    out[0] = ES_CHAIN_WHOLE_YEAR;
    out[1] = ES_CHAIN_OPENINGS;
    return 2;
  }
  for (int k = ES_CHAIN_DIFFRACTION; k <= ES_CHAIN_OPENINGS; k++)
    if (strcmp(word, es_chain_name((es_chain_kind)k)) == 0) out[0] = (es_chain_kind)k;
  return 1;
}

/* --- one listener ------------------------------------------------------------------------------------------------- */

typedef struct question {
  const es_job *job;
  const es_listener *listener;
  const es_scenario *scenario;
  es_worker *worker;
  es_arena *results;
  es_path_view views[VIEWS];
  size_t n;
} question;

static bool evaluate(question *q, es_faults *faults) {
  es_error err = {0};
  for (size_t i = 0; i < q->n; i++) {
    es_path_view *v = &q->views[i];
    v->percents = es_percentages_of(q->job, v->setup->timed, v->setup->highest_percent);
    if (es_path_evaluate(v->setup, q->scenario, q->listener, &v->percents, q->worker, q->results, NULL, NULL,
                         &v->answer, NULL, &err) == 0 &&
        es_path_advise(v->setup, q->scenario, q->listener, &v->percents, q->worker, q->results, &v->answer, &err) ==
            0 &&
        es_year_of_path(v->setup, &v->percents, (size_t)(q->scenario - q->job->scenarios), q->listener, q->worker,
                        q->results, &v->year, &err) == 0)
      continue;
    es_fault_error(faults, q->job->path, &err);
    return false;
  }
  return true;
}

/* The first chain's profile. The advice has used the worker's memory: the path is laid out once more for the picture. */
static void draw(const args *a, question *q, es_faults *faults) {
  const es_path_view *v = &q->views[0];
  es_path_answer again;
  es_radial radial;
  es_error err = {0};
  if (v->answer.status != ES_OK) return;
  if (es_path_evaluate(v->setup, q->scenario, q->listener, &v->percents, q->worker, q->results, NULL, NULL, &again,
                       &radial, &err) != 0 ||
      es_path_picture_write(a->picture, v->setup, q->scenario, q->listener, &v->percents, &v->answer, &radial, NULL,
                            &err) != 0)
    es_fault_error(faults, q->job->path, &err);
}

static json_t *view_record(const question *q, const es_path_view *v) {
  json_t *record = es_record_path(v->setup, q->scenario, q->listener, &v->percents, &v->answer);
  if (record != NULL && v->year.known) json_object_set_new(record, "year", es_year_record(&q->job->trees, &v->year));
  return record;
}

/* One chain: its record. Two: {"chains": {"whole-year": record, "openings": record}}. */
static void print_json(const question *q) {
  json_t *all = json_object();
  for (size_t i = 0; i < q->n; i++) {
    const es_path_view *v = &q->views[i];
    json_object_set_new(all, es_chain_name(v->setup->chain.kind), view_record(q, v));
  }
  const json_t *only = json_object_get(all, es_chain_name(q->views[0].setup->chain.kind));
  json_t *both = q->n > 1 ? json_pack("{s:O}", "chains", all) : NULL;
  json_dumpf(both != NULL ? both : only, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
  putchar('\n');
  json_decref(both);
  json_decref(all);
}

static void answer(const args *a, question *q, es_faults *faults) {
  q->worker = es_workers_create(1);
  q->results = es_arena_create();
  if (q->worker == NULL || q->results == NULL) es_fault_memory(faults, q->job->path);
  if (faults->n_faults == 0 && evaluate(q, faults)) {
    if (a->json)
      print_json(q);
    else
      es_path_print(q->views, q->n, q->scenario, q->listener);
    if (a->picture != NULL) draw(a, q, faults);
  }
  es_arena_destroy(q->results);
  es_workers_destroy(q->worker, 1);
}

/* The ground is read once; each chain asked for stands on it. */
static void run(const args *a, const es_job *job, const es_model_folders *folders, es_faults *faults) {
  es_setup first = {0};
  es_another chains[VIEWS] = {0};
  es_chain_kind kinds[VIEWS];
  question q = {.job = job, .n = wanted_chains(a->chain, job, kinds)};
  es_setup_plan(job, folders, &first, faults);
  first.memory_bytes = a->common.memory_bytes;
  es_setup_ground(&first, faults, NULL); /* a faulty plan too: every fault is told at once */
  if (faults->n_faults == 0) q.scenario = find_scenario(job, a->scenario, faults);
  const es_setup *in = q.scenario != NULL ? es_setup_in(&first, (size_t)(q.scenario - job->scenarios)) : &first;
  if (q.scenario != NULL) q.listener = find_listener(in->job, a->listener, faults);
  bool ok = faults->n_faults == 0;
  for (size_t i = 0; i < q.n; i++) {
    ok = ok && es_another_open(in, kinds[i], folders, &chains[i], faults);
    q.views[i].setup = &chains[i].setup;
  }
  if (ok) answer(a, &q, faults);
  for (size_t i = 0; i < q.n; i++) es_another_close(&chains[i]);
  es_setup_close(&first);
}

int es_cmd_path(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_model_folders folders = es_common_folders(&a.common);
  es_job *job = es_job_read(a.job, &faults);
  if (job != NULL) run(&a, job, &folders, &faults);
  es_faults_tell(&faults, a.common.quiet);
  int status = faults.n_faults == 0 ? ES_EXIT_DONE : ES_EXIT_FAULT;
  es_job_close(job);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return status;
}
