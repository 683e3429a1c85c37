/* ground.h - what lies under the path: elevation, canopy, cover and zones, as immutable grids [GDAL].
 *
 * Rasters are read once, in setup, over the area needed only; afterwards everything is const and may be sampled from
 * any thread. Missing is NaN in a grid and never zero. Heights are metres above the vertical datum the job names.

       raster file(s), any CRS      -> es_grid (own pixels, float, NaN) -> es_ground_sample() along a line
       mask raster or land polygons -> sea / land on the elevation's pixels -> distance to the coast -> zones

 * A grid keeps the pixels of the file under the centre (none there: of the first). Files on the same pixels are copied;
 * any other is resampled onto them (bilinear, classes nearest) and noted. Missing never overwrites data; where two
 * files both have data the later one counts. Folders are read in the order of their names. When that file is rotated,
 * or crooked over the area (it reaches a pole), all are resampled to the azimuthal equidistant plane about the centre
 * at its step. Elevation outside +-20000 m, canopy outside 0..200 m and classes outside 0..255 are missing, as are NaN
 * and nodata.

 * Mask. Sea without elevation is 0 m (known 3), and so is a sea bed: elevation below 0 m where the mask says sea
 * (without a mask a sea bed is left as it is).
 * Unknown in the mask is land where there is elevation and stays missing where there is none. Around polygons of land
 * all is sea. Zones are told on cells of a whole number of elevation pixels, at least 250 m a side; without a mask the
 * sea is where at least half a cell lies at 0 m or below, in connected areas of at least 4 km2. Where neither is known,
 * and when zones are not wanted, the zone is inland.                                                                 */
#ifndef EARSHOT_GROUND_GROUND_H
#define EARSHOT_GROUND_GROUND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/faults.h"
#include "base/progress.h"
#include "place/geodesic.h"

typedef enum es_surface_kind { ES_SURFACE_BARE, ES_SURFACE_MODEL, ES_SURFACE_RADAR } es_surface_kind;

/* What to read. Paths are files or folders (every raster in a folder is a tile); all strings are borrowed. */
typedef struct es_ground_plan {
  const char *const *elevation;
  size_t n_elevation;
  double elevation_scale;    /* file units to metres: 1, or 0.3048 for feet */
  const char *const *canopy; /* canopy height above ground; may be empty */
  size_t n_canopy;
  double canopy_scale;
  const char *const *cover; /* cover classes, 0..255; may be empty */
  size_t n_cover;
  const char *const *mask; /* raster: mask_sea marks the sea; or a vector layer of land polygons; may be empty */
  size_t n_mask;
  double mask_sea;            /* value that means sea in a mask raster (default 0) */
  const char *crs;            /* for elevation files that carry none, e.g. "EPSG:4326"; NULL: such files are refused */
  double fill_gap_m;          /* voids up to this length along a line are bridged */
  double zone_coast_m;        /* coastal land reaches this far from the sea (50 km) */
  double zone_coast_height_m; /* and this high (100 m) */
  bool want_zones;
  const char *job_file; /* for faults */
  long line;            /* of the ground section */
} es_ground_plan;

/* Area wanted: everything within reach_m of centre. Zones look coast_m farther. */
typedef struct es_ground_area {
  es_lonlat centre;
  double reach_m;
} es_ground_area;

typedef struct es_ground es_ground;

/* Opens and reads. Every fault is added; NULL when there is any. Progress may be NULL. [setup] */
es_ground *es_ground_open(const es_ground_plan *plan, es_ground_area area, es_faults *faults, es_progress *progress);
void es_ground_close(es_ground *ground);

/* Bytes that es_ground_open would hold, from the files' headers alone. Faults are added as by open. [setup] */
size_t es_ground_bytes(const es_ground_plan *plan, es_ground_area area, es_faults *faults);

