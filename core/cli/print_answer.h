/* print_answer.h - spread and verdict of one answer on the terminal. */
#ifndef EARSHOT_CLI_PRINT_ANSWER_H
#define EARSHOT_CLI_PRINT_ANSWER_H

#include "run/path.h"

void es_print_doubt(const es_setup *setup, const es_path_answer *answer);
void es_print_verdict(const es_path_answer *answer);

#endif
