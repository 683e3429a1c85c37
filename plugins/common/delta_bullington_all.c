/* delta_bullington_all.c - all receivers at once: the kernel this processor runs best, or one by one. */
#include "common/delta_bullington.h"

#ifdef ES_X86_LEVELS
#include "earshot/x86_level.h"

extern const db_kernel db_kernel_v2, db_kernel_v3, db_kernel_v4;

static const db_kernel *kernel(void) {
  const db_kernel *const forms[] = {&db_kernel_v2, &db_kernel_v3, &db_kernel_v4};
  return forms[es_x86_level() - 2];
}
#else
extern const db_kernel db_kernel_portable;
static const db_kernel *kernel(void) { return &db_kernel_portable; }
#endif

void db_loss_all(const db_setup *setup, const es_task *task, const es_hull *hulls, double *loss) {
  if (task->line->step_m > 0.0) {
    kernel()->loss_all(setup, task, hulls, loss);
    return;
  }
  for (size_t r = 0; r < task->rx->n; r++) {
    db_terms terms;
    db_loss(setup, task, &hulls[r], r, &terms);
    loss[r] = terms.loss;
  }
}
