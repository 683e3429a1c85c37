#include "ground/sampling.h"

#include "earshot/x86_level.h"

ES_KERNEL_FORMS(es_sampling, es_sampling)

const es_sampling *es_sampling_best(void) { return best(); }
