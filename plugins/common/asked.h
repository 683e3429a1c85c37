/* asked.h - walks the answers that a fading model is asked for, in blocks that loops can take as a whole. */
#ifndef EARSHOT_PLUGINS_ASKED_H
#define EARSHOT_PLUGINS_ASKED_H

#include "earshot/model.h"

enum { ASKED_BLOCK = 64 };

/* Some answers that are asked for: index [percent][receiver], receiver, fade in dB. */
typedef struct asked_block {
  size_t n, index[ASKED_BLOCK], receiver[ASKED_BLOCK];
  double fade_db[ASKED_BLOCK];
} asked_block;

/* Calls answer(task, block, out) until every index that is asked has been in a block, all of them when task->asked is NULL.
 * The indices ascend, so the receiver is found without a division. */
static inline void each_asked(const es_task *task, es_answer *out,
                              void (*answer)(const es_task *task, const asked_block *block, es_answer *out)) {
  size_t n = task->rx->n, first = 0, all = task->asked != NULL ? task->n_asked : task->n_percent * n;
  asked_block block;
  block.n = 0;
  for (size_t a = 0; a < all; a++) {
    size_t i = task->asked != NULL ? task->asked[a] : a;
    while (i - first >= n) first += n;
    block.index[block.n] = i;
    block.receiver[block.n] = i - first;
    block.fade_db[block.n++] = task->fade_db[i];
    if (block.n < ASKED_BLOCK && a + 1 < all) continue;
    answer(task, &block, out);
    block.n = 0;
  }
}

#endif
