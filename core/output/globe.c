#include "output/globe.h"

#include <math.h>
#include <ogr_srs_api.h>
#include <stdbool.h>
#include <stdlib.h>

static const double AT_POLE_M = 1.0, GRID_DEG = 1e-9;

struct es_globe {
  es_lonlat beacon;
  OGRCoordinateTransformationH to_globe;
  /* When a pole lies within reach: the plane's halves east and west of the beacon's meridian, less the pole. */
  bool has_pole;
  OGRGeometryH half[2]; /* east, west */
};

/* --- the plane's halves ---------------------------------------------------------------------------------------------------- */

typedef struct spot {
  double x, y;
} spot;

static bool turned(OGRCoordinateTransformationH turn, double x, double y, spot *out) {
  *out = (spot){x, y};
  return OCTTransform(turn, 1, &out->x, &out->y, NULL) != 0;
}

/* The side of a line from `pole` along the unit vector `along` on which `left` is 1 or -1, as far as reach. */
static OGRGeometryH half_plane(spot pole, spot along, double left, double reach) {
  spot out = {-left * along.y * reach, left * along.x * reach}, up = {along.x * reach, along.y * reach};
  const double x[] = {pole.x - up.x, pole.x + up.x, pole.x + up.x + out.x, pole.x - up.x + out.x};
  const double y[] = {pole.y - up.y, pole.y + up.y, pole.y + up.y + out.y, pole.y - up.y + out.y};
  OGRGeometryH ring = OGR_G_CreateGeometry(wkbLinearRing), whole = OGR_G_CreateGeometry(wkbPolygon);
  for (int i = 0; i <= 4; i++) OGR_G_AddPoint_2D(ring, x[i % 4], y[i % 4]);
  OGR_G_AddGeometryDirectly(whole, ring);
  OGRGeometryH point = OGR_G_CreateGeometry(wkbPoint);
  OGR_G_SetPoint_2D(point, 0, pole.x, pole.y);
  OGRGeometryH cap = OGR_G_Buffer(point, AT_POLE_M, 8), half = cap != NULL ? OGR_G_Difference(whole, cap) : NULL;
  OGR_G_DestroyGeometry(cap);
  OGR_G_DestroyGeometry(point);
  OGR_G_DestroyGeometry(whole);
  return half;
}

/* The beacon's meridian is a straight line of the plane: it runs through the middle of the map and through the pole. */
static bool cut_at_pole(es_globe *g, OGRCoordinateTransformationH to_plane, double pole_deg, double reach_m) {
  spot pole, before, beside;
  if (!turned(to_plane, g->beacon.lon_deg, pole_deg, &pole)) return false;
  if (!turned(to_plane, g->beacon.lon_deg, copysign(89.0, pole_deg), &before)) return false;
  double length = hypot(pole.x - before.x, pole.y - before.y);
  spot along = {(pole.x - before.x) / length, (pole.y - before.y) / length};
  if (!turned(g->to_globe, pole.x - 1e3 * along.y, pole.y + 1e3 * along.x, &beside)) return false;
  double left_is_east = remainder(beside.x - g->beacon.lon_deg, 360.0) > 0.0 ? 1.0 : -1.0;
  g->has_pole = true;
  for (int i = 0; i < 2; i++)
    g->half[i] = half_plane(pole, along, i == 0 ? left_is_east : -left_is_east, 3.0 * reach_m);
  return g->half[0] != NULL && g->half[1] != NULL;
}

static bool lay_out(es_globe *g, OGRSpatialReferenceH plane, OGRSpatialReferenceH wgs84, double reach_m) {
  OSRSetAxisMappingStrategy(plane, OAMS_TRADITIONAL_GIS_ORDER);
  OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
  if (OSRImportFromEPSG(wgs84, 4326) != OGRERR_NONE) return false;
  g->to_globe = OCTNewCoordinateTransformation(plane, wgs84);
  OGRCoordinateTransformationH to_plane = OCTNewCoordinateTransformation(wgs84, plane);
  bool ok = g->to_globe != NULL && to_plane != NULL;
  for (double pole = -90.0; ok && pole <= 90.0; pole += 180.0)
    if (es_geodesic_between(g->beacon, (es_lonlat){g->beacon.lon_deg, pole}).dist_m <= reach_m)
      ok = cut_at_pole(g, to_plane, pole, reach_m);
  OCTDestroyCoordinateTransformation(to_plane);
  return ok;
}

es_globe *es_globe_open(const char *wkt, es_lonlat beacon, double reach_m) {
  es_globe *g = calloc(1, sizeof *g);
  if (g == NULL) return NULL;
  g->beacon = beacon;
  OGRSpatialReferenceH plane = OSRNewSpatialReference(wkt), wgs84 = OSRNewSpatialReference(NULL);
  bool ok = lay_out(g, plane, wgs84, reach_m);
  OSRDestroySpatialReference(plane);
  OSRDestroySpatialReference(wgs84);
  if (ok) return g;
  es_globe_close(g);
  return NULL;
}

void es_globe_close(es_globe *g) {
  if (g == NULL) return;
  OGR_G_DestroyGeometry(g->half[0]);
  OGR_G_DestroyGeometry(g->half[1]);
  OCTDestroyCoordinateTransformation(g->to_globe);
  free(g);
}

/* --- shapes ------------------------------------------------------------------------------------------------------------------ */

