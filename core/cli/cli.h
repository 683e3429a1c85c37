/* cli.h - the commands. Each has a file of its own, prints its own help and returns the exit status:
 * 0 done, 1 the job has a fault (nothing written), 2 wrong usage, 3 stopped part-way.                                      */
#ifndef EARSHOT_CLI_CLI_H
#define EARSHOT_CLI_CLI_H

#include "base/faults.h"
#include "run/setup.h"

enum { ES_EXIT_DONE = 0, ES_EXIT_FAULT = 1, ES_EXIT_USAGE = 2, ES_EXIT_STOPPED = 3 };

int es_cmd_run(int argc, char **argv);
int es_cmd_check(int argc, char **argv);
int es_cmd_path(int argc, char **argv);
int es_cmd_profile(int argc, char **argv);
int es_cmd_models(int argc, char **argv);

/* Options every command shares. */
typedef struct es_common {
  const char *named[16]; /* --models-from, then EARSHOT_MODEL_PATH */
  size_t n_named;
  char *installed;        /* folder beside the program; owned */
  char *from_environment; /* storage behind some of named[]; owned */
  bool quiet;
  int threads;         /* 0: all processors */
  size_t memory_bytes; /* 0: no limit */
} es_common;

/* argp child for the shared options; its input is an es_common. */
extern const struct argp es_common_argp;
bool es_common_begin(es_common *common);
void es_common_end(es_common *common);
es_model_folders es_common_folders(const es_common *common);

/* From now on a model that raises a signal is told by name: crash.c. */
void es_crash_watch(void);

/* Tells every fault and note on standard error as "file:line: text"; notes begin with "note: ". */
void es_faults_tell(const es_faults *faults, bool quiet);

#endif
