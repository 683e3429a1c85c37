/* sheets.h - a scenario's layers as files: map sheets with everything that is written on them, and rasters. */
#ifndef EARSHOT_RUN_SHEETS_H
#define EARSHOT_RUN_SHEETS_H

#include "run/book.h"
#include "run/listeners.h"
#include "run/map.h"
#include "run/needs.h"

typedef struct es_sheet_files {
  es_book *book;
  const char *folder;
  const es_map_needs *needs; /* of this scenario */
  int threads;
} es_sheet_files;

/* Writes those of map-<what>-<scenario>.png and .tif that the book wants, and enters them. */
int32_t es_sheets_write(const es_setup *setup, size_t scenario, const es_percentages *percents,
                        const es_map_cells *cells, const es_map_layers *layers, const es_listener_answers *answers,
                        const es_sheet_files *files, es_error *err);

#endif
