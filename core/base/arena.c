#include "base/arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { ALIGN = 64, FIRST_BLOCK = 1 << 20 };

/* Blocks form a list; `current` is the one in use, those after it are empty and kept for later. */
typedef struct block {
  struct block *next;
  size_t size, used;
  unsigned char *bytes;
} block;

struct es_arena {
  block *first, *current;
  size_t bytes;
  bool starved;
};

static block *block_create(size_t size) {
  block *b = malloc(sizeof *b);
  if (b == NULL) return NULL;
  *b = (block){.size = size, .bytes = aligned_alloc(ALIGN, size)};
  if (b->bytes == NULL) {
    free(b);
    return NULL;
  }
  return b;
}

es_arena *es_arena_create(void) { return calloc(1, sizeof(es_arena)); }

void es_arena_destroy(es_arena *arena) {
  if (arena == NULL) return;
  for (block *b = arena->first, *next; b != NULL; b = next) {
    next = b->next;
    free(b->bytes);
    free(b);
  }
  free(arena);
}

static block *grow(es_arena *arena, size_t bytes) {
  size_t size = arena->current == NULL ? FIRST_BLOCK : 2 * arena->current->size;
  while (size < bytes) size *= 2;
  block *b = block_create(size);
  if (b == NULL) return NULL;
  arena->bytes += size;
  if (arena->current == NULL) {
    b->next = arena->first;
    arena->first = b;
  } else {
    b->next = arena->current->next;
    arena->current->next = b;
  }
  return arena->current = b;
}

void *es_arena_get(es_arena *arena, size_t bytes) {
  if (bytes == 0 || bytes > SIZE_MAX / 4) return NULL;
  bytes = (bytes + ALIGN - 1) / ALIGN * ALIGN;
  if (arena->current == NULL) arena->current = arena->first;
  while (arena->current != NULL && arena->current->size - arena->current->used < bytes) {
    if (arena->current->next == NULL) break;
    arena->current = arena->current->next;
    arena->current->used = 0;
  }
  block *b = arena->current;
  if (b == NULL || b->size - b->used < bytes) b = grow(arena, bytes);
  if (b == NULL) arena->starved = true;
  if (b == NULL) return NULL;
  void *memory = b->bytes + b->used;
  b->used += bytes;
  return memory;
}

void *es_arena_zeroed(es_arena *arena, size_t bytes) {
  void *memory = es_arena_get(arena, bytes);
  return memory != NULL ? memset(memory, 0, bytes) : NULL;
}

es_arena_mark es_arena_now(const es_arena *arena) {
  return (es_arena_mark){arena->current, arena->current != NULL ? arena->current->used : 0};
}

void es_arena_back_to(es_arena *arena, es_arena_mark mark) {
  arena->current = mark.block != NULL ? mark.block : arena->first;
  if (arena->current != NULL) arena->current->used = mark.used;
}

bool es_arena_starved(const es_arena *arena) { return arena->starved; }

size_t es_arena_bytes(const es_arena *arena) { return arena->bytes; }

size_t es_array_bytes(size_t n, size_t size) {
  if (n == 0) return size;
  return n > SIZE_MAX / size ? SIZE_MAX : n * size;
}
