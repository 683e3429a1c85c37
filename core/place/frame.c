/* frame.c - the plane of a map.
 * The azimuthal equidistant plane about the beacon is distance and azimuth of the geodesic in polar coordinates, so it
 * needs no projection library; the plane of a raster goes through PROJ, in setup only.                               */
#include "place/frame.h"

#include <math.h>
#include <proj.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"

enum { RIM_POINTS = 64, MAX_CELLS_A_SIDE = 65535 };

/* PROJ's objects of an ES_FRAME_RASTER: longitude and latitude in degrees <-> x and y of the plane. */
struct es_frame_plane {
  PJ_CONTEXT *context;
  PJ *transform;
};

/* --- about the beacon --------------------------------------------------------------------------------------------- */

/* The CRS as WKT, as GeoTIFF writers read it; NULL on failure. */
static char *beacon_plane_wkt(es_lonlat beacon) {
  char definition[160];
  snprintf(definition, sizeof definition, "+proj=aeqd +lat_0=%.12f +lon_0=%.12f +datum=WGS84 +units=m +type=crs",
           beacon.lat_deg, beacon.lon_deg);
  PJ_CONTEXT *context = proj_context_create();
  PJ *crs = context != NULL ? proj_create(context, definition) : NULL;
  const char *wkt = crs != NULL ? proj_as_wkt(context, crs, PJ_WKT1_GDAL, NULL) : NULL;
  char *copy = wkt != NULL ? strdup(wkt) : NULL;
  proj_destroy(crs);
  if (context != NULL) proj_context_destroy(context);
  return copy;
}

static int32_t check_beacon(es_lonlat beacon, es_error *err) {
  if (isfinite(beacon.lon_deg) && beacon.lat_deg >= -90.0 && beacon.lat_deg <= 90.0) return 0;
  return es_fail(err, ES_E_RANGE, "beacon lon=%g lat=%g: want a longitude and a latitude from -90 to 90",
                 beacon.lon_deg, beacon.lat_deg);
}

int32_t es_frame_about_beacon(es_lonlat beacon, double radius_m, double cell_m, es_frame *out, es_error *err) {
  *out = (es_frame){.kind = ES_FRAME_BEACON, .beacon = beacon, .cell_m = cell_m, .radius_m = radius_m};
  int32_t status = check_beacon(beacon, err);
  if (status != 0) return status;
  if (!(cell_m > 0.0 && radius_m > 0.0 && isfinite(radius_m)))
    return es_fail(err, ES_E_RANGE, "radius_m=%g cell_m=%g: want both above 0", radius_m, cell_m);
  double half = floor(radius_m / cell_m * (1.0 + 1e-12)); /* cells between the centre one and the rim */
  if (2.0 * half + 1.0 > MAX_CELLS_A_SIDE)
    return es_fail(err, ES_E_RANGE, "radius_m=%g cell_m=%g: %.0f cells a side, want at most %d", radius_m, cell_m,
                   2.0 * half + 1.0, MAX_CELLS_A_SIDE);
  out->cols = out->rows = 2 * (int)half + 1;
  out->x0 = -(half + 0.5) * cell_m;
  out->y0 = (half + 0.5) * cell_m;
  out->wkt = beacon_plane_wkt(beacon);
  if (out->wkt == NULL) return es_fail(err, ES_E_MEMORY, "the map's CRS cannot be written");
  return 0;
}

/* --- the grid of a raster ----------------------------------------------------------------------------------------- */

static void plane_destroy(struct es_frame_plane *plane) {
  if (plane == NULL) return;
  proj_destroy(plane->transform);
  if (plane->context != NULL) proj_context_destroy(plane->context);
  free(plane);
}

