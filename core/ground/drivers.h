/* drivers.h - GDAL made ready.
 *
 * Its drivers, and a cache of 64 MB for blocks of rasters: all that is read or written here goes by once, and what a larger cache
 * keeps of it costs memory and time. A user's GDAL_CACHEMAX has precedence.                                               */
#ifndef EARSHOT_GROUND_DRIVERS_H
#define EARSHOT_GROUND_DRIVERS_H

/* Before GDAL is asked for anything; more than once does no harm. [setup] */
void es_drivers_start(void);

#endif
