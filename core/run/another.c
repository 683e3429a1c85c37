/* another.c - see another.h. */
#include "run/another.h"

bool es_another_open(const es_setup *first, es_chain_kind chain, const es_model_folders *folders, es_another *out,
                     es_faults *faults) {
  *out = (es_another){.job = *first->job};
  out->job.chain = chain;
  if (chain != first->job->chain) {
    out->job.models = NULL;
    out->job.n_models = 0;
    out->job.convention = -1;
  }
  if (!es_setup_plan(&out->job, folders, &out->setup, faults)) {
    es_another_close(out);
    return false;
  }
  out->setup.ground = first->ground;
  out->setup.facts = first->facts;
  return true;
}

void es_another_close(es_another *another) {
  another->setup.ground = NULL; /* the first setup's own */
  es_setup_close(&another->setup);
}
