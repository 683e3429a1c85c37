/* another.h - the same job under another chain: an independent second opinion on the same ground.
 *
 * Ground and frame are shared with the first setup, which must outlive it; models and climate are its own. The
 * models and the convention a job chose belong to the chain it chose: another chain takes its own lists. */
#ifndef EARSHOT_RUN_ANOTHER_H
#define EARSHOT_RUN_ANOTHER_H

#include "run/setup.h"

typedef struct es_another {
  es_job job; /* a view: everything it points to belongs to the first */
  es_setup setup;
} es_another;

/* `out` must stay where it is until it is closed. False with faults. [setup] */
bool es_another_open(const es_setup *first, es_chain_kind chain, const es_model_folders *folders, es_another *out,
                     es_faults *faults);
void es_another_close(es_another *another);

#endif
