/* arena.h - memory that is given back all at once.
 *
 * A worker owns one arena: a radial takes what it needs, then the arena is reset and the next radial reuses the same
 * pages. Blocks are 64-byte aligned and zeroed on request only. Not thread-safe: one arena, one thread.                */
#ifndef EARSHOT_BASE_ARENA_H
#define EARSHOT_BASE_ARENA_H

#include <stdbool.h>
#include <stddef.h>

typedef struct es_arena es_arena;
typedef struct es_arena_mark {
  void *block;
  size_t used;
} es_arena_mark;

es_arena *es_arena_create(void);
void es_arena_destroy(es_arena *arena);            /* accepts NULL */
void *es_arena_get(es_arena *arena, size_t bytes); /* NULL out of memory; never for 0 bytes */
void *es_arena_zeroed(es_arena *arena, size_t bytes);
es_arena_mark es_arena_now(const es_arena *arena);
void es_arena_back_to(es_arena *arena, es_arena_mark mark); /* frees all that came after the mark */
/* Whether it ever had no memory to give: asked once, after many small pieces. */
bool es_arena_starved(const es_arena *arena);
size_t es_arena_bytes(const es_arena *arena); /* held from the system */

/* n items of a type, checked for overflow by the arena (NULL). */
#define ES_NEW(arena, type, n) ((type *)es_arena_get((arena), es_array_bytes((n), sizeof(type))))
size_t es_array_bytes(size_t n, size_t size); /* SIZE_MAX on overflow */

#endif
