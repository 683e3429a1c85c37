#include <argp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "cli/cli.h"
#include "run/pool.h"

enum { KEY_MODELS_FROM = 1000, KEY_QUIET, KEY_THREADS, KEY_MEMORY };

static const struct argp_option options[] = {
    {"models-from", KEY_MODELS_FROM, "DIR", 0, "Look for models in DIR first; may be given more than once", 10},
    {"threads", KEY_THREADS, "N", 0, "Use N threads (default: all processors); the result does not depend on it", 10},
    {"memory", KEY_MEMORY, "MB", 0,
     "Keep a map's layers on the disk, or refuse a job, that needs more; check says how much", 10},
    {"quiet", KEY_QUIET, NULL, 0, "No progress, no notes; faults are always told", 10},
    {0}};

static error_t parse(int key, char *arg, struct argp_state *state) {
  es_common *c = state->input;
  switch (key) {
  case KEY_MODELS_FROM:
    if (c->n_named == sizeof c->named / sizeof *c->named) argp_error(state, "too many --models-from");
    c->named[c->n_named++] = arg;
    return 0;
  case KEY_QUIET: c->quiet = true; return 0;
  case KEY_THREADS: {
    double n;
    if (!es_parse_number(arg, &n) || n < 1.0 || n > 256.0 || n != (double)(int)n)
      argp_error(state, "--threads=%s: want a whole number from 1 to 256", arg);
    c->threads = (int)n;
    return 0;
  }
  case KEY_MEMORY: {
    double mb;
    if (!es_parse_number(arg, &mb) || !(mb >= 1.0 && mb <= 1e9))
      argp_error(state, "--memory=%s: want megabytes, 1 or more", arg);
    c->memory_bytes = (size_t)(1e6 * mb);
    return 0;
  }
  default: return ARGP_ERR_UNKNOWN;
  }
}

const struct argp es_common_argp = {options, parse, NULL, NULL, NULL, NULL, NULL};

static bool is_folder(const char *path) {
  struct stat s;
  return stat(path, &s) == 0 && S_ISDIR(s.st_mode);
}

/* The models stand beside the program: <prefix>/lib.../earshot/models when installed, <build>/models before that. */
static char *models_beside_program(void) {
  static const char *const places[] = {"../" ES_LIBDIR "/earshot/models", "../../models"};
  char exe[4096];
  ssize_t n = readlink("/proc/self/exe", exe, sizeof exe - 1);
  if (n <= 0) return NULL;
  exe[n] = '\0';
  for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
    char *path = es_path_beside(exe, places[i]);
    if (path != NULL && is_folder(path)) return path;
    free(path);
  }
  return NULL;
}

bool es_common_begin(es_common *c) {
  const char *environment = getenv("EARSHOT_MODEL_PATH");
  if (environment != NULL && environment[0] != '\0') {
    c->from_environment = strdup(environment);
    if (c->from_environment == NULL) return false;
    char *rest = c->from_environment, *folder;
    while ((folder = strsep(&rest, ":")) != NULL)
      if (folder[0] != '\0' && c->n_named < sizeof c->named / sizeof *c->named) c->named[c->n_named++] = folder;
  }
  c->installed = models_beside_program();
  if (c->threads == 0) c->threads = es_pool_processors();
  return true;
}

void es_common_end(es_common *c) {
  free(c->installed);
  free(c->from_environment);
}

es_model_folders es_common_folders(const es_common *c) {
  return (es_model_folders){c->named, c->n_named, c->installed};
}

void es_faults_tell(const es_faults *faults, bool quiet) {
  for (size_t i = 0; i < faults->n; i++) {
    const es_fault *f = &faults->items[i];
    if (f->note && quiet) continue;
    if (f->file != NULL) fprintf(stderr, "%s:", f->file);
    if (f->file != NULL && f->line > 0) fprintf(stderr, "%ld:", f->line);
    fprintf(stderr, "%s%s%s\n", f->file != NULL ? " " : "", f->note ? "note: " : "", f->text);
  }
  if (faults->no_memory)
    fprintf(stderr, "%s: out of memory\n", faults->no_memory_in != NULL ? faults->no_memory_in : "earshot");
}
