/* delta_bullington_all.c - all receivers at once: the kernel this processor runs best, or one by one. */
#include "common/delta_bullington.h"

#include "earshot/x86_level.h"

ES_KERNEL_FORMS(db_kernel, db_kernel)

void db_loss_all(const db_setup *setup, const es_task *task, const es_hull *hulls, double *loss) {
  if (task->line->step_m > 0.0) {
    best()->loss_all(setup, task, hulls, loss);
    return;
  }
  for (size_t r = 0; r < task->rx->n; r++) {
    db_terms terms;
    db_loss(setup, task, &hulls[r], r, &terms);
    loss[r] = terms.loss;
  }
}
