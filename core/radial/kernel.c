#include "radial/kernel.h"

#include "earshot/x86_level.h"

ES_KERNEL_FORMS(es_kernel, es_kernel)

const es_kernel *es_kernel_best(void) { return best(); }
