/* text.h - tables of text: CSV after RFC 4180 with a header row, '#' lines before it ignored [libcsv].
 *
 * Used for profiles and for data tables (modes, feeders, patterns). Cells are kept as text; numbers are parsed on
 * request and a bad one is a fault with file and line.                                                              */
#ifndef EARSHOT_BASE_TEXT_H
#define EARSHOT_BASE_TEXT_H

#include "base/faults.h"
#include "base/status.h"

typedef struct es_text_table es_text_table;

/* Reads the whole file. NULL on failure with err filled. Caller owns the result. */
es_text_table *es_text_table_open(const char *path, es_error *err);
/* The same from memory; `name` is used in messages. */
es_text_table *es_text_table_parse(const char *name, const char *bytes, size_t n, es_error *err);
void es_text_table_close(es_text_table *table);
size_t es_text_table_rows(const es_text_table *table);
/* Index of a column by its header name, SIZE_MAX when absent. */
size_t es_text_table_column(const es_text_table *table, const char *name);
const char *es_text_table_header(const es_text_table *table, size_t column); /* NULL past the last */
/* Borrowed text of a cell, "" when the row is short. Line number in the file of a row (first data row onward). */
const char *es_text_table_cell(const es_text_table *table, size_t row, size_t column);
long es_text_table_line(const es_text_table *table, size_t row);
/* Number in a cell: false and a fault when it is no finite number within [min, max]; an empty cell gives NaN and true. */
bool es_text_table_number(const es_text_table *table, size_t row, size_t column, double min, double max, double *out,
                          es_faults *faults);

/* The whole text is one finite number (C locale, surrounding blanks allowed). */
bool es_parse_number(const char *text, double *out);
/* printf into fresh memory; NULL out of memory. Caller frees. */
char *es_format(const char *format, ...) __attribute__((format(printf, 1, 2)));
/* `path` taken as relative to the folder of the file `beside`; fresh memory, caller frees. */
char *es_path_beside(const char *beside, const char *path);

#endif
