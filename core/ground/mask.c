#include "ground/mask.h"

#include <cpl_error.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal_alg.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "ground/memory_raster.h"

enum { RIM_POINTS = 360 };
static const double CLIP_MARGIN = 1.25;      /* polygons are cut this many times as far out as they are needed */
static const double LONGEST_EDGE_DEG = 0.25; /* straight edges of a geographic layer are split before they are bent */

/* --- opening ------------------------------------------------------------------------------------------------------ */

static bool is_raster(const char *path) {
  VSIStatBufL stat;
  if (VSIStatL(path, &stat) == 0 && VSI_ISDIR(stat.st_mode)) return true;
  GDALDatasetH file = GDALOpenEx(path, GDAL_OF_RASTER, NULL, NULL, NULL);
  bool raster = file != NULL && GDALGetRasterCount(file) > 0;
  if (file != NULL) GDALClose(file);
  return raster;
}

static GDALDatasetH open_vector(const char *path) {
  return GDALOpenEx(path, GDAL_OF_VECTOR | GDAL_OF_VERBOSE_ERROR, NULL, NULL, NULL);
}

static bool check_vector(const char *path, const es_ground_plan *plan, es_faults *faults) {
  GDALDatasetH file = open_vector(path);
  bool ok = file != NULL && GDALDatasetGetLayerCount(file) > 0;
  if (!ok)
    es_fault_add(faults, plan->job_file, plan->line,
                 "ground.mask: %s cannot be read (%s): want a raster or a vector layer of land polygons", path,
                 CPLGetLastErrorMsg());
  for (int i = 0; ok && i < GDALDatasetGetLayerCount(file); i++)
    if (OGR_L_GetSpatialRef(GDALDatasetGetLayer(file, i)) == NULL) {
      es_fault_add(faults, plan->job_file, plan->line, "ground.mask: %s has no CRS: want one in the file", path);
      ok = false;
    }
  if (file != NULL) GDALClose(file);
  return ok;
}

bool es_mask_gather(es_mask *mask, const es_ground_plan *plan, es_faults *faults) {
  *mask = (es_mask){.wanted = plan->n_mask > 0};
  if (!mask->wanted) return true;
  mask->tiles = (es_tiles){.key = "mask", .scale = 1.0, .low = -HUGE_VAL, .high = HUGE_VAL, .nearest = true};
  size_t rasters = 0;
  for (size_t i = 0; i < plan->n_mask; i++) rasters += is_raster(plan->mask[i]);
  if (rasters == plan->n_mask) return es_tiles_gather(&mask->tiles, plan->mask, plan->n_mask, plan, faults);
  if (rasters > 0) {
    es_fault_add(faults, plan->job_file, plan->line, "ground.mask: rasters and vector layers are mixed: want one kind");
    return false;
  }
  mask->polygons = true;
  bool ok = true;
  for (size_t i = 0; i < plan->n_mask; i++) ok = check_vector(plan->mask[i], plan, faults) && ok;
  return ok;
}

/* --- polygons ----------------------------------------------------------------------------------------------------- */

typedef struct box {
  double left, low, right, high;
} box;

static box box_with(box b, double x, double y) {
  return (box){fmin(b.left, x), fmin(b.low, y), fmax(b.right, x), fmax(b.high, y)};
}

/* The area in a layer's CRS, with room to spare. A pole inside takes all longitudes; false: it cannot be said, cut
 * nothing. */
static bool area_box(const es_lattice *layer, es_ground_area area, double reach_m, box *out) {
  box b = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (int i = 0; i < RIM_POINTS; i++) {
    es_lonlat at = es_geodesic_ahead(area.centre, i * 360.0 / RIM_POINTS, CLIP_MARGIN * reach_m);
    double x, y;
    if (!es_lattice_xy(layer, at, &x, &y)) return false;
    b = box_with(b, x, y);
  }
  for (int south = 0; south < 2 && layer->geographic; south++) {
    es_lonlat pole = {0.0, south ? -90.0 : 90.0};
    double quarter = layer->turn / 4.0;
    if (es_geodesic_between(area.centre, pole).dist_m > CLIP_MARGIN * reach_m) continue;
    b = box_with(b, -2.0 * quarter, south ? -quarter : quarter);
    b = box_with(b, 2.0 * quarter, b.low);
  }
  *out = b;
  return true;
}

