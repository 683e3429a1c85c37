#include "base/large.h"

#include <stdlib.h>
#include <sys/mman.h>

enum { LARGE_PAGE = 2 << 20 };

void *es_large_get(size_t bytes) {
  if (bytes < 2 * LARGE_PAGE) return malloc(bytes);
  if (bytes > (size_t)-1 / 2) return NULL;
  size_t whole = (bytes + LARGE_PAGE - 1) / LARGE_PAGE * LARGE_PAGE;
  void *memory = aligned_alloc(LARGE_PAGE, whole);
#ifdef MADV_HUGEPAGE
  if (memory != NULL) (void)madvise(memory, whole, MADV_HUGEPAGE); /* a wish: what it does not fulfil is only slower */
#endif
  return memory;
}
