/* listener_files.h - what a run writes about its listeners, cards aside (pages.h): the table in three forms, and each path
 * in full as JSON and as a picture: OUT/listeners.csv, .gpkg, .geojson, OUT/paths/0001-<scenario>.json, .png. */
#ifndef EARSHOT_RUN_LISTENER_FILES_H
#define EARSHOT_RUN_LISTENER_FILES_H

#include "run/listeners.h"

typedef struct es_listener_files {
  const es_setup *setup;
  const es_percentages *percents;
  const es_listener_answers *answers;
  const char *folder, *run_id;
} es_listener_files;

int32_t es_listener_tables_write(const es_listener_files *files, es_error *err);
/* Every path, by `threads` workers: one file hangs on nothing but its own path. The folder is made. */
int32_t es_listener_paths_write(const es_listener_files *files, int threads, es_worker *workers, es_error *err);
/* Some of them: every stride-th, the first among them. */
int32_t es_listener_paths_write_some(const es_listener_files *files, size_t stride, int threads, es_worker *workers,
                                     es_error *err);

#endif
