/* main.c - earshot: which command, and nothing else. */
#include <argp.h>
#include <jansson.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"

static const struct {
  const char *name, *does;
  int (*run)(int argc, char **argv);
} commands[] = {
    {"run", "Compute a job: every listener and the map, in every scenario", es_cmd_run},
    {"check", "Read a job, find every fault, say what a run will take", es_cmd_check},
    {"path", "One listener of a job in full", es_cmd_path},
    {"profile", "One profile given as numbers: for validation and teaching", es_cmd_profile},
    {"models", "The loss models found, their sources and settings", es_cmd_models},
};
enum { N_COMMANDS = sizeof commands / sizeof *commands };

/* Jansson drops what it has no memory for, and a record with a hole would look whole: the program ends instead. Nothing of
 * ours is half-written while it builds a record. */
static void *json_memory(size_t n) {
  void *memory = malloc(n);
  if (memory != NULL || n == 0) return memory;
  fputs("earshot: out of memory\n", stderr);
  _exit(ES_EXIT_STOPPED);
}

static void usage(FILE *to) {
  fputs("Earshot tells who will hear a microwave beacon, how well and how often.\n\nUsage: earshot COMMAND ...\n\n",
        to);
  for (int i = 0; i < N_COMMANDS; i++) fprintf(to, "  %-8s %s\n", commands[i].name, commands[i].does);
  fputs("\nearshot COMMAND --help tells more. A first try: earshot run examples/skarn-head/job.yaml --output out\n",
        to);
}

int main(int argc, char **argv) {
  argp_err_exit_status = ES_EXIT_USAGE;
  setlocale(LC_CTYPE, "C.UTF-8"); /* numbers stay in the C locale, whatever the user's */
  es_crash_watch();
  json_set_alloc_funcs(json_memory, free);
  if (argc < 2) {
    usage(stderr);
    return ES_EXIT_USAGE;
  }
  if (strcmp(argv[1], "--help") == 0) {
    usage(stdout);
    return ES_EXIT_DONE;
  }
  if (strcmp(argv[1], "--version") == 0) {
    puts("earshot " ES_VERSION);
    return ES_EXIT_DONE;
  }
  for (int i = 0; i < N_COMMANDS; i++) {
    if (strcmp(argv[1], commands[i].name) != 0) continue;
    char name[32]; /* argp's own words begin with it: "earshot run: want a JOB" */
    snprintf(name, sizeof name, "earshot %s", commands[i].name);
    argv[1] = name;
    return commands[i].run(argc - 1, argv + 1);
  }
  fprintf(stderr, "earshot: %s is no command\n\n", argv[1]);
  usage(stderr);
  return ES_EXIT_USAGE;
}
