/* listeners.c - who listens: a list of places through OGR, each field judged by itself.
 *
 * Cells of CSV come as text and numbers are parsed here, so that "12a" is a fault and not 12. A row with any fault
 * is left out and told; the others are kept. */
#include <cpl_error.h>
#include <cpl_string.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "ground/drivers.h"
#include "place/locator.h"
#include "station/list_lines.h"
#include "station/station.h"
#include "station/word.h"

static const double DISH_EFFICIENCY = 0.55; /* when neither row nor defaults say */

enum {
  NAME,
  CALL,
  LON,
  LAT,
  LOCATOR,
  HEIGHT,
  GAIN,
  DISH,
  NOISE,
  FEEDER,
  MODE,
  AZIMUTH,
  TILT,
  POLAR,
  LNB_LO,
  LNB_ERROR,
  WEIGHT,
  COLUMNS
};

static const struct {
  const char *name, *other, *unit; /* other: a second spelling */
  double min, max;
} columns[COLUMNS] = {
    [NAME] = {"name", NULL, "", 0, 0},
    [CALL] = {"call", NULL, "", 0, 0},
    [LON] = {"lon", "longitude", "degrees", -180, 180},
    [LAT] = {"lat", "latitude", "degrees", -90, 90},
    [LOCATOR] = {"locator", NULL, "", 0, 0},
    [HEIGHT] = {"height_m", NULL, "m", 0, 1000},
    [GAIN] = {"gain_dbi", NULL, "dBi", -30, 80},
    [DISH] = {"dish_m", NULL, "m", 0.05, 50},
    [NOISE] = {"noise_figure_db", NULL, "dB", 0, 30},
    [FEEDER] = {"feeder_db", "feeder_loss_db", "dB", 0, 60},
    [MODE] = {"mode", NULL, "", 0, 0},
    [AZIMUTH] = {"azimuth_deg", NULL, "degrees", -360, 360},
    [TILT] = {"tilt_deg", NULL, "degrees", -90, 90},
    [POLAR] = {"polarisation", NULL, "", 0, 0},
    [LNB_LO] = {"lnb_lo_mhz", NULL, "MHz", 0, 100000},
    [LNB_ERROR] = {"lnb_error_ppm", NULL, "ppm", 0, 1000},
    [WEIGHT] = {"weight", NULL, "", 0, 1e6},
};

typedef struct list {
  const char *path;
  OGRLayerH layer;
  int at[COLUMNS]; /* field index, -1 when the list has no such column */
  OGRCoordinateTransformationH to_lonlat;
  es_list_lines lines; /* CSV only */
  const es_receiver *defaults;
  double freq_ghz;
  const es_modes *modes;
  es_faults *faults;
} list;

typedef struct row {
  const list *list;
  OGRFeatureH feature;
  size_t number; /* 1 is the first */
  long line;     /* 0: the file has no lines a person could look for */
  bool faulty;
} row;

