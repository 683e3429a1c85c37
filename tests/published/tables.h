/* tables.h - the tables of published results and what their columns mean. */
#ifndef EARSHOT_TESTS_PUBLISHED_TABLES_H
#define EARSHOT_TESTS_PUBLISHED_TABLES_H

#include "rows.h"

extern const pub_table p2001_4_table, p2001_3_table, p2001_worked_table, p452_18_table, p452_18_software_table,
    p452_17_table, p452_worked_table, p526_published_table, p526_computed_table;

#endif
