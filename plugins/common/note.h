/* note.h - reporting a quantity by its letter, when somebody listens. */
#ifndef EARSHOT_PLUGINS_NOTE_H
#define EARSHOT_PLUGINS_NOTE_H

#include "earshot/model.h"

/* Nobody listens while maps are computed: ask before working anything out for a note alone. */
static inline int note_wanted(const es_task *task) { return task->host->note != NULL; }

/* A quantity of percentage k. */
static inline void note_at(const es_task *task, size_t k, size_t r, const char *symbol, double value) {
  if (note_wanted(task)) task->host->note(task->ctx, k, r, symbol, value);
}

/* A quantity that is the same at every percentage. */
static inline void note_always(const es_task *task, size_t r, const char *symbol, double value) {
  for (size_t k = 0; note_wanted(task) && k < task->n_percent; k++) note_at(task, k, r, symbol, value);
}

#endif
