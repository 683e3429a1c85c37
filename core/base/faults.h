/* faults.h - every fault of a job, gathered before any is told.
 *
 * A reader that finds a fault adds it and goes on reading; the caller prints all and stops when the list is not empty.
 * Notes are told too but stop nothing ("climate left at its fallback"). Not thread-safe: used in setup only.           */
#ifndef EARSHOT_BASE_FAULTS_H
#define EARSHOT_BASE_FAULTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

typedef struct es_fault {
  char *file; /* owned; NULL when no file is to blame */
  long line;  /* 0: unknown */
  char *text; /* owned: what, and what was wanted */
  bool note;  /* true: a note, not a fault */
} es_fault;

typedef struct es_faults {
  es_fault *items;
  size_t n, room, n_faults; /* n_faults counts those that are not notes, and no_memory as one */
  bool no_memory;           /* memory ran out: no item, and nothing is added after it but what comes of it */
  char *no_memory_in;       /* the file that was read then, or NULL; owned */
} es_faults;

/* `faults` starts zeroed. Equal entries are kept once. */
void es_fault_add(es_faults *faults, const char *file, long line, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void es_note_add(es_faults *faults, const char *file, long line, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* Memory ran out while `file` was read (NULL: no file). What would be added afterwards is left out. */
void es_fault_memory(es_faults *faults, const char *file);
/* What an error says, as a fault. */
void es_fault_error(es_faults *faults, const char *file, const es_error *err);
void es_faults_free(es_faults *faults);

#endif
