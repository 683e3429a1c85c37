#include "ground/lattice.h"

#include <cpl_conv.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/units.h"

OGRSpatialReferenceH es_crs_read(const char *text) {
  OGRSpatialReferenceH crs = OSRNewSpatialReference(NULL);
  if (crs == NULL) return NULL;
  if (OSRSetFromUserInput(crs, text) != OGRERR_NONE) {
    OSRDestroySpatialReference(crs);
    return NULL;
  }
  OSRStripVertical(crs);
  OSRSetAxisMappingStrategy(crs, OAMS_TRADITIONAL_GIS_ORDER);
  return crs;
}

static bool tie_to_wgs84(es_lattice *lattice, OGRSpatialReferenceH crs) {
  OGRSpatialReferenceH wgs84 = es_crs_read("EPSG:4326");
  if (wgs84 != NULL) {
    lattice->from_wgs84 = OCTNewCoordinateTransformation(wgs84, crs);
    lattice->to_wgs84 = OCTNewCoordinateTransformation(crs, wgs84);
    OSRDestroySpatialReference(wgs84);
  }
  return lattice->from_wgs84 != NULL && lattice->to_wgs84 != NULL;
}

bool es_lattice_init(es_lattice *lattice, const char *wkt, const double gt[6], es_lonlat centre) {
  *lattice = (es_lattice){.wkt = strdup(wkt), .x0 = gt[0], .dx = gt[1], .y0 = gt[3], .dy = gt[5]};
  OGRSpatialReferenceH crs = es_crs_read(wkt);
  if (lattice->wkt == NULL || crs == NULL) {
    if (crs != NULL) OSRDestroySpatialReference(crs);
    return false;
  }
  lattice->geographic = OSRIsGeographic(crs);
  if (lattice->geographic) lattice->turn = 2.0 * ES_PI / OSRGetAngularUnits(crs, NULL);
  bool tied = tie_to_wgs84(lattice, crs);
  OSRDestroySpatialReference(crs);
  if (!tied) return false;
  double x = centre.lon_deg, y = centre.lat_deg;
  if (!OCTTransform(lattice->from_wgs84, 1, &x, &y, NULL) || !isfinite(x)) return false;
  lattice->centre_x = x;
  return true;
}

bool es_lattice_init_plane(es_lattice *lattice, es_lonlat centre, double step_m) {
  char text[160];
  snprintf(text, sizeof text, "+proj=aeqd +lat_0=%.12f +lon_0=%.12f +datum=WGS84 +units=m +no_defs", centre.lat_deg,
           centre.lon_deg);
  *lattice = (es_lattice){0};
  OGRSpatialReferenceH crs = es_crs_read(text);
  char *wkt = NULL;
  const double gt[6] = {0.0, step_m, 0.0, 0.0, 0.0, -step_m};
  bool ok = crs != NULL && OSRExportToWkt(crs, &wkt) == OGRERR_NONE && es_lattice_init(lattice, wkt, gt, centre);
  lattice->beacon_plane = true;
  CPLFree(wkt);
  if (crs != NULL) OSRDestroySpatialReference(crs);
  return ok;
}

void es_lattice_fini(es_lattice *lattice) {
  if (lattice->from_wgs84 != NULL) OCTDestroyCoordinateTransformation(lattice->from_wgs84);
  if (lattice->to_wgs84 != NULL) OCTDestroyCoordinateTransformation(lattice->to_wgs84);
  free(lattice->wkt);
  *lattice = (es_lattice){0};
}

bool es_lattice_xy(const es_lattice *lattice, es_lonlat at, double *x, double *y) {
  *x = at.lon_deg;
  *y = at.lat_deg;
  if (!OCTTransform(lattice->from_wgs84, 1, x, y, NULL) || !isfinite(*x) || !isfinite(*y)) return false;
  if (lattice->geographic) *x -= lattice->turn * round((*x - lattice->centre_x) / lattice->turn);
  return true;
}

bool es_lattice_pixel(const es_lattice *lattice, es_lonlat at, double *col, double *row) {
  double x, y;
  if (!es_lattice_xy(lattice, at, &x, &y)) return false;
  *col = (x - lattice->x0) / lattice->dx;
  *row = (y - lattice->y0) / lattice->dy;
  return true;
}

es_lonlat es_lattice_place(const es_lattice *lattice, double col, double row) {
  double x = lattice->x0 + col * lattice->dx, y = lattice->y0 + row * lattice->dy;
  if (!OCTTransform(lattice->to_wgs84, 1, &x, &y, NULL) || !isfinite(x) || !isfinite(y)) return (es_lonlat){NAN, NAN};
  return (es_lonlat){x, y};
}

void es_lattice_pixel_size(const es_lattice *lattice, double col, double row, double *along_row_m,
                           double *along_col_m) {
  es_lonlat west = es_lattice_place(lattice, col - 0.5, row), east = es_lattice_place(lattice, col + 0.5, row);
  es_lonlat north = es_lattice_place(lattice, col, row - 0.5), south = es_lattice_place(lattice, col, row + 0.5);
  *along_row_m = es_geodesic_between(west, east).dist_m;
  *along_col_m = es_geodesic_between(north, south).dist_m;
}

es_window es_window_common(es_window a, es_window b) {
  long left = a.col > b.col ? a.col : b.col, top = a.row > b.row ? a.row : b.row;
  long right = a.col + a.cols < b.col + b.cols ? a.col + a.cols : b.col + b.cols;
  long bottom = a.row + a.rows < b.row + b.rows ? a.row + a.rows : b.row + b.rows;
  if (right <= left || bottom <= top) return (es_window){left, top, 0, 0};
  return (es_window){left, top, (int)(right - left), (int)(bottom - top)};
}

es_window es_window_around(es_window a, es_window b) {
  if (a.cols == 0) return b;
  if (b.cols == 0) return a;
  long left = a.col < b.col ? a.col : b.col, top = a.row < b.row ? a.row : b.row;
  long right = a.col + a.cols > b.col + b.cols ? a.col + a.cols : b.col + b.cols;
  long bottom = a.row + a.rows > b.row + b.rows ? a.row + a.rows : b.row + b.rows;
  return (es_window){left, top, (int)(right - left), (int)(bottom - top)};
}

void es_lattice_window_gt(const es_lattice *lattice, es_window window, double gt[6]) {
  gt[0] = lattice->x0 + (double)window.col * lattice->dx;
  gt[1] = lattice->dx;
  gt[2] = 0.0;
  gt[3] = lattice->y0 + (double)window.row * lattice->dy;
  gt[4] = 0.0;
  gt[5] = lattice->dy;
}
