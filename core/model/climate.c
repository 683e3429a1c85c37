#include "model/climate.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "model/climate_maps.h"

/* Mid-latitude defaults; the page refractivity.md has their basis. */
static const struct {
  const char *name, *unit;
  double fallback;
} keys[ES_CLIMATE_KEYS] = {
    [ES_DELTA_N_MEDIAN] = {"delta_n_median", "N/km", 40.0},
    [ES_DELTA_N_ENHANCED_SLOPE] = {"delta_n_enhanced_slope", "N/km", 15.5},
    [ES_DELTA_N_SUB_SLOPE] = {"delta_n_sub_slope", "N/km", 9.0},
    [ES_GRADIENT_65M_1PCT] = {"gradient_65m_1pct", "N/km", -180.0},
    [ES_VAPOUR_DENSITY] = {"vapour_density_g_m3", "g/m3", 7.5},
    [ES_RAIN_6H] = {"rain_6h_percent", "%", 38.0},
    [ES_RAIN_ANNUAL] = {"rain_annual_mm", "mm", 700.0},
    [ES_RAIN_CONVECTIVE] = {"rain_convective_ratio", "", 0.2},
    [ES_ZERO_ISOTHERM] = {"zero_isotherm_km", "km", 2.4},
    [ES_TROPO_CLIMATE] = {"tropo_climate", "", 5.0},
    [ES_DELTA_N] = {"delta_n", "N/km", 40.0},
    [ES_N0] = {"n0", "N", 325.0},
    [ES_PRESSURE] = {"pressure_hpa", "hPa", 1013.25},
    [ES_TEMPERATURE] = {"temperature_c", "degC", 15.0},
};

struct es_climate {
  double given[3][ES_CLIMATE_KEYS]; /* by side; NaN: nothing given */
  es_climate_maps *maps;            /* NULL: none */
};

es_climate *es_climate_open(const es_climate_plan *plan, const char *job_file, es_faults *faults) {
  es_climate *c = calloc(1, sizeof *c);
  if (c == NULL) {
    es_fault_memory(faults, job_file);
    return NULL;
  }
  memcpy(c->given, plan->value, sizeof c->given);
  if (plan->maps != NULL) c->maps = es_climate_maps_open(plan->maps, job_file, faults);
  if (plan->maps == NULL || c->maps != NULL) return c;
  es_climate_close(c);
  return NULL;
}

void es_climate_close(es_climate *c) {
  if (c == NULL) return;
  es_climate_maps_close(c->maps);
  free(c);
}

/* Between the rows of a table of |latitude|, held at its ends. No latitude: as at the equator. */
static double by_latitude(const double (*table)[2], size_t n, double lat) {
  lat = fabs(lat);
  size_t i = 1;
  while (i + 1 < n && table[i][0] < lat) i++;
  double share = fmin(fmax((lat - table[i - 1][0]) / (table[i][0] - table[i - 1][0]), 0.0), 1.0);
  return table[i - 1][1] + share * (table[i][1] - table[i - 1][1]);
}

static double latitude_fallback(es_climate_key key, double lat) {
  static const double lapse[][2] = {{0, 57}, {15, 54}, {30, 48}, {39, 41}, {45, 38}, {51, 37}, {60, 37}, {66, 38}};
  static const double isotherm[][2] = {{0, 4.6},  {15, 4.6},  {30, 3.8}, {39, 2.9},
                                       {45, 2.8}, {51, 2.55}, {60, 2.1}, {66, 2.25}};
  if (key == ES_DELTA_N_MEDIAN || key == ES_DELTA_N) return by_latitude(lapse, 8, lat);
  if (key == ES_ZERO_ISOTHERM) return by_latitude(isotherm, 8, lat);
  return NAN;
}

/* What the user gave for a side, else for the path. */
static double given_value(const es_climate *c, es_climate_key key, int side) {
  return isnan(c->given[side][key]) ? c->given[0][key] : c->given[side][key];
}

/* The lapse of the lowest kilometre has a name in each chain; who gives one and has no map of the other means both. */
static es_climate_key twin_of(es_climate_key key) {
  return key == ES_DELTA_N ? ES_DELTA_N_MEDIAN : key == ES_DELTA_N_MEDIAN ? ES_DELTA_N : key;
}

double es_climate_value(const es_climate *c, es_climate_key key, int side, es_lonlat at, es_climate_source *source) {
  es_climate_source from = ES_FROM_USER;
  double value = given_value(c, key, side);
  if (isnan(value)) {
    from = ES_FROM_MAP;
    value = es_climate_maps_value(c->maps, key, at);
  }
  if (isnan(value)) {
    from = ES_FROM_USER;
    value = given_value(c, twin_of(key), side);
  }
  if (isnan(value)) {
    from = ES_FROM_LATITUDE;
    value = latitude_fallback(key, at.lat_deg);
  }
  if (isnan(value)) {
    from = ES_FROM_DEFAULT;
    value = keys[key].fallback;
  }
  if (source != NULL) *source = from;
  return value;
}

bool es_climate_everywhere(const es_climate *c, es_climate_key key, int side, double *value) {
  *value = isnan(c->given[side][key]) ? c->given[0][key] : c->given[side][key];
  if (!isnan(*value)) return true;
  *value = keys[key].fallback;
  return es_climate_maps_file(c->maps, key) == NULL && isnan(latitude_fallback(key, 0.0));
}

const char *es_climate_map_file(const es_climate *c, es_climate_key key) { return es_climate_maps_file(c->maps, key); }

void es_climate_list(const es_climate *c, int side, es_lonlat at, es_climate_entry out[ES_CLIMATE_KEYS]) {
  for (int k = 0; k < ES_CLIMATE_KEYS; k++) {
    es_climate_entry *e = &out[k];
    *e = (es_climate_entry){.key = (es_climate_key)k, .name = keys[k].name, .unit = keys[k].unit};
    e->value = es_climate_value(c, e->key, side, at, &e->source);
    if (e->source == ES_FROM_MAP) e->file = es_climate_map_file(c, e->key);
  }
}

const char *es_climate_key_name(es_climate_key key) { return keys[key].name; }
const char *es_climate_key_unit(es_climate_key key) { return keys[key].unit; }

const char *es_climate_source_name(es_climate_source source) {
  static const char *const names[] = {"user", "map", "latitude", "default"};
  return names[source];
}
