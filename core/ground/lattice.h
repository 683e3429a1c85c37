/* lattice.h - where the pixels of a raster lie: CRS, corner and steps, without limits [GDAL/OGR].
 *
 * Pixel positions are fractional and unbounded: (0,0) is the corner of the first pixel, its centre is (1/2,1/2). Steps
 * are signed, so that south-up rasters need no care. Everything here is [setup].                                     */
#ifndef EARSHOT_GROUND_LATTICE_H
#define EARSHOT_GROUND_LATTICE_H

#include <ogr_srs_api.h>
#include <stdbool.h>

#include "place/geodesic.h"

typedef struct es_lattice {
  char *wkt;             /* owned */
  double x0, y0, dx, dy; /* corner and signed steps, in units of the CRS */
  bool geographic;
  bool beacon_plane; /* the azimuthal equidistant plane about the area's centre */
  double turn;       /* geographic: units of the CRS in a full turn; else 0 */
  double centre_x;   /* of the area; longitudes are unwrapped to within half a turn of it */
  OGRCoordinateTransformationH from_wgs84, to_wgs84;
} es_lattice;

/* A rectangle of pixels. */
typedef struct es_window {
  long col, row;
  int cols, rows;
} es_window;

/* A CRS from its WKT or any text OGR knows, x east before y north, without its vertical part; NULL when not
 * understood. */
OGRSpatialReferenceH es_crs_read(const char *text);

/* gt: x0, dx, 0, y0, 0, dy as GDAL has it. False when the CRS cannot be tied to WGS 84. fini it in every case. */
bool es_lattice_init(es_lattice *lattice, const char *wkt, const double gt[6], es_lonlat centre);
/* The plane about `centre`, step_m square pixels, north up. */
bool es_lattice_init_plane(es_lattice *lattice, es_lonlat centre, double step_m);
void es_lattice_fini(es_lattice *lattice);

/* Coordinates and pixel position of a place; false when the CRS does not reach it. */
bool es_lattice_xy(const es_lattice *lattice, es_lonlat at, double *x, double *y);
bool es_lattice_pixel(const es_lattice *lattice, es_lonlat at, double *col, double *row);
/* Place of a pixel position; NaN outside the CRS. */
es_lonlat es_lattice_place(const es_lattice *lattice, double col, double row);
/* True size of a pixel on the ground in metres, along its row and along its column. */
void es_lattice_pixel_size(const es_lattice *lattice, double col, double row, double *along_row_m, double *along_col_m);

es_window es_window_common(es_window a, es_window b); /* cols or rows 0: nothing in common */
es_window es_window_around(es_window a, es_window b); /* the smallest that holds both */
/* GDAL's geotransform of a window. */
void es_lattice_window_gt(const es_lattice *lattice, es_window window, double gt[6]);

#endif
