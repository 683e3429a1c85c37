/* report.h - gathers all that a run has found into the JSON of the report, and has the report and the digest written.
 *
 * Opened before the maps, given each scenario's map while it is in memory, written when everything else lies in the folder:
 * pictures and texts that other stages wrote there are taken in when they exist.                                          */
#ifndef EARSHOT_RUN_REPORT_H
#define EARSHOT_RUN_REPORT_H

#include <jansson.h>

#include "run/coverage.h"
#include "run/heights.h"
#include "run/map.h"

typedef struct es_report_book es_report_book;

es_report_book *es_report_open(const es_setup *setup, const es_percentages *percents,
                               const es_listener_answers *answers);
void es_report_close(es_report_book *book); /* accepts NULL */
/* A scenario's map as grids of at most 512 x 512 bytes, and its coverage in figures. [setup] */
int32_t es_report_take_map(es_report_book *book, size_t scenario, const es_map_cells *cells,
                           const es_map_layers *layers, const es_coverage *coverage, es_error *err);
/* OUT/report.html and OUT/digest.txt. decision: the sentence of es_decision_finish(). inputs: as of es_record_inputs(). */
int32_t es_report_finish(es_report_book *book, const es_heights *heights, const char *decision, json_t *inputs,
                         const char *folder, const char *run_id, es_error *err);

#endif
