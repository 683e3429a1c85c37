/* folder.h - the folder for the answers: looked at, made, and held by one run at a time. */
#ifndef EARSHOT_RUN_FOLDER_H
#define EARSHOT_RUN_FOLDER_H

#include "base/faults.h"
#include "base/status.h"

/* Within the folder: what only later runs read. */
#define ES_HIDDEN_FOLDER ".earshot"

/* Looks whether the folder can be written to, or made; makes nothing. False with a fault. */
bool es_folder_check(const char *path, es_faults *faults);
/* Makes it with everything above it that is missing. */
int32_t es_folder_make(const char *path, es_error *err);

/* Holds the folder, which exists, until es_folder_release or the end of the program, and removes temporary files that dead
 * runs have left there. -1 with err: ES_E_INPUT when another run lives in it. */
int es_folder_hold(const char *path, es_error *err);
void es_folder_release(int held); /* accepts -1 */
/* run.json speaks for all files together: it goes before the first of them may change. */
int32_t es_folder_begin(const char *path, es_error *err);

/* A fresh folder under TMPDIR, else /tmp. NULL with err. es_folder_drop() removes it with all that is in it, and frees the
 * name; accepts NULL. */
char *es_folder_temporary(es_error *err);
void es_folder_drop(char *path);

#endif