/* Facts for run.json and the foot of a sheet. Strings are owned by ground. */
typedef struct es_data_set {
  char *what;                       /* "elevation", "canopy height", "cover", "sea mask" */
  char *path, *driver, *crs, *date; /* date: TIFFTAG_DATETIME or the file's own metadata, else "" */
  int cols, rows;
  double step_m;            /* shorter side of a pixel at the centre; 0 for a vector layer, as cols and rows */
  uint64_t bytes, checksum; /* size and XXH3 (64 bits) of the file; 0 for a name that is no plain file */
} es_data_set;
/* Of the files that were read: tiles outside the area are not listed. */
const es_data_set *es_ground_data_sets(const es_ground *ground, size_t *n);

typedef struct es_ground_facts {
  double step_m;                         /* step for radials: the shorter side of an elevation pixel at the centre */
  bool has_canopy, has_cover, has_zones; /* without zones all is inland */
  const char *zone_basis; /* "mask raster", "land polygons", "elevation": how sea and land were told apart */
  size_t sea_by_mask;     /* pixels without elevation that are 0 m because the mask says sea */
  size_t missing;         /* pixels without elevation and not sea, in the square about the area */
  size_t bytes;           /* held from now on */
  size_t bytes_to_open;   /* held at most while it was read, with GDAL's cache */
} es_ground_facts;
es_ground_facts es_ground_facts_get(const es_ground *ground);
/* The step for radials about another place than the area's centre; NaN where the elevation's CRS does not reach. [setup] */
double es_ground_step_m(const es_ground *ground, es_lonlat about);

/* When the elevation is one projected, north-up, square-celled grid in metres: its CRS and corner, else false. The grid
 * told is the part that is held, the area's square on the file's own pixels. wkt is owned by ground. */
bool es_ground_projected_grid(const es_ground *ground, const char **wkt, double *x0, double *y0, double *cell_m,
                              int *cols, int *rows);

/* The heights of that grid, NaN where nothing is known: rows begin `pitch` values apart. Owned by ground. */
const float *es_ground_heights(const es_ground *ground, size_t *pitch);

/* Samples along the geodesic from `from` at dist_m[0..n-1]. Arrays not wanted may be NULL. known as in es_line: 0 no
 * data (height 0 there, not to be used), 1 measured, 3 sea by the mask alone. No bridging here (core/radial does it).
 * Bilinear for elevation and canopy (missing if neighbours with more than 2 % of the weight are; in the outer half of
 * an edge pixel its own value), nearest for cover and zone. Beyond the area nothing is known. Fast when `from` is the
 * area's centre: a geodesic is a straight line there; from elsewhere each sample costs two geodesics. [any thread] */
typedef struct es_ground_samples {
  double *ground_m;
  double *canopy_m; /* height above ground, 0 where the raster has none */
  uint8_t *cover;   /* 0 where the raster has none */
  uint8_t *zone, *known;
} es_ground_samples;
void es_ground_sample(const es_ground *ground, es_lonlat from, double azimuth_deg, const double *dist_m, size_t n,
                      es_ground_samples *out);
/* The same along a straight line of the elevation's own projected grid: from (x, y), unit direction (ux, uy), plane
 * distances; only when es_ground_projected_grid() is true. [any thread] */
void es_ground_sample_plane(const es_ground *ground, double x, double y, double ux, double uy, const double *plane_m,
                            size_t n, es_ground_samples *out);
/* The same along a straight line of the azimuthal equidistant plane about the area's centre, from (x, y) metres east and
 * north of it. [any thread] */
void es_ground_sample_centred(const es_ground *ground, double x, double y, double ux, double uy, const double *plane_m,
                              size_t n, es_ground_samples *out);
/* Several lines that lie side by side, in step: what one brings into the cache the next one reads there. own_plane: of the
 * elevation's own grid, as es_ground_sample_plane(), else as es_ground_sample_centred(). [any thread] */
typedef struct es_ground_line {
  double x, y, ux, uy;
  const double *dist_m;
  size_t n;
  es_ground_samples out;
} es_ground_line;
void es_ground_sample_lines(const es_ground *ground, bool own_plane, es_ground_line *lines, size_t n);
/* Scattered places. [any thread] */
void es_ground_sample_places(const es_ground *ground, const es_lonlat *at, size_t n, es_ground_samples *out);

#endif
