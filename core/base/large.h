/* large.h - memory for rasters. */
#ifndef EARSHOT_BASE_LARGE_H
#define EARSHOT_BASE_LARGE_H

#include <stddef.h>

/* Memory in the largest pages the system has to give: a radial crosses a row of a raster at every step, and each row lies in
 * another small page. NULL out of memory; give it back with free(). [any thread] */
void *es_large_get(size_t bytes);

#endif
