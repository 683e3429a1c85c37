/* relief.c - shading of the land, so that a place is known by its hills. */
#include <math.h>
#include <string.h>

#include "output/map_field.h"

static const double EXAGGERATION = 5.0;
static const double RANK = 0.88;    /* shade of this rank is taken as strong */
static const double STRETCH = 1.15; /* before tanh: most slopes use the range, the steepest do not clip */
static const double SIN_45 = 0.70710678118654752;

/* Suns: weight, and the horizontal direction towards them, times cos 45: 315, 270, 0, 225 degrees. */
static const struct sun {
  double weight, east, north;
} SUNS[] = {{0.5, -0.5, 0.5}, {0.2, -0.70710678118654752, 0.0}, {0.2, 0.0, 0.70710678118654752}, {0.1, -0.5, -0.5}};

enum { BINS = 4096 }; /* of |shade|, 0..2 */

/* Height of a cell; the sea lies at 0. NaN: not known. */
static double height_of(const es_frame *f, const es_map_ground *g, double col, double row) {
  col = fmin(fmax(col, 0.0), f->cols - 1.0);
  row = fmin(fmax(row, 0.0), f->rows - 1.0);
  bool sea = g->zone != NULL && g->zone[(size_t)row * (size_t)f->cols + (size_t)col] == ES_ZONE_SEA;
  return sea ? 0.0 : (double)g->ground_m[(size_t)row * g->pitch + (size_t)col];
}

/* Bilinear between cell centres; `instead` where a neighbour is not known. */
static double height_between(const es_frame *f, const es_map_ground *g, double col, double row, double instead) {
  double c = floor(col - 0.5), r = floor(row - 0.5), u = col - 0.5 - c, v = row - 0.5 - r;
  double height = (1.0 - v) * ((1.0 - u) * height_of(f, g, c, r) + u * height_of(f, g, c + 1.0, r)) +
                  v * ((1.0 - u) * height_of(f, g, c, r + 1.0) + u * height_of(f, g, c + 1.0, r + 1.0));
  return isnan(height) ? instead : height;
}

/* Light on a slope less the light on level ground; slopes are rise over run, eastward and northward. */
static double shade_of(double east, double north) {
  double length = sqrt(1.0 + east * east + north * north), light = 0.0;
  for (size_t k = 0; k < sizeof SUNS / sizeof SUNS[0]; k++)
    light += SUNS[k].weight * (SIN_45 - SUNS[k].east * east - SUNS[k].north * north) / length;
  return light - SIN_45;
}

/* Differences over a pixel or a cell, whichever is longer. */
static double shade_at(const es_frame *f, const es_view *v, const es_map_ground *g, double x, double y) {
  double h = fmax(1.0, 1.0 / v->cells_per_px);
  double col = v->col0 + v->col_east * x + v->col_south * y, row = v->row0 + v->row_east * x + v->row_south * y;
  double here = height_of(f, g, floor(col), floor(row));
  double east = height_between(f, g, col + h * v->col_east, row + h * v->row_east, here) -
                height_between(f, g, col - h * v->col_east, row - h * v->row_east, here);
  double south = height_between(f, g, col + h * v->col_south, row + h * v->row_south, here) -
                 height_between(f, g, col - h * v->col_south, row - h * v->row_south, here);
  double rise = EXAGGERATION * v->px_per_m / (2.0 * h);
  return shade_of(east * rise, -south * rise);
}

static double strong_shade(const es_field_map *field, size_t n) {
  size_t counts[BINS] = {0}, land = 0, below = 0;
  for (size_t i = 0; i < n; i++)
    if (field->relief[i] != 0.0f) {
      double bin = fmin(fabs((double)field->relief[i]) * (BINS / 2.0), BINS - 1.0);
      counts[(int)bin]++;
      land++;
    }
  int bin = 0;
  while (bin < BINS - 1 && (double)(below + counts[bin]) < RANK * (double)land) below += counts[bin++];
  return (bin + 1.0) * 2.0 / BINS;
}

void es_relief_make(const es_frame *frame, const es_view *view, const es_map_ground *ground, es_field_map *field) {
  size_t side = (size_t)field->side, n = side * side;
  for (size_t i = 0; i < n; i++) {
    field->relief[i] = 0.0f;
    if (field->ground[i] != ES_FIELD_LAND || field->class[i] < 0) continue;
    double x = ((double)(i % side) + 0.5) / field->scale - 0.5 * ES_MAP_SIDE_PX;
    double y = ((double)(i / side) + 0.5) / field->scale - 0.5 * ES_MAP_SIDE_PX;
    field->relief[i] = (float)shade_at(frame, view, ground, x, y);
  }
  double strong = strong_shade(field, n);
  for (size_t i = 0; i < n; i++) field->relief[i] = (float)tanh(STRETCH * (double)field->relief[i] / strong);
}