static void row_fault(row *r, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void row_fault(row *r, const char *format, ...) {
  char text[512];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  r->faulty = true;
  if (r->line > 0)
    es_fault_add(r->list->faults, r->list->path, r->line, "%s", text);
  else
    es_fault_add(r->list->faults, r->list->path, 0, "feature %zu: %s", r->number, text);
}

/* Text of a cell, "" when there is none. Borrowed until the next call on this feature. */
static const char *cell(const row *r, int column) {
  int at = r->list->at[column];
  return at >= 0 && OGR_F_IsFieldSetAndNotNull(r->feature, at) ? OGR_F_GetFieldAsString(r->feature, at) : "";
}

static bool given(const row *r, int column) {
  const char *text = cell(r, column);
  return text[strspn(text, " \t")] != '\0';
}

/* NaN when the cell is empty, and when it is faulty (which is told). */
static double number(row *r, int column) {
  double value;
  if (!given(r, column)) return NAN;
  const char *text = cell(r, column);
  if (es_parse_number(text, &value) && value >= columns[column].min && value <= columns[column].max) return value;
  row_fault(r, "%s=%s: want a number from %g to %g %s", columns[column].name, text, columns[column].min,
            columns[column].max, columns[column].unit);
  return NAN;
}

static bool point_of_geometry(row *r, OGRGeometryH geometry, es_lonlat *at) {
  if (wkbFlatten(OGR_G_GetGeometryType(geometry)) != wkbPoint || OGR_G_IsEmpty(geometry)) {
    row_fault(r, "geometry=%s: want one point", OGR_G_GetGeometryName(geometry));
    return false;
  }
  double x = OGR_G_GetX(geometry, 0), y = OGR_G_GetY(geometry, 0), z = 0.0;
  int done = TRUE;
  if (r->list->to_lonlat != NULL) OCTTransformEx(r->list->to_lonlat, 1, &x, &y, &z, &done);
  *at = (es_lonlat){x, y};
  if (done && fabs(x) <= 180.0 && fabs(y) <= 90.0) return true; /* NaN fails it too */
  row_fault(r, "geometry=(%.10g, %.10g): want longitude -180 to 180 and latitude -90 to 90 degrees",
            OGR_G_GetX(geometry, 0), OGR_G_GetY(geometry, 0));
  return false;
}

static void point_of_locator(row *r, es_listener *out) {
  es_error err = {0};
  const char *text = cell(r, LOCATOR);
  if (es_locator_parse(text, &out->at, NULL, NULL, &err) != 0)
    row_fault(r, "locator=%s: %s", text, err.detail);
  else if (strlen(text) <= 6)
    out->flags |= ES_PLACE_BY_LOCATOR6;
}

/* Longitude and latitude when given, else the geometry, else the locator: the more exact first. */
static void read_place(row *r, es_listener *out) {
  OGRGeometryH geometry = OGR_F_GetGeometryRef(r->feature);
  if (given(r, LON) || given(r, LAT)) {
    if (!given(r, LON)) row_fault(r, "lon is empty: want degrees east beside lat");
    if (!given(r, LAT)) row_fault(r, "lat is empty: want degrees north beside lon");
    out->at = (es_lonlat){number(r, LON), number(r, LAT)};
  } else if (geometry != NULL)
    point_of_geometry(r, geometry, &out->at);
  else if (given(r, LOCATOR))
    point_of_locator(r, out);
  else
    row_fault(r, "no position: want lon and lat, or a locator, or a point");
}

static void read_antenna(row *r, es_listener *out) {
  const list *l = r->list;
  double gain_dbi = number(r, GAIN), dish_m = number(r, DISH), azimuth_deg = number(r, AZIMUTH);
  double usual = l->defaults->antenna.efficiency, efficiency = usual > 0.0 ? usual : DISH_EFFICIENCY;
  if (!given(r, GAIN) && !given(r, DISH)) out->flags |= ES_ANTENNA_DEFAULT;
  es_antenna *a = &out->rx.antenna;
  if (!isnan(dish_m)) {
    *a = es_antenna_dish(dish_m, efficiency, l->freq_ghz);
    if (!isnan(gain_dbi)) a->peak_dbi = gain_dbi; /* a dish whose gain is known */
  } else if (!isnan(gain_dbi))
    *a = es_antenna_all_round(gain_dbi);
  a->tracks = l->defaults->antenna.tracks && isnan(azimuth_deg);
  a->azimuth = isnan(azimuth_deg) ? l->defaults->antenna.azimuth : es_rad(azimuth_deg);
  double tilt_deg = number(r, TILT);
  a->tilt = isnan(tilt_deg) ? l->defaults->antenna.tilt : es_rad(tilt_deg);
}

static void read_polarisation(row *r, es_listener *out) {
  static const char *const words[] = {"as-beacon", "horizontal",     "vertical",
                                      "slant",     "right-circular", "left-circular"};
  if (!given(r, POLAR)) return;
  for (int32_t k = 0; k < (int32_t)(sizeof words / sizeof *words); k++)
    if (strcmp(cell(r, POLAR), words[k]) == 0) {
      out->rx.polarisation = k;
      return;
    }
  row_fault(r, "polarisation=%s: want horizontal, vertical, slant, right-circular, left-circular or as-beacon",
            cell(r, POLAR));
}

static void read_mode(row *r, es_listener *out) {
  const char *id = cell(r, MODE);
  if (!given(r, MODE)) {
    out->flags |= ES_MODE_DEFAULT;
    return;
  }
  const es_mode *mode = es_mode_find(r->list->modes, id);
  if (mode != NULL) {
    snprintf(out->rx.mode, sizeof out->rx.mode, "%s", mode->id);
    return;
  }
  es_nearest nearest = {.word = id};
  for (size_t i = 0; i < r->list->modes->n; i++) es_nearest_offer(&nearest, r->list->modes->items[i].id);
  if (nearest.best != NULL)
    row_fault(r, "mode=%s: unknown mode, did you mean %s?", id, nearest.best);
  else
    row_fault(r, "mode=%s: unknown mode, want one of the modes table, such as cw or ssb", id);
}

static void read_numbers(row *r, es_listener *out) {
  double height_m = number(r, HEIGHT), noise_db = number(r, NOISE), feeder_db = number(r, FEEDER);
  if (!isnan(height_m))
    out->rx.height_m = height_m;
  else
    out->flags |= ES_HEIGHT_DEFAULT;
  if (!isnan(noise_db))
    out->rx.noise_figure_db = noise_db;
  else
    out->flags |= ES_NOISE_DEFAULT;
  if (!isnan(feeder_db)) out->rx.feeder_db = feeder_db;
  double lo_mhz = number(r, LNB_LO), error_ppm = number(r, LNB_ERROR);
  if (!isnan(lo_mhz)) out->rx.lnb_lo_mhz = lo_mhz;
  if (!isnan(error_ppm)) out->rx.lnb_error_ppm = error_ppm;
  double weight = number(r, WEIGHT);
  if (!isnan(weight)) out->weight = weight;
}

static void row_memory(row *r) {
  es_fault_memory(r->list->faults, r->list->path);
  r->faulty = true;
}

static char *read_name(row *r) {
  const char *text = given(r, NAME) ? cell(r, NAME) : cell(r, CALL);
  if (!CPLIsUTF8(text, -1)) row_fault(r, "name: want text in UTF-8");
  return text[0] != '\0' ? strdup(text) : es_format("listener %zu", r->number);
}

/* Reads one row; the caller keeps it when it is not faulty. */
static void read_row(row *r, es_listener *out) {
  *out = (es_listener){.rx = *r->list->defaults, .weight = 1.0, .line = r->line > 0 ? r->line : (long)r->number};
  out->name = read_name(r);
  if (out->name == NULL) row_memory(r);
  read_place(r, out);
  read_numbers(r, out);
  read_antenna(r, out);
  read_polarisation(r, out);
  read_mode(r, out);
}

static bool keep(es_listeners *out, const es_listener *one) {
  if ((out->n & (out->n - 1)) == 0) { /* room doubles at 0, 1, 2, 4, ... */
    es_listener *items = realloc(out->items, (out->n == 0 ? 1 : 2 * out->n) * sizeof *items);
    if (items == NULL) return false;
    out->items = items;
  }
  out->items[out->n++] = *one;
  return true;
}

/* The next feature. A file that breaks off half-way is a fault, not a short list. */
static OGRFeatureH next_feature(const list *l) {
  CPLErrorReset();
  OGRFeatureH feature = OGR_L_GetNextFeature(l->layer);
  if (feature == NULL && CPLGetLastErrorType() >= CE_Failure)
    es_fault_add(l->faults, l->path, 0, "the list breaks off: %s", CPLGetLastErrorMsg());
  return feature;
}

static void read_rows(list *l, es_listeners *out) {
  OGRFeatureH feature;
  OGR_L_ResetReading(l->layer);
  for (size_t k = 1; (feature = next_feature(l)) != NULL; k++) {
    row r = {l, feature, k, k < l->lines.n ? l->lines.line[k] : 0, false};
    es_listener one;
    read_row(&r, &one);
    if (!r.faulty && !keep(out, &one)) row_memory(&r);
    if (r.faulty) free(one.name);
    OGR_F_Destroy(feature);
  }
}

/* Finds the columns; a column that is nearly one of ours is told, as it will not be read. */
static void find_columns(list *l, bool csv) {
  OGRFeatureDefnH defn = OGR_L_GetLayerDefn(l->layer);
  for (int c = 0; c < COLUMNS; c++) {
    l->at[c] = OGR_FD_GetFieldIndex(defn, columns[c].name);
    if (l->at[c] < 0 && columns[c].other != NULL) l->at[c] = OGR_FD_GetFieldIndex(defn, columns[c].other);
  }
  for (int f = 0; csv && f < OGR_FD_GetFieldCount(defn); f++) {
    es_nearest nearest = {.word = OGR_Fld_GetNameRef(OGR_FD_GetFieldDefn(defn, f))};
    for (int c = 0; c < COLUMNS; c++) es_nearest_offer(&nearest, columns[c].name);
    if (nearest.best != NULL && nearest.distance > 0 && strlen(nearest.word) > 3)
      es_note_add(l->faults, l->path, l->lines.n > 0 ? l->lines.line[0] : 1, "column %s is not read: did you mean %s?",
                  nearest.word, nearest.best);
  }
}

/* The layer asked for, else the first of points, else the first that may hold places as text. */
static OGRLayerH choose_layer(GDALDatasetH set, const char *name, const char *path, es_faults *faults) {
  if (name != NULL) {
    OGRLayerH layer = GDALDatasetGetLayerByName(set, name);
    if (layer == NULL) es_fault_add(faults, path, 0, "listener_layer=%s: no such layer in this file", name);
    return layer;
  }
  OGRLayerH other = NULL;
  for (int i = 0; i < GDALDatasetGetLayerCount(set); i++) {
    OGRLayerH layer = GDALDatasetGetLayer(set, i);
    OGRwkbGeometryType type = wkbFlatten(OGR_L_GetGeomType(layer));
    if (type == wkbPoint) return layer;
    if (other == NULL && (type == wkbNone || type == wkbUnknown)) other = layer;
  }
  if (other == NULL) es_fault_add(faults, path, 0, "no layer of points: want a list of places");
  return other;
}

/* NULL when the layer names no reference system: then it is WGS 84 already. */
static bool open_transform(list *l) {
  OGRSpatialReferenceH from = OGR_L_GetSpatialRef(l->layer);
  if (from == NULL) return true;
  OGRSpatialReferenceH wgs84 = OSRNewSpatialReference(NULL);
  OSRSetWellKnownGeogCS(wgs84, "WGS84");
  OSRSetAxisMappingStrategy(wgs84, OAMS_TRADITIONAL_GIS_ORDER);
  l->to_lonlat = OCTNewCoordinateTransformation(from, wgs84);
  OSRDestroySpatialReference(wgs84);
  if (l->to_lonlat == NULL)
    es_fault_add(l->faults, l->path, 0, "the layer's reference system cannot be turned into WGS 84");
  return l->to_lonlat != NULL;
}

static void read_layer(list *l, GDALDatasetH set, const char *name, es_listeners *out) {
  bool csv = strcmp(GDALGetDriverShortName(GDALGetDatasetDriver(set)), "CSV") == 0;
  l->layer = choose_layer(set, name, l->path, l->faults);
  if (l->layer == NULL || !open_transform(l)) return;
  if (csv) l->lines = es_list_lines_of(l->path);
  out->has_lines = l->lines.n > 0;
  find_columns(l, csv);
  read_rows(l, out);
  es_list_lines_free(&l->lines);
  if (l->to_lonlat != NULL) OCTDestroyCoordinateTransformation(l->to_lonlat);
}

bool es_listeners_read(const char *path, const char *layer, const es_receiver *defaults, double freq_ghz,
                       const es_modes *modes, es_listeners *out, es_faults *faults) {
  size_t before = faults->n_faults;
  list l = {.path = path, .defaults = defaults, .freq_ghz = freq_ghz, .modes = modes, .faults = faults};
  *out = (es_listeners){0};
  es_drivers_start();
  CPLPushErrorHandler(CPLQuietErrorHandler); /* told as faults, not printed */
  CPLErrorReset();
  GDALDatasetH set = GDALOpenEx(path, GDAL_OF_VECTOR | GDAL_OF_READONLY, NULL, NULL, NULL);
  if (set == NULL) {
    const char *why = CPLGetLastErrorMsg();
    es_fault_add(faults, path, 0, "no list that can be read: want CSV, GeoJSON, GeoPackage, KML or GPX%s%s",
                 why[0] != '\0' ? "; " : "", why);
  } else {
    read_layer(&l, set, layer, out);
    GDALClose(set);
  }
  CPLPopErrorHandler();
  if (out->n == 0 && faults->n_faults == before)
    es_fault_add(faults, path, 0, "the list is empty: want at least one listener");
  return faults->n_faults == before;
}

void es_listeners_free(es_listeners *out) {
  for (size_t i = 0; i < out->n; i++) {
    free(out->items[i].name);
    es_antenna_fini(&out->items[i].rx.antenna);
  }
  free(out->items);
  *out = (es_listeners){0};
}

void es_beacon_fini(es_beacon *beacon) {
  free(beacon->name);
  free(beacon->call);
  free(beacon->site);
  es_antenna_fini(&beacon->antenna);
  *beacon = (es_beacon){0};
}
