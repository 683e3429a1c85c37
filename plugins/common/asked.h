/* asked.h - walks the answers that a fading model is asked for. */
#ifndef EARSHOT_PLUGINS_ASKED_H
#define EARSHOT_PLUGINS_ASKED_H

#include "earshot/model.h"

/* Calls answer(task, index, receiver, out) for each index [percent][receiver] that is asked, all of them when task->asked is
 * NULL. The indices ascend, so the receiver is found without a division. */
static inline void each_asked(const es_task *task, es_answer *out,
                              void (*answer)(const es_task *task, size_t i, size_t r, es_answer *out)) {
  size_t n = task->rx->n, first = 0;
  if (task->asked == NULL) {
    for (size_t i = 0; i < task->n_percent * n; i++) answer(task, i, i % n, out);
    return;
  }
  for (size_t a = 0; a < task->n_asked; a++) {
    size_t i = task->asked[a];
    while (i - first >= n) first += n;
    answer(task, i, i - first, out);
  }
}

#endif
