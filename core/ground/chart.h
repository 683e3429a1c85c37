/* chart.h - pixel positions over a plane, so that workers need no projection library.
 *
 * A chart is a square of nodes over a plane (the beacon's azimuthal equidistant one, or the elevation's own projected
 * one); each node holds the fractional pixel position of its place in a raster. In between it is interpolated by 4 x 4
 * Lagrange cubics. The spacing is halved until the error, checked in the middle of every mesh, is under 0.01 pixel.
 *
 *      y  +---+---+---+      . nodes: (col, row) computed through the CRS in setup
 *         |   |   | ·p|      p: interpolated, [any thread]
 *         +---+---+---+
 *           spacing      x                                                                                           */
#ifndef EARSHOT_GROUND_CHART_H
#define EARSHOT_GROUND_CHART_H

#include <stddef.h>

#include "ground/lattice.h"

typedef struct es_chart {
  int nodes;             /* along a side; 0: the positions are exactly linear */
  double west, south;    /* of node (0,0), metres in the plane */
  double spacing_m;      /* linear: any length, it only sets the pieces of a line */
  double *at;            /* nodes x nodes pairs (col, row), NaN where the CRS does not reach */
  double col[3], row[3]; /* linear: col = col[0] + col[1] x + col[2] y */
} es_chart;

/* A plane: how its points become places, and the disc of it that is wanted. */
typedef struct es_plane {
  es_lonlat (*place)(const void *ctx, double x, double y);
  const void *ctx;
  double x, y, reach_m; /* centre and radius */
} es_plane;

typedef enum es_chart_result { ES_CHART_OK, ES_CHART_ROUGH, ES_CHART_MEMORY } es_chart_result;

/* ROUGH: the error stays above 0.01 pixel (a pole, an interrupted CRS). fini in every case. [setup] */
es_chart_result es_chart_init(es_chart *chart, const es_lattice *lattice, es_plane plane);
void es_chart_init_linear(es_chart *chart, const double col[3], const double row[3], double reach_m);
void es_chart_fini(es_chart *chart);
/* Positions count from this pixel from now on: the corner of a window. [setup] */
void es_chart_move_origin(es_chart *chart, long col, long row);
/* Pixels that hold the disc. [setup] */
es_window es_chart_window(const es_chart *chart, double x, double y, double reach_m);

/* Position of a point of the plane; NaN outside the chart. [any thread] */
void es_chart_at(const es_chart *chart, double x, double y, double *col, double *row);
/* Positions along a straight line of the plane from (x, y) in unit direction (ux, uy). [any thread] */
void es_chart_along(const es_chart *chart, double x, double y, double ux, double uy, const double *dist_m, size_t n,
                    double *col, double *row);

#endif
