/* trees_text.h - what `earshot path` says of trees. */
#ifndef EARSHOT_CLI_TREES_TEXT_H
#define EARSHOT_CLI_TREES_TEXT_H

#include "run/path.h"

void es_trees_print(const es_setup *setup, const es_path_answer *answer);

#endif
