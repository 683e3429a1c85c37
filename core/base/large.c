#include "base/large.h"

#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

#include "base/text.h"

/* Stands on the page before the memory. */
typedef struct head {
  size_t whole; /* bytes with the head's page */
  bool on_disk;
} head;

enum { HEAD = 4096 }; /* keeps what follows on a page of its own */

static head *head_of(const void *memory) { return (head *)((uintptr_t)memory - HEAD); }

static void *map(size_t bytes, int flags, int file) {
  if (bytes == 0 || bytes > SIZE_MAX / 2) return NULL;
  size_t whole = bytes + HEAD;
  head *h = mmap(NULL, whole, PROT_READ | PROT_WRITE, flags, file, 0);
  if (h == MAP_FAILED) return NULL;
  *h = (head){whole, file >= 0};
  return (unsigned char *)h + HEAD;
}

void *es_large_get(size_t bytes) { return map(bytes, MAP_PRIVATE | MAP_ANONYMOUS, -1); }

/* A file that vanishes with the last use of it. */
static int nameless_file(const char *folder) {
  char *path = es_format("%s/.earshot-XXXXXX", folder);
  int file = path != NULL ? mkstemp(path) : -1;
  if (file >= 0) unlink(path);
  free(path);
  return file;
}

void *es_large_on_disk(size_t bytes, const char *folder) {
  int file = nameless_file(folder);
  if (file < 0) return NULL;
  /* the disk's room is taken now: later, a full disk would be a signal and not an answer */
  bool ok = bytes < SIZE_MAX / 2 && posix_fallocate(file, 0, (off_t)(bytes + HEAD)) == 0;
  void *memory = ok ? map(bytes, MAP_SHARED, file) : NULL;
  close(file);
  return memory;
}

void es_large_rest(const void *memory) {
  if (memory == NULL || !head_of(memory)->on_disk) return;
  (void)madvise((void *)(uintptr_t)memory, head_of(memory)->whole - HEAD, MADV_DONTNEED);
}

void es_large_free(void *memory) {
  if (memory != NULL) munmap(head_of(memory), head_of(memory)->whole);
}
