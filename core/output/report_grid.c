/* report_grid.c - maps as bytes on the report's own square: x east, y south, the run's radius at the edges; the ground goes on
 * to the frame. */
#include <math.h>

#include "output/map_field.h"
#include "output/report.h"

static const double MIDDLE_LIGHT = 128.5, LIGHT_SWING = 126.5;

double es_report_radius_m(const es_frame *frame) { return es_view_of(frame).radius_m; }

/* Place of the middle of a byte, px of the map sheet from the beacon; false outside the ring. */
static bool place_of(int side, int col, int row, double *x, double *y) {
  *x = ((col + 0.5) / side * 2.0 - 1.0) * ES_MAP_RING_PX;
  *y = ((row + 0.5) / side * 2.0 - 1.0) * ES_MAP_RING_PX;
  return *x * *x + *y * *y <= ES_MAP_RING_PX * ES_MAP_RING_PX;
}

/* A place so near the rim that its cell may have its middle outside is answered by the cell before. */
static void pull_in(const es_view *v, double *x, double *y) {
  double away = hypot(*x, *y), most = ES_MAP_RING_PX - 0.75 / v->cells_per_px;
  if (away <= most || most <= 0.0) return;
  *x *= most / away;
  *y *= most / away;
}

/* Index of the cell under a place, -1 off the frame. */
static ptrdiff_t cell_under(const es_frame *f, const es_view *v, double x, double y) {
  double col = floor(v->col0 + v->col_east * x + v->col_south * y);
  double row = floor(v->row0 + v->row_east * x + v->row_south * y);
  if (col < 0.0 || row < 0.0 || col >= f->cols || row >= f->rows) return -1;
  return (ptrdiff_t)row * f->cols + (ptrdiff_t)col;
}

void es_report_layer(const es_frame *frame, int side, const float *values, uint8_t (*code)(double), uint8_t *bytes) {
  es_view view = es_view_of(frame);
  for (int row = 0; row < side; row++)
    for (int col = 0; col < side; col++) {
      double x, y;
      bool inside = place_of(side, col, row, &x, &y);
      pull_in(&view, &x, &y);
      ptrdiff_t cell = inside ? cell_under(frame, &view, x, y) : -1;
      bytes[row * side + col] = !inside ? 1 : cell < 0 ? 0 : code((double)values[cell]);
    }
}

static uint8_t ground_code(const es_field_map *field, double x, double y) {
  size_t at = (size_t)(y + 0.5 * ES_MAP_SIDE_PX) * (size_t)field->side + (size_t)(x + 0.5 * ES_MAP_SIDE_PX);
  if (field->ground[at] == ES_FIELD_VOID) return 0;
  if (field->ground[at] == ES_FIELD_SEA) return 1;
  return (uint8_t)fmin(fmax(round(MIDDLE_LIGHT + LIGHT_SWING * (double)field->relief[at]), 2.0), 255.0);
}

int es_report_base_side(int side) {
  return side + 2 * (int)((0.5 * ES_MAP_SIDE_PX / ES_MAP_RING_PX - 1.0) * side / 2.0);
}

int32_t es_report_base(const es_frame *frame, int side, const float *values, const es_map_ground *ground,
                       uint8_t *bytes, es_error *err) {
  es_view view = es_view_of(frame);
  es_field_map field;
  int32_t status = es_field_map_make(frame, &view, values, ground, ES_MAP_LEVEL, 1, &field, err);
  int wide = es_report_base_side(side), margin = (wide - side) / 2;
  for (int row = 0; status == 0 && row < wide; row++)
    for (int col = 0; col < wide; col++) {
      double x, y;
      place_of(side, col - margin, row - margin, &x, &y);
      bytes[row * wide + col] = ground_code(&field, x, y);
    }
  es_field_map_fini(&field);
  return status;
}