/* Metres in one unit of the CRS's first axis when it is projected, else NaN. */
static double crs_unit_m(PJ_CONTEXT *context, PJ *crs) {
  double factor = NAN;
  PJ_TYPE type = proj_get_type(crs);
  PJ *bound = type == PJ_TYPE_BOUND_CRS ? proj_get_source_crs(context, crs) : NULL;
  PJ *horizontal = type == PJ_TYPE_COMPOUND_CRS ? proj_crs_get_sub_crs(context, crs, 0) : NULL;
  PJ *plain = bound != NULL ? bound : horizontal != NULL ? horizontal : crs;
  if (proj_get_type(plain) == PJ_TYPE_PROJECTED_CRS) {
    PJ *axes = proj_crs_get_coordinate_system(context, plain);
    if (axes != NULL) proj_cs_get_axis_info(context, axes, 0, NULL, NULL, NULL, &factor, NULL, NULL, NULL);
    proj_destroy(axes);
  }
  proj_destroy(bound);
  proj_destroy(horizontal);
  return factor;
}

static int32_t plane_create(const char *wkt, struct es_frame_plane **out, es_error *err) {
  struct es_frame_plane *plane = *out = calloc(1, sizeof *plane);
  if (plane == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  plane->context = proj_context_create();
  if (plane->context == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  proj_log_level(plane->context, PJ_LOG_NONE);
  PJ *wgs84 = proj_create(plane->context, "EPSG:4326"), *crs = proj_create(plane->context, wkt);
  double unit_m = crs != NULL ? crs_unit_m(plane->context, crs) : NAN;
  PJ *raw =
      wgs84 != NULL && crs != NULL ? proj_create_crs_to_crs_from_pj(plane->context, wgs84, crs, NULL, NULL) : NULL;
  if (raw != NULL) plane->transform = proj_normalize_for_visualization(plane->context, raw);
  proj_destroy(raw);
  proj_destroy(wgs84);
  proj_destroy(crs);
  if (plane->transform == NULL) return es_fail(err, ES_E_INPUT, "the raster's CRS cannot be used: %.120s", wkt);
  if (!(fabs(unit_m - 1.0) < 1e-9))
    return es_fail(err, ES_E_INPUT, "the raster's CRS is no projected one in metres: %.120s", wkt);
  return 0;
}

static bool plane_forward(const struct es_frame_plane *plane, es_lonlat at, double *x, double *y) {
  PJ_COORD c = proj_trans(plane->transform, PJ_FWD, proj_coord(at.lon_deg, at.lat_deg, 0.0, HUGE_VAL));
  *x = c.xy.x;
  *y = c.xy.y;
  return isfinite(c.xy.x) && isfinite(c.xy.y);
}

static es_lonlat plane_inverse(const struct es_frame_plane *plane, double x, double y) {
  PJ_COORD c = proj_trans(plane->transform, PJ_INV, proj_coord(x, y, 0.0, HUGE_VAL));
  return isfinite(c.xy.x) && isfinite(c.xy.y) ? (es_lonlat){c.xy.x, c.xy.y} : (es_lonlat){NAN, NAN};
}

/* Distance in the plane from the beacon in a direction to where the map ends there. */
static double rim_distance(const es_frame *f, double ux, double uy) {
  double right = f->x0 + f->cols * f->cell_m, bottom = f->y0 - f->rows * f->cell_m;
  double along_x = ux > 0.0 ? (right - f->beacon_x) / ux : ux < 0.0 ? (f->x0 - f->beacon_x) / ux : INFINITY;
  double along_y = uy > 0.0 ? (f->y0 - f->beacon_y) / uy : uy < 0.0 ? (bottom - f->beacon_y) / uy : INFINITY;
  return fmin(f->radius_m, fmin(along_x, along_y));
}

/* How far the geodesic leaves the straight line of length `plane_m`, half way along it; NaN when it cannot be said. */
static double lateral_gap(const es_frame *f, double ux, double uy, double plane_m) {
  es_lonlat end = es_frame_place(f, plane_m * ux, plane_m * uy);
  if (isnan(end.lat_deg)) return NAN;
  es_course course = es_geodesic_between(f->beacon, end);
  double x, y;
  if (!plane_forward(f->plane, es_geodesic_ahead(f->beacon, course.azimuth_deg, 0.5 * course.dist_m), &x, &y))
    return NAN;
  return fabs((x - f->beacon_x) * uy - (y - f->beacon_y) * ux);
}

static int32_t check_straight(const es_frame *f, es_error *err) {
  double worst_m = 0.0, worst_deg = 0.0;
  for (int i = 0; i < RIM_POINTS; i++) {
    double turn = 2.0 * ES_PI * i / RIM_POINTS, ux = sin(turn), uy = cos(turn);
    double rim_m = rim_distance(f, ux, uy);
    if (!(rim_m > 0.0)) continue;
    double gap_m = lateral_gap(f, ux, uy, rim_m);
    if (isnan(gap_m)) return es_fail(err, ES_E_INPUT, "the raster's CRS does not reach as far as the map");
    if (gap_m > worst_m) worst_m = gap_m, worst_deg = es_deg(turn);
  }
  if (worst_m < 0.25 * f->cell_m) return 0;
  return es_fail(err, ES_E_INPUT,
                 "straight lines of the raster's grid leave the geodesic by %.1f m (towards %.0f degrees of the grid), "
                 "want less than a quarter of a cell (%.1f m): take the grid about the beacon",
                 worst_m, worst_deg, 0.25 * f->cell_m);
}

int32_t es_frame_of_raster(es_lonlat beacon, const char *wkt, double x0, double y0, double cell_m, int cols, int rows,
                           double radius_m, es_frame *out, es_error *err) {
  *out = (es_frame){.kind = ES_FRAME_RASTER,
                    .beacon = beacon,
                    .x0 = x0,
                    .y0 = y0,
                    .cell_m = cell_m,
                    .cols = cols,
                    .rows = rows,
                    .radius_m = radius_m};
  int32_t status = check_beacon(beacon, err);
  if (status != 0) return status;
  if (!(cell_m > 0.0 && radius_m > 0.0 && cols > 0 && rows > 0))
    return es_fail(err, ES_E_RANGE, "radius_m=%g cell_m=%g cols=%d rows=%d: want all above 0", radius_m, cell_m, cols,
                   rows);
  status = plane_create(wkt, &out->plane, err);
  if (status != 0) return status;
  if (!plane_forward(out->plane, beacon, &out->beacon_x, &out->beacon_y))
    return es_fail(err, ES_E_INPUT, "the beacon lies outside the raster's CRS");
  out->wkt = strdup(wkt);
  if (out->wkt == NULL) return es_fail(err, ES_E_MEMORY, "out of memory");
  return check_straight(out, err);
}

void es_frame_fini(es_frame *frame) {
  if (frame == NULL) return;
  plane_destroy(frame->plane);
  free(frame->wkt);
  *frame = (es_frame){0};
}

/* --- both --------------------------------------------------------------------------------------------------------- */

void es_frame_cell(const es_frame *frame, int col, int row, double *dx, double *dy) {
  *dx = frame->x0 + (col + 0.5) * frame->cell_m - frame->beacon_x;
  *dy = frame->y0 - (row + 0.5) * frame->cell_m - frame->beacon_y;
}

/* Column whose centre is nearest to dx from the beacon, kept within the frame. */
static int nearest_col(const es_frame *frame, double dx) {
  double col = floor((frame->beacon_x + dx - frame->x0) / frame->cell_m);
  return (int)es_clamp(col, 0.0, frame->cols - 1.0);
}

double es_frame_reach(const es_frame *frame) {
  double reach = 0.0;
  for (int row = 0; row < frame->rows; row++) {
    double dx, dy;
    es_frame_cell(frame, 0, row, &dx, &dy);
    double half = sqrt(fmax(0.0, frame->radius_m * frame->radius_m - dy * dy));
    int west = nearest_col(frame, -half), east = nearest_col(frame, half);
    int ends[] = {west, west + 1, east - 1, east}; /* the outermost cell may lie just outside */
    for (int i = 0; i < 4; i++) {
      if (ends[i] < 0 || ends[i] >= frame->cols) continue;
      es_frame_cell(frame, ends[i], row, &dx, &dy);
      double dist = hypot(dx, dy);
      if (dist <= frame->radius_m && dist > reach) reach = dist;
    }
  }
  return reach;
}

es_lonlat es_frame_place(const es_frame *frame, double dx, double dy) {
  if (frame->kind == ES_FRAME_RASTER) return plane_inverse(frame->plane, frame->beacon_x + dx, frame->beacon_y + dy);
  return es_geodesic_ahead(frame->beacon, es_deg(atan2(dx, dy)), hypot(dx, dy));
}