static OGRGeometryH box_polygon(box b) {
  OGRGeometryH ring = OGR_G_CreateGeometry(wkbLinearRing), polygon = OGR_G_CreateGeometry(wkbPolygon);
  const double corners[5][2] = {
      {b.left, b.low}, {b.right, b.low}, {b.right, b.high}, {b.left, b.high}, {b.left, b.low}};
  for (int i = 0; i < 5; i++) OGR_G_AddPoint_2D(ring, corners[i][0], corners[i][1]);
  OGR_G_AddGeometryDirectly(polygon, ring);
  return polygon;
}

static bool within(const OGREnvelope *e, box b) {
  return e->MinX >= b.left && e->MaxX <= b.right && e->MinY >= b.low && e->MaxY <= b.high;
}

/* Part of a shape inside the box; invalid shapes are mended first. Fresh, NULL when nothing is left. */
static OGRGeometryH clip(OGRGeometryH shape, box b) {
  OGREnvelope envelope;
  OGR_G_GetEnvelope(shape, &envelope);
  if (within(&envelope, b)) return OGR_G_Clone(shape);
  OGRGeometryH frame = box_polygon(b);
  OGRGeometryH mended = OGR_G_IsValid(shape) ? OGR_G_Clone(shape) : OGR_G_MakeValid(shape);
  OGRGeometryH part = mended != NULL ? OGR_G_Intersection(mended, frame) : NULL;
  OGR_G_DestroyGeometry(mended);
  OGR_G_DestroyGeometry(frame);
  return part;
}

static bool keep_land(es_mask *mask, OGRGeometryH shape) {
  if (mask->n_land == mask->room_land) {
    size_t room = mask->room_land == 0 ? 64 : 2 * mask->room_land;
    OGRGeometryH *land = realloc(mask->land, room * sizeof *land);
    if (land == NULL) return false;
    mask->land = land;
    mask->room_land = room;
  }
  mask->land[mask->n_land++] = shape;
  return true;
}

/* A layer on its way to the lattice. */
typedef struct layer_task {
  es_mask *mask;
  OGRLayerH layer;
  es_lattice own;                      /* the layer's CRS */
  OGRCoordinateTransformationH onward; /* to the lattice */
  box area;
  bool clip;
} layer_task;

static bool take_feature(layer_task *task, OGRFeatureH feature, box b) {
  OGRGeometryH shape = OGR_F_GetGeometryRef(feature);
  if (shape == NULL || OGR_G_GetDimension(shape) < 2) return true;
  OGRGeometryH part = task->clip ? clip(shape, b) : OGR_G_Clone(shape);
  if (part == NULL) return true;
  if (task->own.geographic) OGR_G_Segmentize(part, LONGEST_EDGE_DEG / 360.0 * task->own.turn);
  bool empty = OGR_G_IsEmpty(part);
  bool ok = empty || (OGR_G_Transform(part, task->onward) == OGRERR_NONE && keep_land(task->mask, part));
  if (empty || !ok) OGR_G_DestroyGeometry(part);
  return ok;
}

/* Longitudes of a layer may be counted otherwise than the area's: the box is tried a turn to either side as well. */
static bool take_layer(layer_task *task) {
  int around = task->clip && task->own.geographic ? 1 : 0;
  bool ok = true;
  for (int k = -around; k <= around && ok; k++) {
    box b = task->area;
    b.left += k * task->own.turn;
    b.right += k * task->own.turn;
    if (task->clip) OGR_L_SetSpatialFilterRect(task->layer, b.left, b.low, b.right, b.high);
    OGR_L_ResetReading(task->layer);
    for (OGRFeatureH f; ok && (f = OGR_L_GetNextFeature(task->layer)) != NULL; OGR_F_Destroy(f))
      ok = take_feature(task, f, b);
  }
  return ok;
}

/* Transformation between two CRS given as text, both x east before y north. */
static OGRCoordinateTransformationH between(const char *from, const char *to) {
  OGRSpatialReferenceH a = es_crs_read(from), b = es_crs_read(to);
  OGRCoordinateTransformationH way = a != NULL && b != NULL ? OCTNewCoordinateTransformation(a, b) : NULL;
  if (a != NULL) OSRDestroySpatialReference(a);
  if (b != NULL) OSRDestroySpatialReference(b);
  return way;
}

static bool place_layer(es_mask *mask, OGRLayerH layer, const es_lattice *lattice, es_ground_area area,
                        double reach_m) {
  const double unit_gt[6] = {0.0, 1.0, 0.0, 0.0, 0.0, 1.0};
  layer_task task = {.mask = mask, .layer = layer};
  char *wkt = NULL;
  bool ok = OSRExportToWkt(OGR_L_GetSpatialRef(layer), &wkt) == OGRERR_NONE;
  if (ok) {
    ok = es_lattice_init(&task.own, wkt, unit_gt, area.centre);
    task.onward = between(wkt, lattice->wkt);
    task.clip = ok && area_box(&task.own, area, reach_m, &task.area);
    ok = ok && task.onward != NULL && take_layer(&task);
    if (task.onward != NULL) OCTDestroyCoordinateTransformation(task.onward);
    es_lattice_fini(&task.own);
  }
  CPLFree(wkt);
  return ok;
}

