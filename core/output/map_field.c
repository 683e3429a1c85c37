#include "output/map_field.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Waterlines reach 15 px from the coast. */
static const int COAST_REACH_PX = 17;
/* The frame's corners reach past the computed square; there the ground nearest by goes on, so that no false shore shows. */
static const double MARGIN = 0.06;

static int32_t make_room(es_field_map *f, es_error *err) {
  size_t n = (size_t)f->side * (size_t)f->side;
  f->ground = malloc(n);
  f->class = malloc(n);
  f->coast_px = malloc(n * sizeof *f->coast_px);
  f->relief = calloc(n, sizeof *f->relief);
  if (f->ground != NULL && f->class != NULL && f->coast_px != NULL && f->relief != NULL) return ES_OK;
  return es_fail(err, ES_E_MEMORY, "map of %d x %d pixels: out of memory", f->side, f->side);
}

void es_field_map_fini(es_field_map *f) {
  free(f->ground);
  free(f->class);
  free(f->coast_px);
  free(f->relief);
  *f = (es_field_map){0};
}

/* The cell under a place of the sheet; row -1: none. */
typedef struct place {
  ptrdiff_t row, col;
} place;

static place place_at(const es_frame *frame, const es_view *v, double x, double y, bool inside) {
  double col = floor(v->col0 + v->col_east * x + v->col_south * y);
  double row = floor(v->row0 + v->row_east * x + v->row_south * y);
  double slack = inside ? 0.0 : MARGIN * v->radius_m / frame->cell_m;
  if (col < -slack || row < -slack || col >= frame->cols + slack || row >= frame->rows + slack) return (place){-1, -1};
  return (place){(ptrdiff_t)fmin(fmax(row, 0.0), frame->rows - 1.0),
                 (ptrdiff_t)fmin(fmax(col, 0.0), frame->cols - 1.0)};
}

static uint8_t ground_of(const es_map_ground *ground, const es_frame *frame, place p) {
  if (p.row < 0) return ES_FIELD_VOID;
  if (ground->zone != NULL && ground->zone[p.row * frame->cols + p.col] == ES_ZONE_SEA) return ES_FIELD_SEA;
  return isnan(ground->ground_m[p.row * (ptrdiff_t)ground->pitch + p.col]) ? ES_FIELD_VOID : ES_FIELD_LAND;
}

typedef struct source {
  const es_frame *frame;
  const es_view *view;
  const float *values;
  const es_map_ground *ground;
  es_map_kind kind;
} source;

static void fill_row(const source *s, es_field_map *f, int row) {
  double y = (row + 0.5) / f->scale - 0.5 * ES_MAP_SIDE_PX;
  for (int column = 0; column < f->side; column++) {
    double x = (column + 0.5) / f->scale - 0.5 * ES_MAP_SIDE_PX;
    bool inside = x * x + y * y <= ES_MAP_RING_PX * ES_MAP_RING_PX;
    place p = place_at(s->frame, s->view, x, y, inside);
    size_t at = (size_t)row * (size_t)f->side + (size_t)column;
    f->ground[at] = ground_of(s->ground, s->frame, p);
    int class = p.row < 0 ? -1 : es_map_class(s->kind, (double)s->values[p.row * s->frame->cols + p.col]);
    f->class[at] = (int8_t)(!inside ? ES_FIELD_OUTSIDE : class);
    f->has_void |= inside && class < 0;
  }
}

/* Distance along the column to the nearest land, in pixels, at most reach + 1. Down, then up. */
static void fill_vertical(const es_field_map *f, int column, int reach, uint8_t *away) {
  size_t side = (size_t)f->side;
  int last = reach + 1;
  for (int row = 0; row < f->side; row++) {
    size_t at = (size_t)row * side + (size_t)column;
    last = f->ground[at] == ES_FIELD_LAND ? 0 : last > reach ? last : last + 1;
    away[at] = (uint8_t)last;
  }
  last = reach + 1;
  for (int row = f->side - 1; row >= 0; row--) {
    size_t at = (size_t)row * side + (size_t)column;
    last = f->ground[at] == ES_FIELD_LAND ? 0 : last > reach ? last : last + 1;
    if (last < away[at]) away[at] = (uint8_t)last;
  }
}

static float nearest_land(const uint8_t *away, int side, int column, int reach) {
  int best = (reach + 1) * (reach + 1);
  int from = column > reach ? column - reach : 0, to = column + reach < side ? column + reach : side - 1;
  for (int k = from; k <= to; k++) {
    int squared = (k - column) * (k - column) + away[k] * away[k];
    if (squared < best) best = squared;
  }
  return best >= (reach + 1) * (reach + 1) ? FLT_MAX : sqrtf((float)best);
}

static int32_t fill_coast(es_field_map *f, es_error *err) {
  size_t side = (size_t)f->side;
  int reach = COAST_REACH_PX * f->scale;
  uint8_t *away = malloc(side * side);
  if (away == NULL) return es_fail(err, ES_E_MEMORY, "map of %d x %d pixels: out of memory", f->side, f->side);
  for (int column = 0; column < f->side; column++) fill_vertical(f, column, reach, away);
  for (size_t at = 0; at < side * side; at++) {
    f->coast_px[at] = FLT_MAX;
    if (f->ground[at] != ES_FIELD_SEA) continue;
    float pixels = nearest_land(away + at / side * side, f->side, (int)(at % side), reach);
    f->coast_px[at] = pixels / (float)f->scale;
    f->has_coast |= pixels < FLT_MAX;
  }
  free(away);
  return ES_OK;
}

int32_t es_field_map_make(const es_frame *frame, const es_view *view, const float *values, const es_map_ground *ground,
                          es_map_kind kind, int scale, es_field_map *out, es_error *err) {
  *out = (es_field_map){.side = (int)ES_MAP_SIDE_PX * scale, .scale = scale};
  int32_t status = make_room(out, err);
  if (status != ES_OK) return status;
  source s = {frame, view, values, ground, kind};
  for (int row = 0; row < out->side; row++) fill_row(&s, out, row);
  status = fill_coast(out, err);
  if (status == ES_OK) es_relief_make(frame, view, ground, out);
  return status;
}