/* side: 0 whole; 1 east, -1 west of the beacon's meridian, whose far side is 180 degrees away either way. */
static double led_on(double lon, double beacon, int side) {
  double off = remainder(lon - beacon, 360.0);
  if (side > 0 && off < -90.0) off += 360.0;
  if (side < 0 && off > 90.0) off -= 360.0;
  return beacon + off;
}

/* Longitudes without a jump: they may go past 180. */
static void lead_on(OGRGeometryH shape, double beacon, int side) {
  for (int i = 0; i < OGR_G_GetGeometryCount(shape); i++) lead_on(OGR_G_GetGeometryRef(shape, i), beacon, side);
  for (int i = 0; OGR_G_GetGeometryCount(shape) == 0 && i < OGR_G_GetPointCount(shape); i++)
    OGR_G_SetPoint_2D(shape, i, led_on(OGR_G_GetX(shape, i), beacon, side), OGR_G_GetY(shape, i));
}

/* On a grid of a tenth of a millimetre, so that edges that meet are equal whichever way round they came. */
static void move_east(OGRGeometryH shape, double by_deg) {
  for (int i = 0; i < OGR_G_GetGeometryCount(shape); i++) move_east(OGR_G_GetGeometryRef(shape, i), by_deg);
  for (int i = 0; OGR_G_GetGeometryCount(shape) == 0 && i < OGR_G_GetPointCount(shape); i++)
    OGR_G_SetPoint_2D(shape, i, round((OGR_G_GetX(shape, i) + by_deg) / GRID_DEG) * GRID_DEG,
                      round(OGR_G_GetY(shape, i) / GRID_DEG) * GRID_DEG);
}

/* Adds the polygons that a shape consists of; lines and points, left over by a cut, are none. */
static void add_polygons(OGRGeometryH to, OGRGeometryH from) {
  if (wkbFlatten(OGR_G_GetGeometryType(from)) == wkbPolygon) {
    OGR_G_AddGeometry(to, from);
    return;
  }
  for (int i = 0; i < OGR_G_GetGeometryCount(from); i++) add_polygons(to, OGR_G_GetGeometryRef(from, i));
}

static OGRGeometryH box_of_turn(int turn) {
  double west = -180.0 + 360.0 * turn;
  OGRGeometryH ring = OGR_G_CreateGeometry(wkbLinearRing), box = OGR_G_CreateGeometry(wkbPolygon);
  const double x[] = {west, west + 360.0, west + 360.0, west, west}, y[] = {-91.0, -91.0, 91.0, 91.0, -91.0};
  for (int i = 0; i < 5; i++) OGR_G_AddPoint_2D(ring, x[i], y[i]);
  OGR_G_AddGeometryDirectly(box, ring);
  return box;
}

/* Each turn around the globe by itself, brought back to -180..180. */
static bool add_turns(OGRGeometryH to, OGRGeometryH shape) {
  OGREnvelope e;
  OGR_G_GetEnvelope(shape, &e);
  if (e.MinX >= -180.0 && e.MaxX <= 180.0) {
    move_east(shape, 0.0);
    add_polygons(to, shape);
    return true;
  }
  bool ok = true;
  for (int turn = -1; ok && turn <= 1; turn++) {
    OGRGeometryH box = box_of_turn(turn), piece = OGR_G_Intersection(shape, box);
    ok = piece != NULL;
    if (ok) move_east(piece, -360.0 * turn);
    if (ok) add_polygons(to, piece);
    OGR_G_DestroyGeometry(piece);
    OGR_G_DestroyGeometry(box);
  }
  return ok;
}

/* Longitudes go on from the beacon's, to either side. */
static bool unroll(const es_globe *g, OGRGeometryH shape, int side) {
  if (shape == NULL || OGR_G_Transform(shape, g->to_globe) != OGRERR_NONE) return false;
  lead_on(shape, g->beacon.lon_deg, side);
  return true;
}

/* Both sides of the beacon's meridian by themselves, then joined where they meet on this side of the pole and beyond it. */
static OGRGeometryH around_pole(const es_globe *g, OGRGeometryH shape) {
  OGRGeometryH both = OGR_G_CreateGeometry(wkbMultiPolygon), joined = NULL, out = NULL;
  bool ok = true;
  for (int i = 0; ok && i < 2; i++) {
    OGRGeometryH side = OGR_G_Intersection(shape, g->half[i]);
    ok = unroll(g, side, i == 0 ? 1 : -1);
    ok = ok && add_turns(both, side);
    OGR_G_DestroyGeometry(side);
  }
  if (ok) joined = OGR_G_UnionCascaded(both);
  if (joined != NULL) {
    out = OGR_G_CreateGeometry(wkbMultiPolygon);
    add_polygons(out, joined);
  }
  OGR_G_DestroyGeometry(joined);
  OGR_G_DestroyGeometry(both);
  return out;
}

OGRGeometryH es_globe_polygons(const es_globe *g, OGRGeometryH shape) {
  OGRGeometryH out = NULL;
  if (g->has_pole)
    out = around_pole(g, shape);
  else if (unroll(g, shape, 0)) {
    out = OGR_G_CreateGeometry(wkbMultiPolygon);
    if (!add_turns(out, shape)) {
      OGR_G_DestroyGeometry(out);
      out = NULL;
    }
  }
  OGR_G_DestroyGeometry(shape);
  return out;
}