static bool place_file(es_mask *mask, const char *path, const es_lattice *lattice, es_ground_area area,
                       double reach_m) {
  GDALDatasetH file = open_vector(path);
  bool ok = file != NULL;
  for (int i = 0; ok && i < GDALDatasetGetLayerCount(file); i++)
    ok = place_layer(mask, GDALDatasetGetLayer(file, i), lattice, area, reach_m);
  if (file != NULL) GDALClose(file);
  return ok;
}

bool es_mask_place(es_mask *mask, const es_lattice *lattice, es_ground_area area, double reach_m,
                   const es_ground_plan *plan, es_faults *faults) {
  if (!mask->wanted) return true;
  if (!mask->polygons) {
    es_tiles_settle(&mask->tiles, lattice, plan, faults);
    return true;
  }
  for (size_t i = 0; i < plan->n_mask; i++) {
    CPLErrorReset();
    if (place_file(mask, plan->mask[i], lattice, area, reach_m)) continue;
    es_fault_add(faults, plan->job_file, plan->line, "ground.mask: %s: its polygons cannot be laid over the area (%s)",
                 plan->mask[i], CPLGetLastErrorMsg());
    return false;
  }
  return true;
}

/* --- pixels ------------------------------------------------------------------------------------------------------- */

static bool burn(const es_mask *mask, const es_lattice *lattice, es_window window, double turns, uint8_t *sea) {
  double gt[6], land = ES_LAND;
  es_lattice_window_gt(lattice, window, gt);
  gt[0] += turns * lattice->turn;
  GDALDatasetH raster = es_memory_raster(sea, GDT_Byte, window.cols, window.rows, NULL, gt);
  double *values = malloc(mask->n_land * sizeof *values);
  int band = 1;
  bool ok = raster != NULL && values != NULL;
  for (size_t i = 0; ok && i < mask->n_land; i++) values[i] = land;
  ok = ok && GDALRasterizeGeometries(raster, 1, &band, (int)mask->n_land, mask->land, NULL, NULL, values, NULL, NULL,
                                     NULL) == CE_None;
  free(values);
  if (raster != NULL) GDALClose(raster);
  return ok;
}

static bool read_polygons(const es_mask *mask, const es_lattice *lattice, es_window window, uint8_t *sea) {
  memset(sea, ES_SEA, (size_t)window.cols * (size_t)window.rows);
  int around = lattice->geographic ? 1 : 0;
  bool ok = true;
  for (int k = -around; ok && mask->n_land > 0 && k <= around; k++) ok = burn(mask, lattice, window, k, sea);
  return ok;
}

static bool read_raster(es_mask *mask, const es_lattice *lattice, es_window window, uint8_t *sea,
                        const es_ground_plan *plan, es_faults *faults) {
  size_t n = (size_t)window.cols * (size_t)window.rows;
  float *value = malloc(n * sizeof *value);
  bool ok = value != NULL && es_tiles_read(&mask->tiles, lattice, window, value, plan, faults);
  for (size_t i = 0; ok && i < n; i++)
    sea[i] = isnan(value[i]) ? ES_SEA_UNKNOWN : value[i] == (float)plan->mask_sea ? ES_SEA : ES_LAND;
  free(value);
  return ok;
}

bool es_mask_read(es_mask *mask, const es_lattice *lattice, es_window window, uint8_t *sea, const es_ground_plan *plan,
                  es_faults *faults) {
  if (!mask->wanted) {
    memset(sea, ES_SEA_UNKNOWN, (size_t)window.cols * (size_t)window.rows);
    return true;
  }
  size_t before = faults->n_faults;
  bool ok = mask->polygons ? read_polygons(mask, lattice, window, sea)
                           : read_raster(mask, lattice, window, sea, plan, faults);
  if (!ok && faults->n_faults == before)
    es_fault_add(faults, plan->job_file, plan->line, "ground.mask: cannot be laid over the elevation (%s)",
                 CPLGetLastErrorMsg());
  return ok;
}

void es_mask_fini(es_mask *mask) {
  es_tiles_fini(&mask->tiles);
  for (size_t i = 0; i < mask->n_land; i++) OGR_G_DestroyGeometry(mask->land[i]);
  free(mask->land);
  *mask = (es_mask){0};
}
