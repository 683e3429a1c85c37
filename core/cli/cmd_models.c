/* cmd_models.c - earshot models [ID]: what the host found, and one model in full. */
#include <argp.h>
#include <stdio.h>
#include <string.h>

#include "cli/cli.h"

typedef struct args {
  es_common common;
  const char *id;
} args;

static error_t parse(int key, char *arg, struct argp_state *state) {
  args *a = state->input;
  switch (key) {
  case ARGP_KEY_INIT: state->child_inputs[0] = &a->common; return 0;
  case ARGP_KEY_ARG:
    if (a->id != NULL) argp_error(state, "one ID at most");
    a->id = arg;
    return 0;
  default: return ARGP_ERR_UNKNOWN;
  }
}

static const struct argp_child children[] = {{&es_common_argp, 0, NULL, 0}, {0}};
static const struct argp parser = {NULL,
                                   parse,
                                   "[ID]",
                                   "List the loss models found, or describe one.\v"
                                   "Example: earshot models diffraction\n\n"
                                   "Models are looked for in the folders named by --models-from, then in those of "
                                   "EARSHOT_MODEL_PATH (parted by colons), "
                                   "then in the installed folder; never in the current one.",
                                   children,
                                   NULL,
                                   NULL};

static void list(const es_model_set *set) {
  printf("%-14s %-7s %-58s %s\n", "id", "role", "what", "source");
  for (size_t i = 0; i < set->n; i++) {
    const es_model *m = &set->items[i].is;
    printf("%-14s %-7s %-58s %s\n", m->id, es_role_name(m->role), m->title != NULL ? m->title : "",
           m->source != NULL ? m->source : "");
  }
}

static void describe_ways(uint32_t touches) {
  static const char *const names[] = {"surface", "ducting", "troposcatter"};
  const char *comma = "";
  for (int i = 0; i < 3; i++)
    if (touches & (1u << i)) {
      printf("%s%s", comma, names[i]);
      comma = ", ";
    }
  putchar('\n');
}

static void describe(const es_loaded_model *loaded) {
  const es_model *m = &loaded->is;
  printf("%s: %s\n", m->id, m->title != NULL ? m->title : "");
  printf("  source    %s\n  role      %s\n", m->source != NULL ? m->source : "", es_role_name(m->role));
  if (m->role != ES_TOTAL) {
    fputs(m->role == ES_WAY ? "  is        " : "  touches   ", stdout);
    describe_ways(m->touches);
  }
  printf("  range     %g to %g GHz, %g to %g km\n  file      %s\n", m->min_ghz, m->max_ghz, m->min_km, m->max_km,
         loaded->path);
  for (size_t i = 0; i < m->n_settings; i++) {
    const es_setting *s = &m->settings[i];
    char fallback[64];
    es_setting_text(s, s->fallback, fallback, sizeof fallback);
    printf("  setting   %s: %s\n            default %s, ", s->key, s->help, fallback);
    if (s->choices != NULL)
      printf("one of %s\n", s->choices);
    else
      printf("%g to %g %s\n", s->min, s->max, s->unit);
  }
}

int es_cmd_models(int argc, char **argv) {
  args a = {0};
  if (argp_parse(&parser, argc, argv, 0, NULL, &a) != 0 || !es_common_begin(&a.common)) return ES_EXIT_USAGE;
  es_faults faults = {0};
  es_model_set set = {0};
  es_model_folders folders = es_common_folders(&a.common);
  bool ok = es_folders_open(&folders, &set, &faults);
  const es_loaded_model *one = a.id != NULL ? es_model_find(&set, a.id) : NULL;
  if (a.id != NULL && one == NULL)
    es_fault_add(&faults, NULL, 0, "there is no model %s; earshot models lists them", a.id);
  es_faults_tell(&faults, a.common.quiet);
  if (one != NULL)
    describe(one);
  else if (a.id == NULL)
    list(&set);
  ok = ok && faults.n_faults == 0;
  es_models_close(&set);
  es_faults_free(&faults);
  es_common_end(&a.common);
  return ok ? ES_EXIT_DONE : ES_EXIT_FAULT;
}
