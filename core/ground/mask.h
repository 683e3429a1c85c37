/* mask.h - sea or land on the elevation's pixels, from a mask raster or from polygons of land [GDAL, OGR]. [setup] */
#ifndef EARSHOT_GROUND_MASK_H
#define EARSHOT_GROUND_MASK_H

#include <ogr_api.h>

#include "ground/tiles.h"

typedef enum es_sea { ES_LAND, ES_SEA, ES_SEA_UNKNOWN } es_sea;

typedef struct es_mask {
  bool wanted, polygons;
  es_tiles tiles;     /* raster */
  OGRGeometryH *land; /* polygons, clipped to the area and in the lattice's CRS */
  size_t n_land, room_land;
} es_mask;

/* Opens the headers: all paths are rasters, or all are vector layers. True when there is no fault. */
bool es_mask_gather(es_mask *mask, const es_ground_plan *plan, es_faults *faults);
/* Lays it over the lattice, for the area within reach_m. */
bool es_mask_place(es_mask *mask, const es_lattice *lattice, es_ground_area area, double reach_m,
                   const es_ground_plan *plan, es_faults *faults);
/* sea[rows * cols] of es_sea. Without a mask everything is unknown. */
bool es_mask_read(es_mask *mask, const es_lattice *lattice, es_window window, uint8_t *sea, const es_ground_plan *plan,
                  es_faults *faults);
void es_mask_fini(es_mask *mask);

#endif
