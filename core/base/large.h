/* large.h - memory for rasters.
 *
 *   es_large_get      in memory, on pages of its own that the system clears when they are touched. Huge pages are not asked for:
 *                     rays that go in step share their pages, and clearing many at once took longer than it saved
 *   es_large_on_disk  in a file without a name that is mapped: what of it is not in use can leave memory
 *
 * All bytes are 0 at first. Give either back with es_large_free().                                                       */
#ifndef EARSHOT_BASE_LARGE_H
#define EARSHOT_BASE_LARGE_H

#include <stddef.h>

/* NULL out of memory. [any thread] */
void *es_large_get(size_t bytes);
/* NULL: the folder cannot take a file of that size. [any thread] */
void *es_large_on_disk(size_t bytes, const char *folder);
/* Pages in use stop being so; what is in them stays, and comes back when it is touched, by this thread or another. In memory
 * nothing happens. Accepts NULL. [any thread] */
void es_large_rest(const void *memory);
void es_large_free(void *memory); /* accepts NULL */

#endif
