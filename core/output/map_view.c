#include "output/map_view.h"

#include <math.h>

#include "base/units.h"

static const double FAR_SIDE_M = 15e6; /* beyond, the drawing stretches a place into an arc */

/* Linear map from metres east and north of the beacon to the plane of the frame. */
typedef struct turn {
  double x_east, x_north, y_east, y_north;
} turn;

static void east_north(const es_frame *f, double dx, double dy, double *east, double *north) {
  es_course c = es_geodesic_between(f->beacon, es_frame_place(f, dx, dy));
  *east = c.dist_m * sin(es_rad(c.azimuth_deg));
  *north = c.dist_m * cos(es_rad(c.azimuth_deg));
}

/* A raster's plane is turned and scaled at the beacon: grid convergence and point scale, from places on both its axes. The
 * frame has been checked to keep geodesics straight within a quarter of a cell, so a linear map is as exact as a pixel. */
static turn turn_of_raster(const es_frame *f, double reach_m) {
  double h = 0.5 * reach_m, e1, n1, e2, n2, e3, n3, e4, n4;
  east_north(f, h, 0.0, &e1, &n1);
  east_north(f, -h, 0.0, &e2, &n2);
  east_north(f, 0.0, h, &e3, &n3);
  east_north(f, 0.0, -h, &e4, &n4);
  double ex = (e1 - e2) / (2.0 * h), nx = (n1 - n2) / (2.0 * h), ey = (e3 - e4) / (2.0 * h), ny = (n3 - n4) / (2.0 * h);
  double determinant = ex * ny - ey * nx;
  return (turn){ny / determinant, -ey / determinant, -nx / determinant, ex / determinant};
}

static double farthest_corner(const es_frame *f) {
  double west = f->beacon_x - f->x0, east = f->cols * f->cell_m - west;
  double north = f->y0 - f->beacon_y, south = f->rows * f->cell_m - north;
  return hypot(fmax(fabs(west), fabs(east)), fmax(fabs(north), fabs(south)));
}

es_view es_view_of(const es_frame *f) {
  double radius_m = isfinite(f->radius_m) ? f->radius_m : farthest_corner(f);
  turn t = f->kind == ES_FRAME_RASTER ? turn_of_raster(f, radius_m) : (turn){1.0, 0.0, 0.0, 1.0};
  double px_per_m = ES_MAP_RING_PX / radius_m, step = 1.0 / (px_per_m * f->cell_m);
  return (es_view){.beacon = f->beacon,
                   .radius_m = radius_m,
                   .px_per_m = px_per_m,
                   .col0 = (f->beacon_x - f->x0) / f->cell_m,
                   .col_east = t.x_east * step,
                   .col_south = -t.x_north * step,
                   .row0 = (f->y0 - f->beacon_y) / f->cell_m,
                   .row_east = -t.y_east * step,
                   .row_south = t.y_north * step,
                   .cells_per_px = step};
}

void es_view_polar(const es_view *v, double dist_m, double azimuth, double *x, double *y) {
  *x = ES_MAP_CENTRE_X + dist_m * v->px_per_m * sin(azimuth);
  *y = ES_MAP_CENTRE_Y - dist_m * v->px_per_m * cos(azimuth);
}

bool es_view_place(const es_view *v, es_lonlat at, double *x, double *y) {
  es_course c = es_geodesic_between(v->beacon, at);
  es_view_polar(v, c.dist_m, es_rad(c.azimuth_deg), x, y);
  return c.dist_m < FAR_SIDE_M;
}

es_lonlat es_view_at(const es_view *v, double x, double y) {
  double east = x - ES_MAP_CENTRE_X, north = ES_MAP_CENTRE_Y - y;
  return es_geodesic_ahead(v->beacon, es_deg(atan2(east, north)), hypot(east, north) / v->px_per_m);
}

bool es_view_inside_frame(double x, double y) {
  return x >= ES_MAP_LEFT_PX && x <= ES_MAP_RIGHT_PX && y >= ES_MAP_TOP_PX && y <= ES_MAP_BOTTOM_PX;
}
