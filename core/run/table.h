/* table.h - the listener table: one row a listener and scenario, its columns and their units. */
#ifndef EARSHOT_RUN_TABLE_H
#define EARSHOT_RUN_TABLE_H

#include "output/output.h"
#include "run/listeners.h"

typedef struct es_table {
  es_field *fields;
  size_t n_fields;
  es_cell *cells; /* [row][field] */
  es_lonlat *at;  /* [row] */
  size_t n_rows;
  es_arena *arena; /* behind all of it */
} es_table;

/* Word for a way's number: "surface", "ducting", "troposcatter". */
const char *es_way_name(uint8_t winner);
/* Flags of a listener and its answer as words parted by "; ", from the arena; "" when there is none. */
const char *es_flags_text(es_arena *arena, const es_listener *listener, const es_path_answer *answer);

int32_t es_table_make(const es_setup *setup, const es_percentages *percents, const es_listener_answers *answers,
                      es_table *out, es_error *err);
void es_table_free(es_table *table);

#endif
