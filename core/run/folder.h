/* folder.h - the folder for the answers. */
#ifndef EARSHOT_RUN_FOLDER_H
#define EARSHOT_RUN_FOLDER_H

#include "base/faults.h"
#include "base/status.h"

/* Looks whether the folder can be written to, or made; makes nothing. False with a fault. */
bool es_folder_check(const char *path, es_faults *faults);
/* Makes it with everything above it that is missing. */
int32_t es_folder_make(const char *path, es_error *err);

#endif
