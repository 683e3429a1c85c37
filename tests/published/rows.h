/* rows.h - a table of published results, every row of it through the door of `earshot profile`.
 *
 * A row becomes a profile file: the `page` of its table is the text of that file with <column> where a cell goes,
 * and <column?a|b> for the a-th or b-th word by the whole number in the cell. Rows that differ in nothing but the
 * percentage are asked for in one file. The file is read and evaluated as the command does it, then each column is
 * compared with the symbol of the answer. */
#ifndef EARSHOT_TESTS_PUBLISHED_ROWS_H
#define EARSHOT_TESTS_PUBLISHED_ROWS_H

#include <jansson.h>

#include "base/text.h"
#include "near.h"

typedef struct pub_row {
  const es_text_table *table, *more; /* more: where columns are looked up that the table lacks; may be NULL */
  size_t at, more_at;
} pub_row;

/* Columns and the symbols they are compared with, parted by blanks: "Ld" or, where names differ, "Lb_dB=basic". basic,
 * surface, ducting and troposcatter are basic_loss_db of the whole and of the ways. */
typedef struct pub_columns {
  double tolerance; /* in the column's own unit */
  const char *names;
} pub_columns;

typedef struct pub_table {
  const char *file;    /* in the folder */
  const char *percent; /* column of the percentage; NULL: the table knows none */
  const char *page;
  const char *more; /* another table of the folder: its first row of the same profile; NULL: none */
  pub_columns columns[6];
  bool (*asked)(const pub_row *row);                                       /* NULL: every row */
  bool (*compared)(const pub_row *row, const char *column);                /* NULL: every column */
  bool (*worked_out)(const pub_row *row, const char *name, double *value); /* a cell the table lacks; may be NULL */
  double (*expected)(const pub_row *row, const char *column, const json_t *result, double value); /* may be NULL */
  size_t rows; /* in the whole table, for a count that cannot shrink unseen */
} pub_table;

/* Text of a cell, "" when there is none; its number, NaN when it is none. */
const char *pub_cell(const pub_row *row, const char *column);
double pub_number(const pub_row *row, const char *column);
/* A value of one result by its symbol; NaN when it is absent. */
double pub_value(const json_t *result, const char *symbol);

/* Runs the table of that name in the folder, prints the largest difference of every column, and fails on any beyond its
 * tolerance. `whole`: the table has all its rows and columns; else it is an extract. */
void pub_check(const pub_table *table, const char *folder, bool whole);

#endif
