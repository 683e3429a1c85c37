/* files.h - a file appears under its final name only when whole: temporary name beside it, fsync, rename. */
#ifndef EARSHOT_OUTPUT_FILES_H
#define EARSHOT_OUTPUT_FILES_H

#include <jansson.h>
#include <stddef.h>

#include "base/status.h"

/* Creates an empty file beside `path` and gives its name (same ending), to write to until it is whole; the folder must
 * exist. NULL when it cannot be created: errno says why. Caller frees the name. */
char *es_file_begin(const char *path);
/* fsync and rename to the final name, fsync of the folder. On failure the temporary file is removed. A file that is there
 * already with the same bytes is left as it is. */
int32_t es_file_finish(const char *temporary, const char *path, es_error *err);
/* Removes a temporary file that will not be finished. Accepts NULL. Does not free the name. */
void es_file_abandon(const char *temporary);
/* Removes temporary files in a folder whose program no longer lives. The folder may be missing. */
void es_files_clean(const char *folder);

int32_t es_file_write(const char *path, const void *bytes, size_t n, es_error *err);
/* Values of JSON: null for what is not finite, and for no text. NULL out of memory. */
json_t *es_json_number(double value);
json_t *es_json_word(const char *text);
/* Two blanks of indentation, keys in the order they were set, ten significant digits, a newline at the end. */
int32_t es_json_write(const char *path, const json_t *json, es_error *err);

#endif
