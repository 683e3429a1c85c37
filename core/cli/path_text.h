/* path_text.h - what `earshot path` prints for people. */
#ifndef EARSHOT_CLI_PATH_TEXT_H
#define EARSHOT_CLI_PATH_TEXT_H

#include "run/path.h"
#include "run/year.h"

/* One listener's answer under one chain. */
typedef struct es_path_view {
  const es_setup *setup;
  es_percentages percents;
  es_path_answer answer;
  es_year_figure year; /* both seasons weighed; not known unless the job asks for it */
} es_path_view;

/* The first view in full; with two, then both side by side; then the climate of the path with its sources. */
void es_path_print(const es_path_view *views, size_t n, const es_scenario *scenario, const es_listener *listener);

#endif
