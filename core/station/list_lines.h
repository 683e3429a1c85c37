/* list_lines.h - on which line of a CSV file each record begins.
 *
 * OGR numbers records, people number lines: an empty line or a line break inside quotes makes the two differ. */
#ifndef EARSHOT_STATION_LIST_LINES_H
#define EARSHOT_STATION_LIST_LINES_H

#include <stddef.h>

typedef struct es_list_lines {
  long *line; /* line[0] is the header's, line[k] that of record k. Owned */
  size_t n;
} es_list_lines;

/* Empty when the file cannot be read or memory is short: then no line is known. */
es_list_lines es_list_lines_of(const char *path);
void es_list_lines_free(es_list_lines *lines);

#endif
